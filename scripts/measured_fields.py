"""What our models make of field tests made to measure drag: the numbers of docs/measured-rides.md."""

import csv
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from wattwright.files.tracks import read_track
from wattwright.ride.air import humid_density
from wattwright.ride.calibration import Calibration, calibrated
from wattwright.ride.fit_balance import WHEEL_MASS
from wattwright.ride.fit_laps import LapFit, LapRun, balanced_heights, drag_area_by_laps
from wattwright.ride.fit_priors import ORDINARY, STILL_AIR, Priors
from wattwright.ride.fit_stretches import Known
from wattwright.ride.recorded import RecordedRide, recorded_ride
from wattwright.ride.road_load import DRIVETRAIN_EFFICIENCY, WHEEL_DRAG_AREA, RoadLoad
from wattwright.ride.wind import headwind_of_components
from wattwright.units import (
    METRES_PER_INCH,
    FloatArray,
    Kilogram,
    Metre,
    SquareMetre,
    kelvin_from_celsius,
    metres_per_second_from_km_h,
    seconds_from_minutes,
)

SPHERE_LAP: Final = 925.0
"""[m] About; found more closely by the repeating of speed."""
SPHERE_DRAG: Final = 0.47
"""Drag coefficient of a smooth ball below its drag crisis (memory)."""
ROAD_LAP: Final = 1215.0
"""[m] Out and back, about."""
ROAD_SHELTER: Final = 0.6
"""Wind at rider height over that at the station; assumption (open land, 0.635 by the log profile)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SphereRun:
    """One run with a ball on a rod."""

    body: str
    frontal_area: SquareMetre
    """Of the ball."""
    given: SquareMetre
    """Drag area the tester had."""
    closes: Metre
    """Height of the end over the start, with all of the tester's values."""
    relief: Metre
    fit: LapFit
    distance: FloatArray
    heights: FloatArray


def sphere_runs(folder: Path) -> tuple[SphereRun, ...]:
    """Bare rod, 2 in ball, 3 in ball, in that order."""
    tests = folder / "rides" / "field-tests"
    with (tests / "sphere-test-conditions.csv").open(encoding="utf-8") as file:
        conditions = list(csv.DictReader(file))
    runs = [_sphere_run(tests / f"sphere-test-run{row['run']}.csv", row) for row in conditions]
    return tuple(sorted(runs, key=lambda run: run.frontal_area))


def _sphere_run(path: Path, row: dict[str, str]) -> SphereRun:
    minutes, _, speed, power, _ = np.loadtxt(path, delimiter=",", skiprows=1, unpack=True)
    # Times are written to 1/1000 min, which jitters by 5 % of a sample; the sampling itself is even.
    count = len(minutes)
    step = np.full(count, seconds_from_minutes(float(minutes[-1] - minutes[0])) / (count - 1))
    step[0] = 0.0
    body = row["added_body"]
    given = float(row["author_CdA_m2"])
    run = LapRun(
        step=step,
        speed=metres_per_second_from_km_h(1.0) * speed,
        wheel_power=power,  # measured in the hub
        headwind=np.zeros(count),
        wheel_mass=0.0,
        load=RoadLoad(
            mass=float(row["total_mass_kg"]),
            drag_area=given,
            rolling_coefficient=float(row["author_Crr"]),
            density=float(row["air_density_kg_m3"]),
            has_bearing_friction=False,  # in the tester's rolling coefficient
        ),
    )
    heights = balanced_heights(run)
    diameter = float(body.split()[0]) * METRES_PER_INCH if "in" in body.split() else 0.0
    return SphereRun(
        body=body,
        frontal_area=float(np.pi / 4.0 * diameter**2),
        given=given,
        closes=float(heights[-1] - heights[0]),
        relief=float(np.ptp(heights)),
        fit=drag_area_by_laps(run, SPHERE_LAP),
        distance=np.cumsum(run.speed * step),
        heights=heights,
    )


def lap_error(runs: tuple[SphereRun, ...]) -> SquareMetre:
    """Standard error of a run's drag area, from the scatter between laps of all runs together."""
    scatter = [np.var(run.fit.by_lap, ddof=1) for run in runs]
    laps = len(runs[0].fit.by_lap)
    return float((np.mean(scatter) / laps) ** 0.5)


