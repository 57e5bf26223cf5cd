"""The working of a ride floor: energy from the pack, what the pack holds, what the years left of it."""

import numpy as np

from wattwright.pack.cold import charge_factor
from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.subjects import Subject
from wattwright.sizing.trials import HELD_BACK, Case, Trials
from wattwright.units import (
    FloatArray,
    Fraction,
    celsius_from_kelvin,
    km_from_metres,
    percent_from_fraction,
    watt_hours_from_joules,
)
from wattwright.working import Quantity, Source, Standing, Working

ENGINE = Source(
    text="Road load: Martin et al., J. Applied Biomechanics 14(3), 1998, ridden out by work balance; "
    "docs/models/road-load.md",
    standing=Standing.PUBLISHED,
)
COLD_AND_AGE = Source(
    text="docs/models/cold.md, docs/models/ageing.md; energy as marked", standing=Standing.PUBLISHED
)


def ride_working(
    trials: Trials, subject: Subject, count: int, found: int | None, cautious: int | None = None
) -> Working:
    """The ride's energy against what the pack gives, and the share that arrives.

    Args:
        trials: Of the brief.
        subject: The ride and season.
        count: At which the energy is shown.
        found: The floor; None where no count did.
        cautious: The floor by the harshest ageing model, where it was asked.
    """
    brief, case = trials.brief, subject.at(count)
    outcome = trials.outcome(case, count)
    arrival = float(np.quantile(outcome.charge_left, 1.0 - brief.wishes.confidence))
    steps = [_energy_step(trials, case, count), _pack_step(brief, case, count)]
    if subject.wear is not None:
        steps.append(_ageing_step(subject, count, brief.wishes.years, cautious))
    return Working(
        title=f"{subject.name}: modules for the energy of the ride",
        formula="n = smallest count with P(left ≥ r, help held back ≤ h) ≥ c, each with its mass and age",
        values=(
            Quantity(symbol="N", meaning="samples ridden", value=brief.samples, unit="", digits=0),
            _percent("c", "confidence", brief.wishes.confidence),
            _percent("r", "reserve", brief.wishes.reserve),
            _percent("h", "of the time less help than asked, for want of voltage", HELD_BACK),
            _percent("P(n)", f"share arriving with the reserve, n = {count}", trials.arriving(case, count)),
            _percent("q(n)", f"charge left that the share c of rides reaches, n = {count}", arrival),
            Quantity(
                symbol="m(n)", meaning="added by the conversion", value=added_mass(brief, count), unit="kg"
            ),
        ),
        result=Quantity(
            symbol="n",
            meaning="modules" if found is not None else f"modules: none up to {MOST_MODULES} does",
            value=found or MOST_MODULES + 1,
            unit="modules",
            digits=0,
        ),
        source=ENGINE,
        steps=tuple(steps),
    )


def _energy_step(trials: Trials, case: Case, count: int) -> Working:
    outcome = trials.outcome(case, count)
    books = outcome.energy
    distance = km_from_metres(outcome.distance)
    chain = books.bearings + books.drivetrain
    lost = books.motor_copper + books.motor_iron + books.gear + books.controller
    rows = [
        ("E_rider", "rider's work at the crank", books.rider),
        ("E_air", "air drag", books.air),
        ("E_roll", "rolling resistance", books.rolling),
        ("E_chain", "bearings and drive-train", chain),
        ("E_climb", "height gained from start to end", books.climb),
        ("E_kinetic", "speed left at the end", books.kinetic),
        ("E_brake", "braked away", books.brake),
        ("E_motor", "lost in motor, gear and controller", lost),
        ("E_back", "returned to the pack", books.battery_in),
    ]
    per_km = watt_hours_from_joules(float(np.median(books.battery_out))) / distance
    return Working(
        title="energy from the pack, middle of the samples (each row's own middle)",
        formula="E = E_air + E_roll + E_chain + E_climb + E_kinetic + E_brake + E_motor + E_back − E_rider",
        values=(
            *(_watt_hours(*row) for row in rows),
            Quantity(symbol="d", meaning="distance", value=distance, unit="km"),
        ),
        result=_watt_hours("E", f"drawn, {per_km:.1f} Wh/km", books.battery_out),
        source=ENGINE,
    )


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
            _celsius("T", "air temperature", season.temperature),
            Quantity(
                symbol="k_cold", meaning="left by the cold at low current", value=cold, unit="", digits=3
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
        source=COLD_AND_AGE,
    )


def _ageing_step(subject: Subject, count: int, years: float, cautious: int | None) -> Working:
    """The year a module of so many lives, and what each published model makes of the years."""
    assert subject.wear is not None  # noqa: S101 - only for seasons of the last year
    year, ageing = subject.wear.year(count), subject.wear.ageing(count, years)
    values = [
        Quantity(symbol="t", meaning="years of service", value=years, unit="years"),
        Quantity(symbol="z", meaning="full cycles in a year", value=year.full_cycles, unit="", digits=0),
        _percent("D", "depth of the usual ride", year.depth),
        Quantity(
            symbol="C", meaning="mean rate while riding", value=year.discharge_rate, unit="1/h", digits=2
        ),
        _celsius("T_ride", "mean while riding", year.cycle_temperature),
        _celsius("T_store", "warmest while standing", float(year.temperature.max())),
        _percent("k_bound", "capacity left by the harshest model", ageing.bound.capacity_left),
    ]
    if cautious is not None:
        meaning = "modules by the harshest model"
        values.append(Quantity(symbol="n_bound", meaning=meaning, value=cautious, unit="modules", digits=0))
    return Working(
        title=f"what the years leave of each of {count}",
        formula="k_age = 1 − (loss by standing + loss by cycling); fewer modules cycle deeper and age faster",
        values=tuple(values),
        result=_percent("k_age", "capacity left, central estimate", ageing.central.capacity_left),
        source=Source(text="docs/models/ageing.md: published models below", standing=Standing.PUBLISHED),
        steps=tuple(
            Working(
                title=model.title,
                formula="one published model by itself",
                values=(),
                result=_percent("k", "capacity left", model.capacity_left),
                source=model.source,
            )
            for model in ageing.models
        ),
    )


def _percent(symbol: str, meaning: str, share: Fraction) -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=percent_from_fraction(share), unit="%")


def _celsius(symbol: str, meaning: str, temperature: float) -> Quantity:
    return Quantity(
        symbol=symbol, meaning=meaning, value=celsius_from_kelvin(temperature), unit="°C", digits=0
    )


def _watt_hours(symbol: str, meaning: str, energy: FloatArray) -> Quantity:
    """The middle of the samples."""
    middle = watt_hours_from_joules(float(np.median(energy)))
    return Quantity(symbol=symbol, meaning=meaning, value=middle, unit="Wh", digits=0)
