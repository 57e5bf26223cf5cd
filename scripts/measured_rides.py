"""What our models make of recorded rides with power: the numbers of docs/measured-rides.md.

The files stand beside the repository, not in it; their list and licences are in the data folder's own notes.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.files.tracks import read_track
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import AssistKind, AssistLaw, Controller, Drive, Motor, MotorPosition
from wattwright.parts.supply import Supply
from wattwright.ride.air import air_density
from wattwright.ride.calibration import Calibration, calibration_of, energy_asked, unfitted_energies
from wattwright.ride.fit_pacing import Pacing, paced
from wattwright.ride.fit_stretches import FILL_TEMPERATURE, Stretches, stretches_of
from wattwright.ride.lanes import Lanes
from wattwright.ride.outcome import Outcome
from wattwright.ride.path_building import BuiltPath, path_from_track
from wattwright.ride.recorded import RecordedRide, recorded_ride
from wattwright.ride.rider import Rider
from wattwright.ride.simulation import ride_out
from wattwright.ride.track import Track
from wattwright.units import FloatArray, Joule, Kilogram, Metre, Second, seconds_from_minutes

AIM: Final = 0.03
"""Of predicting one half of a ride from the other."""
SAMPLES: Final = 400
SEED: Final = 1
"""Of the draws of ordinary coefficients."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ride:
    """One recorded ride and what is said of its mass."""

    file: str
    mass: Kilogram
    mass_spread: Kilogram
    said: str


ASSUMED: Final = "76 kg of rider and 9 kg of bicycle, assumed"
RIDES: Final = (
    Ride(
        file="hilly-57km-power.fit",
        mass=90.0,
        mass_spread=2.0,
        said="81 kg of rider by the file, 9 kg of bicycle assumed",
    ),
    Ride(file="mountain-51km-power-4s.tcx", mass=85.0, mass_spread=6.0, said=ASSUMED),
    Ride(file="cold-79km-power-stops.fit", mass=85.0, mass_spread=6.0, said=ASSUMED),
    Ride(file="rolling-41km-power.fit", mass=85.0, mass_spread=6.0, said=ASSUMED),
    Ride(file="flat-54km-power.fit", mass=85.0, mass_spread=6.0, said=ASSUMED),
    Ride(file="uphill-21km-power-gpxext.gpx", mass=85.0, mass_spread=6.0, said=ASSUMED),
)

