"""Floors from the rides: today, in the coldest month, in the last year of service."""

from collections.abc import Callable

import numpy as np

from wattwright.pack.cold import charge_factor
from wattwright.sizing.brief import Brief
from wattwright.sizing.limits import Limit, Side
from wattwright.sizing.search import MOST_MODULES, smallest
from wattwright.sizing.trials import Case, Trials
from wattwright.units import (
    FloatArray,
    celsius_from_kelvin,
    km_from_metres,
    percent_from_fraction,
    watt_hours_from_joules,
)
from wattwright.working import Quantity, Source, Standing, Working

ENGINE = Source(
    text="Road load: Martin et al., J. Applied Biomechanics 14(3), 1998, ridden out by work balance; "
    "cold and age: docs/models/cold.md and docs/models/ageing.md",
    standing=Standing.PUBLISHED,
)


def ride_floor(trials: Trials, case_at: Callable[[int], Case], *, guess: int) -> Limit:
    """The fewest modules with which enough of the samples arrive with the reserve.

    Args:
        trials: Of the brief.
        case_at: The ride and season by count: a larger pack is less worn after the same years.
        guess: Where to start looking.
    """
    wishes = trials.brief.wishes
    found = smallest(lambda count: trials.arriving(case_at(count), count) >= wishes.confidence, guess=guess)
    count = found or MOST_MODULES + 1
    shown = min(count, MOST_MODULES)
    case = case_at(shown)
    return Limit(
        subject=case_subject(case),
        side=Side.FLOOR,
        modules=count,
        because=_because(trials, case_at, found),
        working=ride_working(trials, case, shown, found),
        reachable=found is not None,
        at_count=_arrivals(trials, case_at, shown),
        bound=Quantity(
            symbol="P",
            meaning="share of rides that must arrive with the reserve",
            value=percent_from_fraction(wishes.confidence),
            unit="%",
            digits=0,
        ),
    )


def case_subject(case: Case) -> str:
    """Ride and season in a few words, for the window's leader."""
    return f"{case.ride.name}, {case.season.title}"


def energy_guess(trials: Trials, case: Case) -> int:
    """Where to start looking: median energy over what one module gives in that season."""
    brief = trials.brief
    energy = trials.energy(case, 8)
    usable = (
        brief.battery_module.energy
        * case.season.capacity_left
        * float(charge_factor(brief.battery_module.chemistry, case.season.temperature))
    )
    return max(1, round(1.15 * energy / (usable * (case.ride.start_charge - brief.wishes.reserve))))


def _because(trials: Trials, case_at: Callable[[int], Case], found: int | None) -> str:
    case = case_at(found or MOST_MODULES)
    ride, reserve = case.ride, percent_from_fraction(trials.brief.wishes.reserve)
    where = f"the {km_from_metres(ride.path.distance):.0f} km of “{ride.name}” ({case.season.title})"
    what = f"{where} with {reserve:.0f} % left"
    if found is None:
        most = _rides(trials.arriving(case, MOST_MODULES))
        wanted = percent_from_fraction(trials.brief.wishes.confidence)
        return f"With {MOST_MODULES} modules {most} finish {what}; {wanted:.0f} in a hundred are asked for."
    less = found - 1
    fewer = f"; with {less}, {_rides(trials.arriving(case_at(less), less))}" if less else ""
    return f"With {found}, {_rides(trials.arriving(case, found))} finish {what}{fewer}."


def _rides(share: float) -> str:
    """A share of rides in words that promise no more than the samples do."""
    hundred = round(percent_from_fraction(share))
    if share >= 0.995:
        return "nearly all rides"
    if share <= 0.005:
        return "hardly any"
    return f"{hundred} rides in a hundred"


def _arrivals(trials: Trials, case_at: Callable[[int], Case], count: int) -> tuple[tuple[int, Quantity], ...]:
    counts = [number for number in (count - 1, count) if number >= 1]
    return tuple(
        (
            number,
            Quantity(
                symbol="P",
                meaning="share of rides that arrive with the reserve",
                value=percent_from_fraction(trials.arriving(case_at(number), number)),
                unit="%",
                digits=0,
            ),
        )
        for number in counts
    )


