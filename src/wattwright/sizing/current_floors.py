"""Floors from current: nameplate, as drawn, one module off, charging, regeneration."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from wattwright.sizing.brief import Brief
from wattwright.sizing.limits import Change, Limit, Side
from wattwright.sizing.search import MOST_MODULES, smallest
from wattwright.sizing.trials import Case, Trials
from wattwright.units import Ampere, percent_from_fraction
from wattwright.working import Quantity, Source, Standing, Working

OVERVOLTAGE_PER_CELL: Final = 0.05
"""[V] Between end of charge and the protection's letting go; common practice, no source."""
SHEETS = Source(text="data sheets of module, drive and charger", standing=Standing.MAKER)


def whole(quotient: float) -> int:
    """Rounded up, but a hair over a whole number counts as that number."""
    return max(1, math.ceil(quotient - 1e-9))


def _ampere(symbol: str, meaning: str, value: Ampere) -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=value, unit="A")


def _modules(value: float) -> Quantity:
    return Quantity(symbol="n", meaning="modules", value=value, unit="modules", digits=0)


def nameplate_floor(brief: Brief, target: int | None = None) -> Limit:
    """The controller's battery-current limit over what one module gives for good.

    Args:
        brief: The job.
        target: The count the changes should bring it down to; one less where not given.
    """
    limit = brief.drive.controller.battery_current_limit
    each = brief.battery_module.continuous_discharge_current
    count = whole(limit / each)
    return Limit(
        subject="controller current",
        side=Side.FLOOR,
        modules=count,
        because=f"The controller may draw {limit:.0f} A and one module gives {each:.0f} A for good.",
        working=Working(
            title="controller current by the nameplate",
            formula="n = I_limit / I_module, rounded up",
            values=(
                _ampere("I_limit", "battery-current limit of the controller", limit),
                _ampere("I_module", "continuous discharge current of one module", each),
            ),
            result=_modules(count),
            source=SHEETS,
        ),
        loosen=_lower_limit(limit, each, _aim(count, target)),
        at_count=tuple(
            (n, _ampere("I", "from each module at the limit", limit / n)) for n in range(1, count + 3)
        ),
        bound=_ampere("I_module", "continuous discharge current of one module", each),
    )


def _aim(count: int, target: int | None) -> int:
    return count - 1 if target is None else target


def _lower_limit(before: Ampere, each: Ampere, count: int, *, spare: int = 0) -> tuple[Change, ...]:
    """The controller current that ``count`` modules, ``spare`` of them off, carry for good."""
    after = (count - spare) * each
    if not 0.0 < after < before:
        return ()
    return (
        Change(
            what=f"set the controller's battery current to {after:.0f} A",
            field="drive.battery_current_limit_a",
            before=before,
            after=after,
            unit="A",
            modules=count,
        ),
    )


def one_off_floor(brief: Brief, target: int | None = None) -> Limit:
    """Enough modules that the rest still carry the controller's limit when one lets go."""
    limit = brief.drive.controller.battery_current_limit
    each = brief.battery_module.continuous_discharge_current
    count = whole(limit / each) + 1
    rest = (count - 2) * each
    return Limit(
        subject="one module off",
        side=Side.FLOOR,
        modules=count,
        because=f"If one module lets go, the other {count - 1} must still carry {limit:.0f} A; "
        f"with {count - 1} modules the rest would carry {rest:.0f} A.",
        working=Working(
            title="one module off",
            formula="(n − 1) · I_module ≥ I_limit",
            values=(
                _ampere("I_limit", "battery-current limit of the controller", limit),
                _ampere("I_module", "continuous discharge current of one module", each),
            ),
            result=_modules(count),
            source=SHEETS,
        ),
        loosen=_lower_limit(limit, each, _aim(count, target), spare=1),
        at_count=tuple(
            (n, _ampere("I", "from each of the rest at the limit", limit / (n - 1)))
            for n in range(2, count + 3)
        ),
        bound=_ampere("I_module", "continuous discharge current of one module", each),
    )


def drawn_floor(trials: Trials, cases: Sequence[Case], *, spare: int = 0, target: int | None = None) -> Limit:
    """Fewest modules whose protection lets go in too few of the samples to matter, ride by ride.

    Args:
        trials: Of the brief.
        cases: Every ride in every season.
        spare: Modules taken as off: 0, or 1 for "one module off, as drawn".
        target: The count the changes should bring it down to; one less where not given.
    """
    confidence = trials.brief.wishes.confidence
    found = smallest(
        lambda count: all(trials.without_trip(case, count) >= confidence for case in cases),
        guess=whole(
            trials.brief.drive.controller.battery_current_limit
            / trials.brief.battery_module.continuous_discharge_current
        ),
    )
    base = found or MOST_MODULES
    hardest = max(cases, key=lambda case: float(np.median(trials.outcome(case, base).peak_current)))
    count = (found or MOST_MODULES + 1) + spare
    subject = "current as drawn, one module off" if spare else "current as drawn"
    return Limit(
        subject=subject,
        side=Side.FLOOR,
        modules=count,
        because=_drawn_because(trials, hardest, base, spare),
        working=_drawn_working(trials, hardest, base, count, subject),
        loosen=_lower_limit(
            trials.brief.drive.controller.battery_current_limit,
            trials.brief.battery_module.continuous_discharge_current,
            _aim(count, target),
            spare=spare,
        ),
        reachable=found is not None,
        at_count=tuple(
            (n + spare, _peak_each(trials, hardest, n)) for n in range(max(1, base - 1), base + 1)
        ),
        bound=_ampere(
            "I_trip",
            "highest current one module bears for a moment",
            max(point.current for point in trials.brief.battery_module.discharge_protection),
        ),
    )