Mask = npt.NDArray[np.bool_]
SPLITS: Final[dict[str, Callable[[Stretches], Mask]]] = {
    "every other kilometre": lambda stretches: _every_other(stretches.distance, 1000.0),
    "every other 2 km": lambda stretches: _every_other(stretches.distance, 2000.0),
    "every other 10 min": lambda stretches: _every_other(
        np.cumsum(stretches.by_cell(stretches.step)), seconds_from_minutes(10.0)
    ),
    "first and second half": lambda stretches: _first_half(stretches.by_cell(stretches.work)),
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ridden:
    """One ride as the models have it."""

    ride: Ride
    stretches: Stretches
    calibration: Calibration
    pacing: Pacing
    measured: Joule
    """Work at the crank while moving."""
    unfitted: tuple[float, float, float]
    """10, 50 and 90 % of unfitted energy over measured."""
    halves: dict[str, tuple[float, float]]
    """By split: predicted over measured energy of the half not fitted on, less 1, both ways."""
    moving_time: Second
    time_by_power: float
    """Ridden from the measured power over measured moving time."""
    time_by_habit: float
    """Ridden as the fitted rider paces, over measured."""
    energy_by_habit: float

    @property
    def is_covered(self) -> bool:
        """Whether the unfitted 80 % interval holds the measured energy."""
        return self.unfitted[0] <= 1.0 <= self.unfitted[2]


def ridden(folder: Path, ride: Ride) -> Ridden:
    """Everything about one ride: fitted, predicted half from half, unfitted, and ridden again."""
    track = read_track(folder / "rides" / ride.file).track
    recorded = recorded_ride(track)
    stretches = stretches_of(recorded)
    told = calibration_of(stretches, ride.mass, title=ride.file, mass_spread=ride.mass_spread)
    habits = paced(stretches)
    built = path_from_track(track)
    by_power = _ride_again(built, recorded, told, habits, effort_along(built, recorded, habits))
    by_habit = _ride_again(built, recorded, told, habits, None)
    measured = float(stretches.work.sum())
    return Ridden(
        ride=ride,
        stretches=stretches,
        calibration=told,
        pacing=habits,
        measured=measured,
        unfitted=_unfitted(stretches, ride),
        halves={name: _halves(stretches, ride, split(stretches)) for name, split in SPLITS.items()},
        moving_time=built.moving_time,
        time_by_power=_moving(by_power) / built.moving_time,
        time_by_habit=_moving(by_habit) / built.moving_time,
        energy_by_habit=float(by_habit.energy.rider[0]) / measured,
    )


def _halves(stretches: Stretches, ride: Ride, first: Mask) -> tuple[float, float]:
    """Fit on one half, ask for the other, both ways: relative errors."""
    work = stretches.by_cell(stretches.work)
    errors = []
    for fitted_on in (first, ~first):
        told = calibration_of(
            stretches, ride.mass, title=ride.file, mass_spread=ride.mass_spread, cells=fitted_on
        )
        asked = energy_asked(stretches, told)
        errors.append(float(asked[~fitted_on].sum() / work[~fitted_on].sum() - 1.0))
    return errors[0], errors[1]


def _unfitted(stretches: Stretches, ride: Ride) -> tuple[float, float, float]:
    drawn = unfitted_energies(stretches, ride.mass, mass_spread=ride.mass_spread, samples=SAMPLES, seed=SEED)
    low, middle, high = np.quantile(drawn, [0.1, 0.5, 0.9]) / stretches.work.sum()
    return float(low), float(middle), float(high)


def _every_other(along: FloatArray, piece: float) -> Mask:
    return np.asarray(along // piece % 2 == 0)


def _first_half(work: FloatArray) -> Mask:
    done = np.cumsum(work)
    return np.asarray(done < 0.5 * done[-1])


def effort_along(built: BuiltPath, recorded: RecordedRide, habits: Pacing) -> FloatArray:
    """Measured power in each segment over the rider's usual; the usual one where nothing was recorded."""
    known = recorded.moving & np.isfinite(recorded.power)
    work = np.cumsum(np.where(known, np.nan_to_num(recorded.power) * recorded.step, 0.0))
    time = np.cumsum(np.where(known, recorded.step, 0.0))
    ends = np.concatenate([[0.0], np.cumsum(built.path.length)])
    ends *= recorded.distance[-1] / ends[-1]
    done, taken = (np.diff(np.interp(ends, recorded.distance, column)) for column in (work, time))
    fastest = 25.0
    recorded_well = taken > built.path.length / fastest
    return np.where(recorded_well, done / np.maximum(taken, 1e-3) / habits.power, 1.0)


def _moving(outcome: Outcome) -> Second:
    return float(outcome.time[0] - outcome.standing[0])


def _ride_again(
    built: BuiltPath, recorded: RecordedRide, told: Calibration, habits: Pacing, effort: FloatArray | None
) -> Outcome:
    """Ride the path without a drive, by measured effort or by habit."""
    rider = habits.of(
        Rider(
            mass=75.0,
            power=0.0,
            power_per_grade=0.0,
            cadence=8.0,
            easing_speed=0.0,
            coasting_speed=0.0,
            strongest_push=400.0,
        )
    )
    if effort is not None:  # measured power holds the easing already
        rider = replace(rider, easing_speed=90.0, coasting_speed=100.0)
    return ride_out(
        built.path,
        bicycle=BICYCLE,
        rider=rider,
        drive=NO_DRIVE,
        supply=IDLE_SUPPLY,
        lanes=_lane(built, recorded, told, habits),
        effort=effort,
    )


def _lane(built: BuiltPath, recorded: RecordedRide, told: Calibration, habits: Pacing) -> Lanes:
    felt = recorded.temperature[np.isfinite(recorded.temperature)]
    warmth = float(np.median(felt)) if len(felt) else FILL_TEMPERATURE
    values = {
        "mass": told.mass.value,
        "drag_area": told.drag_area.value,
        "rolling_coefficient": told.rolling_coefficient.value,
        "air_density": air_density(float(built.path.altitude[0]), warmth, 0.6),
        "wind_north": told.wind_north.value,
        "wind_east": told.wind_east.value,
        "air_temperature": warmth,
        "rider_power": habits.power,
        "drivetrain_efficiency": told.drivetrain_efficiency.value,
        "capacity_factor": 1.0,
        "resistance_factor": 1.0,
        "start_charge": 1.0,
    }
    return Lanes(**{name: np.array([value]) for name, value in values.items()})


BICYCLE: Final = Bicycle(
    title="as fitted",
    mass=9.0,
    wheel_radius=0.311,
    wheel_inertia=0.14,
    rolling_coefficient=0.006,
    drag_area=0.40,
    drivetrain_efficiency=0.977,
    lowest_gear=0.8,
    highest_gear=4.0,
)
"""Wheels after Martin et al. 1998; the coefficients come with the lane."""
NO_DRIVE: Final = Drive(
    name="none",
    title="No drive",
    position=MotorPosition.HUB,
    motor=Motor(
        torque_constant=1.0,
        resistance=0.2,
        no_load_current=0.0,
        winding_heat_capacity=500.0,
        housing_heat_capacity=1500.0,
        winding_to_housing=0.5,
        housing_to_air=0.5,
        airflow_gain=0.0,
        rollback_start=400.0,
        hottest_winding=430.0,
    ),
    controller=Controller(
        battery_current_limit=1.0,
        phase_current_limit=1.0,
        regeneration_current_limit=0.0,
        efficiency=0.95,
        standby_power=0.0,
        rollback_start_voltage=40.0,
        cutoff_voltage=39.0,
        maximum_voltage=60.0,
    ),
    assist=AssistLaw(
        kind=AssistKind.HELD_POWER, multiple=0.0, power=0.0, speed=0.0, fade_start=6.0, cutoff=7.0
    ),
    gear_ratio=1.0,
    gear_efficiency=0.95,
    freewheels=True,
    peak_torque=1.0,
    rated_power=1.0,
    mass=0.0,
    price=0.0,
)
"""Gives nothing and drags nothing."""
IDLE_SUPPLY: Final = Supply(
    modules=1,
    open_circuit_voltage=np.linspace(42.0, 54.0, 101),
    resistance=np.full(101, 0.1),
    relaxation_resistance=np.full(101, 0.05),
    relaxation_time=30.0,
    capacity=7200.0,
    protection=(),
    minimum_voltage=39.0,
    maximum_voltage=55.0,
    regeneration_current=0.0,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """One file of a ride that exists in several forms."""

    form: str
    distance: Metre
    measured: Joule
    """Work at the crank while moving."""
    modelled: Joule
    """By ordinary coefficients."""


def copy_of(form: str, track: Track) -> Copy:
    """The energies of one copy."""
    recorded = recorded_ride(track)
    stretches = stretches_of(recorded)
    one = unfitted_energies(stretches, 90.0, mass_spread=1e-6, samples=40, seed=SEED)
    return Copy(
        form=form,
        distance=float(recorded.distance[-1]),
        measured=float(stretches.work.sum()),
        modelled=float(one.mean()),
    )


def copies(folder: Path) -> tuple[Copy, ...]:
    """The hilly ride as FIT and as GPX."""
    return tuple(
        copy_of(form, read_track(folder / "rides" / f"hilly-57km-power.{name}").track)
        for form, name in (("FIT", "fit"), ("GPX", "gpx.gz"))
    )