def drag_by_frontal_area(runs: tuple[SphereRun, ...]) -> tuple[float, float]:
    """Slope of fitted drag area over the ball's frontal area, its drag coefficient, with standard error."""
    area = np.array([run.frontal_area for run in runs])
    drag = np.array([run.fit.drag_area for run in runs])
    from_mean = area - area.mean()
    spread = float((from_mean**2).sum())
    return float(from_mean @ drag / spread), lap_error(runs) / spread**0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadRun:
    """One run out and back on one road, without trusting its altimeter."""

    name: str
    fit: LapFit
    altimeter: Metre
    """How far recorded heights of the north end differ between passes."""


ROAD_MASS: Final[Kilogram] = 65.8 + 9.0
"""Rider by the file, bicycle assumed."""


def road_runs(folder: Path) -> tuple[RoadRun, ...]:
    """Both out-and-back runs."""
    tests = folder / "rides" / "field-tests"
    with (tests / "outandback-weather.csv").open(encoding="utf-8") as file:
        weather = list(csv.DictReader(file))
    warm, humid, pressure, wind = (
        float(np.mean([float(row[key]) for row in weather]))
        for key in ("temp_C", "rel_humidity_pct", "pressure_hPa", "wind_m_s_at_station")
    )
    density = humid_density(kelvin_from_celsius(warm), 100.0 * pressure, humid / 100.0)
    recordings = [recorded_ride(read_track(tests / f"outandback-run{n}.fit").track) for n in (1, 2)]
    return tuple(
        RoadRun(
            name=f"outandback-run{number}",
            fit=drag_area_by_laps(_road_run(recorded, density, wind * ROAD_SHELTER), ROAD_LAP),
            altimeter=_disagreement(recorded),
        )
        for number, recorded in enumerate(recordings, start=1)
    )


def _road_run(recorded: RecordedRide, density: float, wind: float) -> LapRun:
    return LapRun(
        step=recorded.step,
        speed=recorded.speed,
        wheel_power=DRIVETRAIN_EFFICIENCY * np.nan_to_num(recorded.power),
        headwind=headwind_of_components(recorded.heading, -wind, 0.0),  # from the south
        wheel_mass=WHEEL_MASS,
        load=RoadLoad(
            mass=ROAD_MASS,
            drag_area=0.0,
            rolling_coefficient=0.005,
            density=density,
        ),
    )


def _disagreement(recorded: RecordedRide) -> Metre:
    """Range of recorded heights within 30 m of the north end."""
    north = recorded.latitude > recorded.latitude.max() - 30.0 / 111_000.0
    return float(np.ptp(recorded.altitude[north]))


def spokes_left_out(fit: LapFit) -> SquareMetre:
    """The drag area as a calibration counts it, the wheels' spokes apart."""
    return fit.drag_area - WHEEL_DRAG_AREA


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrackRun:
    """One steady run on a track or circuit."""

    name: str
    said: str
    calibration: Calibration


TRACK_MASS: Final[Kilogram] = 80.0
TRACK_TYRES: Final = replace(ORDINARY.rolling_coefficient, value=0.0025, spread=0.10)
"""Best racing tyres on a smooth hard surface: 0.0022 on steel rollers by the references; else assumption."""


def track_runs(folder: Path) -> tuple[TrackRun, ...]:
    """Three runs on an indoor track, one on a circuit."""
    tests = folder / "rides" / "field-tests"
    indoors = replace(ORDINARY, wind=STILL_AIR, rolling_coefficient=TRACK_TYRES)
    level = Known(density=humid_density(293.15, 93_400.0, 0.5), is_flat=True)
    rows: list[tuple[str, str, Known, Priors]] = [
        (f"velodrome-run{number}.tcx.gz", "indoors, level, still", level, indoors) for number in (1, 2, 3)
    ]
    rows.append(("circuit-run4.tcx.gz", "outdoors, recorded heights", Known(), ORDINARY))
    return tuple(
        TrackRun(
            name=name,
            said=said,
            calibration=calibrated(
                recorded_ride(read_track(tests / name).track),
                TRACK_MASS,
                mass_spread=5.0,
                known=known,
                priors=priors,
            ),
        )
        for name, said, known, priors in rows
    )
