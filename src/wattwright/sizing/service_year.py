"""The job's own year as one module lives it, and what so many of them leave."""

from dataclasses import dataclass, field

import numpy as np

from wattwright.pack.ageing import Ageing, faded
from wattwright.pack.year import Year, year_of_service
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.plan import Season
from wattwright.sizing.seasons import Weather, coldest_weather
from wattwright.sizing.trials import Case, Trials, usual_case
from wattwright.units import DAYS_PER_MONTH, SECONDS_PER_HOUR, Coulomb, FloatArray

WEEKS_PER_MONTH = DAYS_PER_MONTH / 7.0
SHALLOWEST = 1e-3
"""Depth that stands for a job without a ride in a usual week."""


@dataclass(slots=True)
class Wear:
    """What the job's years leave, by count: more modules share the work and age more slowly."""

    trials: Trials
    _years: dict[int, Year] = field(default_factory=dict)
    _ageing: dict[tuple[int, float], Ageing] = field(default_factory=dict)

    def year(self, modules: int) -> Year:
        """The year of service of one of so many modules."""
        if modules not in self._years:
            self._years[modules] = job_year(self.trials, modules)
        return self._years[modules]

    def ageing(self, modules: int, years: float) -> Ageing:
        """What so many such years leave of it."""
        key = (modules, years)
        if key not in self._ageing:
            chemistry = self.trials.brief.battery_module.chemistry
            self._ageing[key] = faded(chemistry, self.year(modules), years)
        return self._ageing[key]

    def case(self, ride: PlannedRide, modules: int, years: float, *, cautious: bool = False) -> Case:
        """The ride in its coldest month at the end of those years.

        Args:
            ride: Of the brief.
            modules: In the pack.
            years: Of service.
            cautious: By the bound of the ageing models instead of their central estimate.
        """
        ageing = self.ageing(modules, years)
        fade = ageing.bound if cautious else ageing.central
        weather = coldest_weather(self.trials.brief, ride)
        season = Season(
            title=last_season(weather, years) + (", harshest ageing" if cautious else ""),
            temperature=weather.temperature,
            age_years=years,
            capacity_left=fade.capacity_left,
            resistance_risen=fade.resistance_risen,
        )
        return Case(ride=ride, season=season, weather=weather)


def last_season(weather: Weather, years: float) -> str:
    """What the coldest month of the last year is called."""
    return f"{weather.title} of year {years:g}"


def job_year(trials: Trials, modules: int) -> Year:
    """The year of service of one module of the pack.

    Args:
        trials: Of the brief; a quick one tells what each ride draws.
        modules: More of them share the work: shallower cycles, slower ageing.

    Notes:
        The year is the job's own: each ride's median energy in its usual weather at this count, as often and
        in the months it is ridden; the pack stands at the storage temperature and charge between rides.
        Charge drawn is energy at the terminals over nominal voltage. Depth, rate and charge at the start are
        means over the year's rides.
    """
    brief, kind = trials.brief, trials.brief.battery_module
    drawn = np.array([_drawn_by(trials, ride, modules) for ride in brief.rides])
    hours = np.array([_hours(trials, ride, modules) for ride in brief.rides])
    often = np.array([ride.times_per_week * len(ride.months) for ride in brief.rides]) + 1e-9
    start = float(np.average([ride.start_charge for ride in brief.rides], weights=often))
    depth = float(np.average(drawn, weights=often)) / kind.capacity
    return year_of_service(
        month_temperature=np.full(12, brief.storage_temperature),
        month_charge_drawn=_by_month(brief, drawn),
        ride_depth=np.array([np.clip(depth, SHALLOWEST, 1.0)]),
        capacity=kind.capacity,
        storage_charge=brief.storage_charge,
        start_charge=start,
        discharge_rate=float(np.average(drawn / hours, weights=often)) / kind.capacity,
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


def _by_month(brief: Brief, drawn: FloatArray) -> FloatArray:
    month = np.zeros(12)
    for ride, charge in zip(brief.rides, drawn, strict=True):
        for number in ride.months:
            month[number - 1] += charge * ride.times_per_week * WEEKS_PER_MONTH
    return month
