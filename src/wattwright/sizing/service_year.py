"""The job's own year as one module lives it, and what so many of them leave."""

import numpy as np

from wattwright.pack.ageing import Ageing, faded
from wattwright.pack.year import Year, year_of_service
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.plan import Season
from wattwright.sizing.seasons import coldest_weather
from wattwright.sizing.trials import Case, Trials, usual_case
from wattwright.units import DAYS_PER_MONTH, SECONDS_PER_HOUR, Coulomb, FloatArray

WEEKS_PER_MONTH = DAYS_PER_MONTH / 7.0
DEEPEST = 1.0


def ageing_after(trials: Trials, modules: int, years: float) -> Ageing:
    """What the years of this job leave of a pack of that many modules.

    Args:
        trials: Of the brief; a quick one tells what each ride draws.
        modules: More of them share the work: shallower cycles, slower ageing.
        years: Of service.

    Notes:
        The year is the job's own: each ride's median energy in its usual weather, as often and in the months
        it is ridden; the pack stands at the storage temperature and charge between rides. Models:
        docs/models/ageing.md.
    """
    return faded(trials.brief.battery_module.chemistry, job_year(trials, modules), years)


def job_year(trials: Trials, modules: int) -> Year:
    """The year of service of one module of the pack."""
    brief = trials.brief
    drawn = [_drawn_by(trials, ride, modules) for ride in brief.rides]
    kind = brief.battery_module
    hours = [_hours(trials, ride, modules) for ride in brief.rides]
    weight = np.array([ride.times_per_week * len(ride.months) for ride in brief.rides]) + 1e-9
    rate = float(np.average(np.array(drawn) / np.array(hours), weights=weight)) / kind.capacity
    return year_of_service(
        month_temperature=np.full(12, brief.storage_temperature),
        month_charge_drawn=_by_month(brief, drawn),
        ride_depth=np.clip(np.array(drawn) / kind.capacity, 1e-3, DEEPEST),
        capacity=kind.capacity,
        storage_charge=brief.storage_charge,
        discharge_rate=rate,
        charge_rate=brief.charger.current / modules * SECONDS_PER_HOUR / kind.capacity,
        ride_temperature=np.array([month.temperature for month in brief.climate.months]),
    )


def _drawn_by(trials: Trials, ride: PlannedRide, modules: int) -> Coulomb:
    """Charge one module gives on the ride, at most its capacity."""
    case = usual_case(trials.brief, ride)
    kind = trials.brief.battery_module
    return min(trials.energy(case, modules) / modules / kind.nominal_voltage, kind.capacity)


def _hours(trials: Trials, ride: PlannedRide, modules: int) -> float:
    outcome = trials.outcome(usual_case(trials.brief, ride), modules, quick=True)
    return float(np.median(outcome.time)) / SECONDS_PER_HOUR


def _by_month(brief: Brief, drawn: list[Coulomb]) -> FloatArray:
    month = np.zeros(12)
    for ride, charge in zip(brief.rides, drawn, strict=True):
        for number in ride.months:
            month[number - 1] += charge * ride.times_per_week * WEEKS_PER_MONTH
    return month


def last_year_case(trials: Trials, ride: PlannedRide, modules: int, *, cautious: bool = False) -> Case:
    """The ride in its coldest month at the end of the years of service, with a pack of that many modules.

    Args:
        trials: Of the brief.
        ride: Of the brief.
        modules: In the pack.
        cautious: By the bound of the ageing models instead of their central estimate.
    """
    years = trials.brief.wishes.years
    ageing = ageing_after(trials, modules, years)
    fade = ageing.bound if cautious else ageing.central
    weather = coldest_weather(trials.brief, ride)
    season = Season(
        title=f"year {years:.0f}, {weather.title}" + (" (cautious)" if cautious else ""),
        temperature=weather.temperature,
        age_years=years,
        capacity_left=fade.capacity_left,
        resistance_risen=fade.resistance_risen,
    )
    return Case(ride=ride, season=season, weather=weather)