def _peak_each(trials: Trials, case: Case, count: int) -> Quantity:
    peak = float(np.quantile(trials.outcome(case, count).peak_current, trials.brief.wishes.confidence))
    return _ampere("I_peak", f"highest from each of {count}", peak / count)


def _drawn_because(trials: Trials, case: Case, count: int, spare: int) -> str:
    peak = _peak_each(trials, case, count)
    calm = percent_from_fraction(trials.without_trip(case, count))
    rest = f"the {count} left when one module is off" if spare else f"{count}"
    return (
        f"“{case.ride.name}” ({case.season.title}) draws at most {peak.value:.1f} A from each of {rest}; "
        f"no protection lets go in {calm:.0f} rides in a hundred."
    )


def _drawn_working(trials: Trials, case: Case, base: int, count: int, subject: str) -> Working:
    outcome = trials.outcome(case, base)
    confidence = trials.brief.wishes.confidence
    points = trials.brief.battery_module.discharge_protection
    held = np.quantile(outcome.longest_above, confidence, axis=1)
    steps = tuple(
        Working(
            title=f"longest time above {point.current:.0f} A from one module",
            formula="t_longest ≤ t_allowed",
            values=(
                Quantity(
                    symbol="t_longest",
                    meaning="longest unbroken time, in the wished share of rides",
                    value=float(time),
                    unit="s",
                ),
            ),
            result=Quantity(
                symbol="t_allowed", meaning="the protection waits", value=point.duration, unit="s"
            ),
            source=SHEETS,
        )
        for point, time in zip(points, held, strict=True)
    )
    return Working(
        title=subject,
        formula="n = smallest count with P(no protection lets go) ≥ confidence",
        values=(
            _peak_each(trials, case, base),
            Quantity(
                symbol="P",
                meaning="share of rides without a trip",
                value=percent_from_fraction(trials.without_trip(case, base)),
                unit="%",
            ),
        ),
        result=_modules(count),
        source=Source(text="ride engine against the module's protection points", standing=Standing.MAKER),
        steps=steps,
    )


def charge_floor(brief: Brief, target: int | None = None) -> Limit:
    """The charger's current over what one module takes."""
    current, each = brief.charger.current, brief.battery_module.maximum_charge_current
    count = whole(current / each)
    aim = _aim(count, target)
    loosen = (
        (
            Change(
                what=f"charge with at most {aim * each:.1f} A",
                field="pack.charger",
                before=current,
                after=aim * each,
                unit="A",
                modules=aim,
            ),
        )
        if aim >= 1
        else ()
    )
    return Limit(
        subject="charge current",
        side=Side.FLOOR,
        modules=count,
        because=f"The charger gives {current:.1f} A and one module takes at most {each:.1f} A.",
        working=Working(
            title="charge current",
            formula="n = I_charger / I_module, rounded up",
            values=(
                _ampere("I_charger", "charger's current", current),
                _ampere("I_module", "largest charge current of one module", each),
            ),
            result=_modules(count),
            source=SHEETS,
        ),
        loosen=loosen,
        at_count=tuple((n, _ampere("I", "into each module", current / n)) for n in range(1, count + 3)),
        bound=_ampere("I_module", "largest charge current of one module", each),
    )


def regeneration_floor(brief: Brief, target: int | None = None) -> Limit | None:
    """Modules that bear the drive's regeneration into a full pack; None where the drive cannot regenerate."""
    drive, kind = brief.drive, brief.battery_module
    current = drive.controller.regeneration_current_limit
    if drive.freewheels or current <= 0:
        return None
    each = kind.regeneration_current
    room = OVERVOLTAGE_PER_CELL * kind.cells_in_series
    resistance = kind.resistance + kind.relaxation_resistance
    by_voltage = whole(current * resistance / room)
    by_current = whole(current / each) if each > 0 else MOST_MODULES + 1
    count = max(by_voltage, by_current)
    return Limit(
        subject="regeneration into a full pack",
        side=Side.FLOOR,
        modules=count,
        because=f"Braking returns up to {current:.0f} A; one module takes {each:.1f} A, and a full one rises "
        f"{room:.2f} V before it lets go."
        if each > 0
        else "The module's maker forbids regeneration; switch it off in the controller.",
        working=Working(
            title="regeneration into a full pack",
            formula="n = max(I_regen / I_module, I_regen · R / ΔV), rounded up",
            values=(
                _ampere("I_regen", "regeneration limit of the controller", current),
                _ampere("I_module", "largest charge current of one module while riding", each),
                Quantity(
                    symbol="R",
                    meaning="resistance of one module, R0 + R1",
                    value=1000 * resistance,
                    unit="mΩ",
                    digits=0,
                ),
                Quantity(symbol="ΔV", meaning="room above end of charge", value=room, unit="V", digits=2),
            ),
            result=_modules(count),
            source=Source(
                text="data sheets; ΔV 0.05 V per cell: common practice, no source",
                standing=Standing.COMMON_PRACTICE,
            ),
        ),
        loosen=_less_regeneration(current, _aim(count, target), min(each, room / resistance)),
        reachable=each > 0,
    )


def _less_regeneration(before: Ampere, aim: int, each: Ampere) -> tuple[Change, ...]:
    """Braking back with no more than ``aim`` modules bear, or not at all."""
    after = max(aim, 0) * each
    return (
        Change(
            what=f"set regeneration to {after:.1f} A" if after > 0 else "switch regeneration off",
            field="drive.regeneration_current_limit_a",
            before=before,
            after=after,
            unit="A",
            modules=max(aim, 1) if after > 0 else 1,
        ),
    )
