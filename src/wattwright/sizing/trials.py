"""Trials: one ride, in one season, with one count of modules, ridden out once and remembered."""

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from wattwright.pack.supply import lane_factors, supply_of
from wattwright.ride.lanes import Lanes
from wattwright.ride.outcome import Outcome
from wattwright.ride.simulation import ride_out
from wattwright.ride.spread import CentralValues, draw_lanes
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.build_up import added_mass
from wattwright.sizing.plan import Season
from wattwright.sizing.seasons import Weather, coldest_weather, usual_weather
from wattwright.units import Joule

QUICK_SAMPLES: Final = 64
"""Enough for a median energy; decisions take the brief's own samples."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One ride in one season."""

    ride: PlannedRide
    season: Season
    weather: Weather

    @property
    def key(self) -> tuple[str, str, float, float]:
        """What tells this case from the job's others."""
        return (self.ride.name, self.season.title, self.season.capacity_left, self.season.resistance_risen)


@dataclass(slots=True)
class Trials:
    """Rides each case once per count; asking again costs nothing."""

    brief: Brief
    _outcomes: dict[tuple[object, ...], Outcome] = field(default_factory=dict)
    _draws: dict[tuple[object, ...], Lanes] = field(default_factory=dict)

    def outcome(self, case: Case, modules: int, *, quick: bool = False) -> Outcome:
        """The case ridden out with that many modules, their mass on the bicycle."""
        key = (case.key, modules, quick)
        if key not in self._outcomes:
            brief = self.brief
            self._outcomes[key] = ride_out(
                case.ride.path,
                bicycle=brief.bicycle,
                rider=brief.rider,
                drive=brief.drive,
                supply=supply_of(brief.battery_module, modules, brief.open_circuit),
                lanes=self._lanes(case, modules, quick=quick),
            )
        return self._outcomes[key]

    def arriving(self, case: Case, modules: int) -> float:
        """Share of samples that arrive with the reserve."""
        return float(np.mean(self.outcome(case, modules).charge_left >= self.brief.wishes.reserve))

    def without_trip(self, case: Case, modules: int) -> float:
        """Share of samples in which no module's protection lets go for over-current."""
        outcome = self.outcome(case, modules)
        allowed = np.array([point.duration for point in self.brief.battery_module.discharge_protection])
        return float(np.mean(np.all(outcome.longest_above <= allowed[:, None], axis=0)))

    def energy(self, case: Case, modules: int) -> Joule:
        """Median energy drawn from the pack, from a quick trial."""
        return float(np.median(self.outcome(case, modules, quick=True).energy.battery_out))

    def _lanes(self, case: Case, modules: int, *, quick: bool) -> Lanes:
        brief = self.brief
        draw = self._draw(case, quick=quick)
        capacity, resistance = lane_factors(
            brief.battery_module,
            draw.air_temperature,
            capacity_left=case.season.capacity_left,
            resistance_risen=case.season.resistance_risen,
        )
        return replace(
            draw,
            mass=draw.mass + added_mass(brief, modules),
            capacity_factor=draw.capacity_factor * capacity,
            resistance_factor=draw.resistance_factor * resistance,
        )

    def _draw(self, case: Case, *, quick: bool) -> Lanes:
        """The same numbers for every count and age, so that counts differ by their modules alone."""
        samples = QUICK_SAMPLES if quick else self.brief.samples
        key = (case.ride.name, case.weather.title, quick)
        if key not in self._draws:
            self._draws[key] = draw_lanes(
                centre_of(self.brief, case), self.brief.spread, samples, self.brief.seed
            )
        return self._draws[key]


def centre_of(brief: Brief, case: Case) -> CentralValues:
    """Central values of the case, without the conversion's own mass."""
    bicycle, weather, climate = brief.bicycle, case.weather, brief.climate
    return CentralValues(
        mass=brief.rider.mass + bicycle.mass + case.ride.load,
        drag_area=bicycle.drag_area,
        rolling_coefficient=bicycle.rolling_coefficient,
        rider_power=brief.rider.power,
        drivetrain_efficiency=bicycle.drivetrain_efficiency,
        altitude=float(case.ride.path.altitude[0]),
        temperature=weather.temperature,
        temperature_spread=weather.temperature_spread,
        humidity=weather.humidity,
        wind=weather.wind,
        wind_from=climate.wind_from,
        shelter=climate.shelter,
        start_charge=case.ride.start_charge,
    )


def usual_case(brief: Brief, ride: PlannedRide) -> Case:
    """The ride with a new pack in the mean of its months."""
    return _new(ride, usual_weather(brief, ride))


def coldest_case(brief: Brief, ride: PlannedRide) -> Case:
    """The ride with a new pack in its coldest month."""
    return _new(ride, coldest_weather(brief, ride))


def _new(ride: PlannedRide, weather: Weather) -> Case:
    season = Season(
        title=weather.title,
        temperature=weather.temperature,
        age_years=0.0,
        capacity_left=1.0,
        resistance_risen=1.0,
    )
    return Case(ride=ride, season=season, weather=weather)
