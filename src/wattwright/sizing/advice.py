"""What goes into the controller, and what must be said before anybody rides."""

from wattwright.ride.assist import class_findings
from wattwright.sizing.brief import Brief
from wattwright.sizing.plan import Setting
from wattwright.sizing.seasons import MONTH_NAMES, coldest_weather
from wattwright.units import celsius_from_kelvin, km_h_from_metres_per_second
from wattwright.working import Quantity

ALWAYS = (
    (
        "Defer to the manuals of module, drive and charger, to local law and to licensed practice; this "
        "sheet is a calculation, not an approval."
    ),
    "Never bridge the contacts: a module's short-circuit current welds rings and tools.",
    "Do not use, charge or carry a module that was dropped, opened, wet inside, swollen or hot.",
    (
        "Charge in sight, on something that does not burn, never below 0 °C, with the charger meant for the "
        "module."
    ),
    "Join modules only at equal rest voltage; a difference drives a current nobody limits.",
    (
        "Brazed bosses and rivet nuts strip easily: use a torque wrench and the frame maker's value; no "
        "clamps on carbon tubes."
    ),
    "Brakes, wheels, fork and rack were made for less weight and speed: inspect them and say what they bear.",
)


def cautions(brief: Brief, modules: int) -> tuple[str, ...]:
    """The usual cautions, and those this job calls for, these first."""
    own = list(class_findings(brief.drive, brief.assist_class))
    own += _cold(brief)
    if brief.drive.controller.battery_current_limit > (
        (modules - 1) * brief.battery_module.continuous_discharge_current
    ):
        rest = (modules - 1) * brief.battery_module.continuous_discharge_current
        own.append(
            f"If one module lets go, the others carry at most {rest:.0f} A for good: above that they follow, "
            "and the help ends without warning."
        )
    return (*own, *ALWAYS)


def _cold(brief: Brief) -> list[str]:
    """Months colder than the module may be discharged or charged in."""
    kind = brief.battery_module
    said = []
    for ride in brief.rides:
        weather = coldest_weather(brief, ride)
        coldest = weather.temperature - 2.0 * weather.temperature_spread
        if coldest < kind.coldest_discharge:
            said.append(
                f"“{ride.name}”: cold days in {weather.title} reach {celsius_from_kelvin(coldest):.0f} °C, "
                f"below the {celsius_from_kelvin(kind.coldest_discharge):.0f} °C to which "
                "the module may be discharged."
            )
    if brief.charge_temperature < kind.coldest_charge:
        said.append(
            f"It is charged at {celsius_from_kelvin(brief.charge_temperature):.0f} °C; the module must not "
            f"be charged below {celsius_from_kelvin(kind.coldest_charge):.0f} °C. Charge it indoors."
        )
    freezing = [
        MONTH_NAMES[index]
        for index, month in enumerate(brief.climate.months)
        if month.temperature < kind.coldest_charge
    ]
    if freezing:
        said.append(f"In {', '.join(freezing)} let the modules warm up indoors before they are charged.")
    return said


def settings(brief: Brief, modules: int) -> tuple[Setting, ...]:
    """What to set in the controller, each with its reason."""
    kind, controller, law = brief.battery_module, brief.drive.controller, brief.drive.assist
    for_good = modules * kind.continuous_discharge_current
    limit = min(controller.battery_current_limit, for_good)
    cutoff = max(controller.cutoff_voltage, kind.minimum_voltage)
    rows = [
        Setting(
            what="battery current limit",
            value=_quantity("I_limit", limit, "A", 0),
            because=f"the smaller of the controller's {controller.battery_current_limit:.0f} A and what "
            f"{modules} modules give for good, {for_good:.0f} A",
        ),
        Setting(
            what="battery current limit after one module has let go",
            value=_quantity("I_rest", min(limit, for_good - kind.continuous_discharge_current), "A", 0),
            because="what the rest gives for good; ride on with this until the module is seen to",
        ),
        Setting(
            what="low-voltage roll-back begins",
            value=_quantity("U_start", max(controller.rollback_start_voltage, cutoff), "V", 1),
            because="help fades instead of ending, before the modules' own protection lets go",
        ),
        Setting(
            what="low-voltage cut-off",
            value=_quantity("U_off", cutoff, "V", 1),
            because=f"above the {kind.minimum_voltage:.1f} V at which the module lets go",
        ),
        Setting(
            what="assistance ends at",
            value=_quantity(
                "v_off", km_h_from_metres_per_second(min(law.cutoff, brief.assist_class.cutoff)), "km/h", 0
            ),
            because=brief.assist_class.title,
        ),
        Setting(
            what="regeneration limit",
            value=_quantity("I_regen", _regeneration(brief, modules), "A", 1),
            because=_regeneration_reason(brief),
        ),
    ]
    return tuple(rows)


def _quantity(symbol: str, value: float, unit: str, digits: int) -> Quantity:
    return Quantity(symbol=symbol, meaning="", value=value, unit=unit, digits=digits)


def _regeneration(brief: Brief, modules: int) -> float:
    if brief.drive.freewheels:
        return 0.0
    return min(
        brief.drive.controller.regeneration_current_limit, modules * brief.battery_module.regeneration_current
    )


def _regeneration_reason(brief: Brief) -> str:
    if brief.drive.freewheels:
        return "the motor freewheels and cannot brake"
    if brief.battery_module.regeneration_current <= 0:
        return "the module's maker forbids it"
    return "what the modules take while riding; less into a full pack"
