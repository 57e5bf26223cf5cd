"""Trials: one ride, in one season, with one count of modules, ridden out once and remembered."""

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.pack.protection import lets_go
from wattwright.pack.supply import lane_factors, supply_of
from wattwright.ride.lanes import Lanes
from wattwright.ride.outcome import Outcome
from wattwright.ride.simulation import ride_out
from wattwright.ride.spread import CentralValues, draw_lanes
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.build_up import added_mass
from wattwright.sizing.plan import Season
from wattwright.sizing.seasons import Weather, coldest_weather, usual_weather
from wattwright.units import Fraction, Joule

HELD_BACK: Final[Fraction] = 0.10
"""Share of a ride's time with less help than asked that still counts as helped all the way; assumption."""
QUICK_SAMPLES: Final = 64
"""Enough for a median energy; close decisions take the brief's own samples."""
CLEARLY: Final[Fraction] = 0.08
"""A share of the quick samples that far from the confidence decides by itself.

Four standard deviations: of 256 samples the share has one of 1 point (docs/models/window.md), of 64 of 2.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One ride in one season."""

    ride: PlannedRide
    season: Season
    weather: Weather

    @property
    def key(self) -> tuple[object, ...]:
        """What tells this case from the job's others."""
        ride, season = self.ride, self.season
        return (
            ride.name,
            ride.load,
            ride.start_charge,
            season.title,
            season.capacity_left,
            season.resistance_risen,
        )


@dataclass(slots=True)
class Trials:
    """Rides each case once per count; asking again costs nothing."""

    brief: Brief
    _outcomes: dict[tuple[object, ...], Outcome] = field(default_factory=dict)
    _draws: dict[tuple[object, ...], Lanes] = field(default_factory=dict)

    def changed(self, brief: Brief) -> "Trials":
        """Trials of the same job with other wishes, places, limits or help; what was ridden is not lost.

        Rider, bicycle, module, climate, spread, samples and seed must be the same.
        """
        return Trials(brief, self._outcomes, self._draws)

    def outcome(self, case: Case, modules: int, *, quick: bool = False, off: int = 0) -> Outcome:
        """The case ridden out with the mass of that many modules, ``off`` of them switched off."""
        brief = self.brief
        key = (case.key, modules, off, quick, brief.drive, added_mass(brief, modules))
        if key not in self._outcomes:
            self._outcomes[key] = ride_out(
                case.ride.path,
                bicycle=brief.bicycle,
                rider=brief.rider,
                drive=brief.drive,
                supply=supply_of(brief.battery_module, modules - off, brief.open_circuit),
                lanes=self._lanes(case, modules, quick=quick),
            )
        return self._outcomes[key]

    def arriving(self, case: Case, modules: int, *, quick: bool = False) -> float:
        """Share of samples that arrive with the reserve, helped nine tenths of the time."""
        outcome = self.outcome(case, modules, quick=quick)
        return float(np.mean(self.helped(outcome) & (outcome.charge_left >= self.brief.wishes.reserve)))

    def arrive(self, case: Case, modules: int) -> bool:
        """Whether enough samples arrive; by a quick trial alone where that leaves no doubt."""
        quick = self.arriving(case, modules, quick=True)
        return self._enough(quick if self._is_clear(quick) else self.arriving(case, modules))

    def bear(self, case: Case, modules: int, *, off: int = 0) -> bool:
        """Whether in enough samples no protection lets go; by a quick trial alone where that is clear."""
        quick = self.without_trip(case, modules, off=off, quick=True)
        return self._enough(quick if self._is_clear(quick) else self.without_trip(case, modules, off=off))

    def _is_clear(self, share: Fraction) -> bool:
        return abs(share - self.brief.wishes.confidence) > CLEARLY

    def _enough(self, share: Fraction) -> bool:
        return share >= self.brief.wishes.confidence

    def helped(self, outcome: Outcome, held_back: Fraction = HELD_BACK) -> npt.NDArray[np.bool_]:
        """(lanes,) whether the pack gave the help that was asked for, but for that share of the time.

        A pack whose voltage is down gives less and less help, so its last per cent are never used: a rider
        left alone would "arrive with 3 % left". Where the motor was hot the lane is let pass: what heat holds
        back more modules do not bring.
        """
        hot = outcome.hottest_winding > self.brief.drive.motor.rollback_start
        return hot | (outcome.rolled_back <= held_back * outcome.time)

    def with_reserve(self, case: Case, modules: int) -> float:
        """Share of samples that arrive with the reserve, helped or not."""
        return float(np.mean(self.outcome(case, modules).charge_left >= self.brief.wishes.reserve))

    def without_trip(self, case: Case, modules: int, *, off: int = 0, quick: bool = False) -> float:
        """Share of samples in which no module's protection lets go for over-current."""
        outcome = self.outcome(case, modules, quick=quick, off=off)
        return float(1.0 - np.mean(lets_go(outcome.longest_above, self.brief.battery_module)))

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
        key = (case.ride.name, case.ride.load, case.ride.start_charge, case.weather.title, quick)
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