def ride_working(trials: Trials, case: Case, count: int, found: int | None) -> Working:
    """The ride's energy against what the pack gives, and the share that arrives."""
    brief, outcome = trials.brief, trials.outcome(case, count)
    wishes = brief.wishes
    arrival = np.quantile(outcome.charge_left, 1.0 - wishes.confidence)
    return Working(
        title=f"{case_subject(case)}: modules for the energy of the ride",
        formula="n = smallest count with P(charge left ≥ reserve) ≥ confidence",
        values=(
            Quantity(symbol="N", meaning="samples ridden", value=brief.samples, unit="", digits=0),
            Quantity(
                symbol="c",
                meaning="confidence",
                value=percent_from_fraction(wishes.confidence),
                unit="%",
                digits=0,
            ),
            Quantity(
                symbol="r", meaning="reserve", value=percent_from_fraction(wishes.reserve), unit="%", digits=0
            ),
            Quantity(
                symbol="P(n)",
                meaning=f"share arriving with the reserve, {count} modules",
                value=percent_from_fraction(trials.arriving(case, count)),
                unit="%",
            ),
            Quantity(
                symbol="q",
                meaning=f"charge left that the wished share of rides reaches, {count} modules",
                value=percent_from_fraction(float(arrival)),
                unit="%",
            ),
        ),
        result=Quantity(
            symbol="n", meaning="modules", value=found or MOST_MODULES + 1, unit="modules", digits=0
        ),
        source=ENGINE,
        steps=(_energy_step(trials, case, count), _pack_step(brief, case, count)),
    )


def _energy_step(trials: Trials, case: Case, count: int) -> Working:
    outcome = trials.outcome(case, count)
    books = outcome.energy
    distance = km_from_metres(outcome.distance)
    lost = books.motor_copper + books.motor_iron + books.gear + books.controller
    median = [
        ("E_rider", "rider's work at the crank", books.rider),
        ("E_air", "air drag", books.air),
        ("E_roll", "rolling resistance", books.rolling),
        ("E_climb", "height gained", books.climb),
        ("E_brake", "braked away", books.brake),
        ("E_motor", "lost in motor, gear and controller", lost),
    ]
    per_km = watt_hours_from_joules(float(np.median(books.battery_out))) / distance
    road = (Quantity(symbol="d", meaning="distance", value=distance, unit="km"),)
    return Working(
        title="energy from the pack, middle of the samples",
        formula="E = E_air + E_roll + E_bearings + E_climb + E_kinetic + E_brake + losses − E_rider",
        values=(*(_watt_hours(*row) for row in median), *road),
        result=_watt_hours("E", f"drawn, {per_km:.1f} Wh/km", books.battery_out),
        source=ENGINE,
    )


def _watt_hours(symbol: str, meaning: str, energy: FloatArray) -> Quantity:
    """The middle of the samples."""
    middle = watt_hours_from_joules(float(np.median(energy)))
    return Quantity(symbol=symbol, meaning=meaning, value=middle, unit="Wh", digits=0)


def _pack_step(brief: Brief, case: Case, count: int) -> Working:
    kind, season = brief.battery_module, case.season
    cold = float(charge_factor(kind.chemistry, season.temperature))
    one = watt_hours_from_joules(kind.energy)
    return Working(
        title="what the pack holds in that season",
        formula="E_pack = n · E_module · k_cold · k_age",
        values=(
            Quantity(symbol="n", meaning="modules", value=count, unit="", digits=0),
            Quantity(symbol="E_module", meaning="energy marked on one module", value=one, unit="Wh"),
            Quantity(
                symbol="T",
                meaning="air temperature",
                value=celsius_from_kelvin(season.temperature),
                unit="°C",
                digits=0,
            ),
            Quantity(
                symbol="k_cold",
                meaning="charge left by the cold at low current",
                value=cold,
                unit="",
                digits=3,
            ),
            Quantity(
                symbol="k_age", meaning="capacity left by age", value=season.capacity_left, unit="", digits=3
            ),
            Quantity(
                symbol="R/R₀",
                meaning="resistance over new, by age",
                value=season.resistance_risen,
                unit="",
                digits=2,
            ),
        ),
        result=Quantity(
            symbol="E_pack",
            meaning="before the loss under load",
            value=count * one * cold * season.capacity_left,
            unit="Wh",
            digits=0,
        ),
        source=Source(
            text="docs/models/cold.md, docs/models/ageing.md; energy as marked", standing=Standing.PUBLISHED
        ),
    )
