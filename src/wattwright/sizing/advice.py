"""What must be said before anybody rides."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from wattwright.ride.assist import class_findings
from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import room_in, stacks
from wattwright.sizing.in_words import listed
from wattwright.sizing.plan import RideAnswer
from wattwright.sizing.seasons import MONTH_NAMES, coldest_weather
from wattwright.units import Fraction, Metre, celsius_from_kelvin, percent_from_fraction

FADING: Final[Fraction] = 0.03
"""Share of a ride's time with less help than asked from which it is said; assumption."""
LONGEST_WALK: Final[Metre] = 20.0
"""Pushing so far is said; assumption."""

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


def cautions(brief: Brief, modules: int, answers: Sequence[RideAnswer]) -> tuple[str, ...]:
    """What this job calls for, then the usual cautions.

    Args:
        brief: The job.
        modules: The count worked out.
        answers: Its rides at that count.
    """
    own = (
        *class_findings(brief.drive, brief.assist_class),
        *_cold(brief),
        *_rest(brief, modules),
        *_overflow(brief, modules),
        *_hardship(answers),
    )
    return (*own, *ALWAYS)


def _rest(brief: Brief, modules: int) -> list[str]:
    """What happens when one module lets go and the rest cannot carry the limit."""
    rest = (modules - 1) * brief.battery_module.continuous_discharge_current
    if modules == 1:
        return ["With a single module there is no other: when it lets go, the help ends without warning."]
    if brief.drive.controller.battery_current_limit <= rest:
        return []
    follow = f"If one module lets go, the others carry at most {rest:g} A for good: above that they follow, "
    return [f"{follow}and the help ends without warning. Set {rest:g} A before riding on."]


def _overflow(brief: Brief, modules: int) -> list[str]:
    """Modules for which no room was measured."""
    room = sum(room_in(place, brief) for place in brief.places)
    if not brief.places or modules <= room:
        return []
    last = stacks(brief, modules)[-1][0].name
    measured = f"The places measured take {room} of the {modules} modules"
    return [f"{measured}; the parts list puts the others at the {last}, where they do not fit yet."]


def _hardship(answers: Sequence[RideAnswer]) -> list[str]:
    """Rides on which, in the middle of the samples, help is held back or the rider walks."""
    said = []
    for answer in answers:
        where = f"“{answer.ride.name}” ({answer.season.title})"
        held = float(np.median(answer.outcome.rolled_back)) / answer.time
        walked = float(np.median(answer.outcome.walked))
        if held > FADING:
            said.append(
                f"{where}: for {percent_from_fraction(held):.0f} % of the time the drive gives less help "
                "than asked, because voltage or motor heat holds it back."
            )
        if walked > LONGEST_WALK:
            said.append(f"{where}: {walked:.0f} m are so steep that the rider has to push the bicycle.")
    return said


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
        said.append(f"In {listed(freezing)} let the modules warm up indoors before they are charged.")
    return said
