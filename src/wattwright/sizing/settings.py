"""What goes into the controller, each value with its reason."""

from collections.abc import Sequence

from wattwright.pack.resistance import arrhenius_factor, resistance_tables
from wattwright.sizing.brief import Brief
from wattwright.sizing.plan import Season, Setting
from wattwright.sizing.regeneration import borne_by_each, regenerates, roomy_start
from wattwright.sizing.subjects import Subject
from wattwright.sizing.trials import Trials
from wattwright.units import Ampere, Volt, km_h_from_metres_per_second, percent_from_fraction
from wattwright.working import Quantity

NEARLY_EMPTY = 10
"""[%] Charge at which the sag is worked out: there help should fade, not end."""


def settings(trials: Trials, subjects: Sequence[Subject], modules: int) -> tuple[Setting, ...]:
    """What to set in the controller, each with its reason."""
    brief = trials.brief
    coldest = min((subject.at(modules).season for subject in subjects), key=_hardness)
    rows = [
        _current_limit(brief, modules),
        _one_off(brief, modules),
        *_low_voltage(brief, modules, coldest),
        _assistance_end(brief),
        _regeneration(brief, modules),
        *_full_pack(trials, modules),
    ]
    if brief.help < 1.0:
        rows.append(
            _setting(
                "level of assistance",
                percent_from_fraction(brief.help),
                "%",
                "the rides were planned with it; with more help they take more charge",
                digits=0,
            )
        )
    return tuple(rows)


def _hardness(season: Season) -> tuple[float, float]:
    return (season.temperature, -season.resistance_risen)


def _setting(what: str, value: float, unit: str, because: str, *, digits: int = 1) -> Setting:
    return Setting(
        what=what,
        value=Quantity(symbol="", meaning=what, value=value, unit=unit, digits=digits),
        because=because,
    )


def limit_to_set(brief: Brief, modules: int) -> Ampere:
    """The battery-current limit for so many modules: of controller, modules and lead the smallest."""
    return min(
        brief.drive.controller.battery_current_limit,
        modules * brief.battery_module.continuous_discharge_current,
        brief.cable.maximum_current,
    )


def _current_limit(brief: Brief, modules: int) -> Setting:
    controller = brief.drive.controller.battery_current_limit
    for_good = modules * brief.battery_module.continuous_discharge_current
    return _setting(
        "battery current limit",
        limit_to_set(brief, modules),
        "A",
        f"the smallest of the controller's {controller:g} A, the {for_good:g} A that {modules} modules give "
        f"for good and the lead's {brief.cable.maximum_current:g} A",
    )


def _one_off(brief: Brief, modules: int) -> Setting:
    """Does the rest carry the limit, and if not, which limit would it carry?"""
    limit = limit_to_set(brief, modules)
    rest = (modules - 1) * brief.battery_module.continuous_discharge_current
    if rest >= limit:
        reason = f"the other {modules - 1} give {rest:g} A for good and still carry the limit"
    elif rest > 0:
        reason = f"the other {modules - 1} give no more for good: set this before riding on"
    else:
        reason = "there is no other: the help ends"
    return _setting("the same while one module is off", min(limit, rest), "A", reason)


def _low_voltage(brief: Brief, modules: int, season: Season) -> tuple[Setting, Setting]:
    """Where help begins to fade and where it ends: a sag at the limit apart.

    Notes:
        U_start = U_off + I_limit (R0 + R1) / n, with the resistances at 10 % charge, in the coldest season
        and as worn as it gets: a band as wide as the sag itself, so that help fades as the pack empties
        instead of switching off and on with the sag; common practice, no source.
    """
    kind, controller = brief.battery_module, brief.drive.controller
    off = max(controller.cutoff_voltage, kind.minimum_voltage)
    drop = sag(brief, modules, season)
    start = min(max(off + drop, controller.rollback_start_voltage), kind.nominal_voltage)
    own = controller.cutoff_voltage > kind.minimum_voltage
    return (
        _setting(
            "low-voltage roll-back begins",
            start,
            "V",
            f"cut-off and the {drop:.1f} V by which {modules} nearly empty modules sag at the limit "
            f"({season.title}), so that help fades before a module lets go",
        ),
        _setting(
            "low-voltage cut-off",
            off,
            "V",
            f"the controller's own, above the module's {kind.minimum_voltage:g} V"
            if own
            else "where the module's own protection lets go; no lower",
        ),
    )


def sag(brief: Brief, modules: int, season: Season) -> Volt:
    """Fall of the pack's voltage under the limit, nearly empty, in that season."""
    kind = brief.battery_module
    series, relaxation = resistance_tables(kind)
    cold = float(arrhenius_factor(season.temperature, kind.activation_energy))
    one = float(series[NEARLY_EMPTY] + relaxation[NEARLY_EMPTY]) * cold * season.resistance_risen
    return limit_to_set(brief, modules) * one / modules


def _assistance_end(brief: Brief) -> Setting:
    cutoff = min(brief.drive.assist.cutoff, brief.assist_class.cutoff)
    return _setting(
        "assistance ends at", km_h_from_metres_per_second(cutoff), "km/h", brief.assist_class.title, digits=0
    )


def _regeneration(brief: Brief, modules: int) -> Setting:
    what, own = "regeneration limit", brief.drive.controller.regeneration_current_limit
    if brief.drive.freewheels:
        return _setting(what, 0.0, "A", "the motor freewheels and cannot brake")
    if brief.battery_module.regeneration_current <= 0:
        return _setting(what, 0.0, "A", "the module's maker forbids it")
    return _setting(
        what,
        min(own, modules * borne_by_each(brief)),
        "A",
        f"the smaller of the set {own:g} A and what {modules} full modules bear",
    )


def _full_pack(trials: Trials, modules: int) -> list[Setting]:
    """For each ride that brakes back more than it drew: the charge to start with."""
    if not regenerates(trials.brief):
        return []
    rows = []
    for ride in trials.brief.rides:
        most = roomy_start(trials, ride, modules)
        if most < ride.start_charge - 0.005:
            rows.append(
                _setting(
                    f"charge before “{ride.name}”",
                    percent_from_fraction(most),
                    "%",
                    "its first descent returns the rest; into a full pack the motor cannot brake",
                    digits=0,
                )
            )
    return rows
