"""Drag from laps: the road comes back to its height, whether or not an altimeter says so.

For field tests on one loop, or out and back on one road, with power but without trustworthy heights.
"""

from dataclasses import dataclass, replace

import numpy as np

from wattwright.errors import InputError
from wattwright.ride.road_load import RoadLoad, aerodynamic_force, wheel_force
from wattwright.units import STANDARD_GRAVITY, FloatArray, Kilogram, Metre, SquareMetre

GRID: Metre = 1.0
"""[m] Heights are compared at places this far apart."""
LAP_SEARCH = 0.06
"""Share by which the lap may differ from the length given."""
FEWEST_LAPS = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LapRun:
    """A steady recording of laps; every array has shape (samples,)."""

    step: FloatArray
    """Time since the sample before, 0 for the first. [s]"""
    speed: FloatArray
    """[m/s]"""
    wheel_power: FloatArray
    """At the wheel: the crank's times the drive-train's efficiency. [W]"""
    headwind: FloatArray
    """Against travel, at rider height. [m/s]"""
    load: RoadLoad
    """Mass, rolling and air; its grade and headwind are not looked at."""
    wheel_mass: Kilogram
    """``equivalent_mass`` of the wheels."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LapFit:
    """Drag area that brings each lap back to the height of the one before."""

    drag_area: SquareMetre
    """With the wheels' spokes, where the run's load counts none apart."""
    standard_error: SquareMetre
    """From the scatter between laps."""
    by_lap: tuple[SquareMetre, ...]
    """From each lap to the next."""
    lap: Metre


def balanced_heights(run: LapRun) -> FloatArray:
    """Height above the start that balances the work, sample by sample.

    Args:
        run: With the drag area to be believed in its load.

    Returns:
        (samples,) [m]

    Notes:
        m g Δh = P Δt − F(v) v Δt − ½ (m + I/r²) Δ(v²), F the road load of Martin et al. 1998 on the flat.
    """
    rest = _work_left(replace(run, load=replace(run.load, drag_area=0.0)))
    return np.cumsum(rest - run.load.drag_area * _drag_work(run)) / (run.load.mass * STANDARD_GRAVITY)


def drag_area_by_laps(run: LapRun, lap: Metre) -> LapFit:
    """Drag area under which laps keep their height.

    Args:
        run: Three laps or more, ridden without brakes.
        lap: Its length, to within 6 %; the repeating of speed tells it exactly. [m]

    Returns:
        Drag area with standard error.

    Raises:
        InputError: If the run holds fewer than three laps.

    Notes:
        Heights are linear in the drag area: h = b − CdA a. Averaged over whole laps, CdA = (b̄ⱼ₊₁ − b̄ⱼ) /
        (āⱼ₊₁ − āⱼ) needs neither the road's profile nor an exact lap. Rolling resistance must be given: on a
        loop of one kind the two are confounded.
    """
    place = np.cumsum(run.speed * run.step)
    grid = np.arange(0.0, place[-1], GRID)
    free = replace(run, load=replace(run.load, drag_area=0.0))
    weight = run.load.mass * STANDARD_GRAVITY
    base, by_area, speed = (
        np.interp(grid, place, values)
        for values in (np.cumsum(_work_left(free)) / weight, np.cumsum(_drag_work(run)) / weight, run.speed)
    )
    cells = _lap_cells(speed, lap)
    laps = len(grid) // cells
    if laps < FEWEST_LAPS:
        raise InputError("laps", laps, f"{FEWEST_LAPS} or more")
    means = [values[: laps * cells].reshape(laps, cells).mean(axis=1) for values in (base, by_area)]
    by_lap = np.diff(means[0]) / np.diff(means[1])
    whole = (means[0][-1] - means[0][0]) / (means[1][-1] - means[1][0])
    error = float(by_lap.std(ddof=1)) / len(by_lap) ** 0.5
    return LapFit(
        drag_area=float(whole), standard_error=error, by_lap=tuple(by_lap.tolist()), lap=cells * GRID
    )


def _work_left(run: LapRun) -> FloatArray:
    """Work in each step that went neither into rolling and bearings nor into speed (drag area 0)."""
    before = np.concatenate([run.speed[:1], run.speed[:-1]])
    road = replace(run.load, grade=0.0, headwind=0.0)
    resisted = np.asarray(wheel_force(run.speed, road)) * run.speed * run.step
    motion = 0.5 * (run.load.mass + run.wheel_mass) * (run.speed**2 - before**2)
    return np.asarray(run.wheel_power * run.step - resisted - motion)


def _drag_work(run: LapRun) -> FloatArray:
    """Work against air in each step, by square metre of drag area."""
    force = aerodynamic_force(run.speed, run.headwind, run.load.density, 1.0)
    return np.asarray(force * run.speed * run.step)


def _lap_cells(speed: FloatArray, lap: Metre) -> int:
    """Lap length in grid cells at which speeds repeat best."""
    low, high = (int(lap * share / GRID) for share in (1.0 - LAP_SEARCH, 1.0 + LAP_SEARCH))
    tried = range(max(low, 1), min(high, len(speed) - 1) + 1)
    if not tried:
        raise InputError("laps", 0, f"{FEWEST_LAPS} or more")
    return min(tried, key=lambda cells: float(np.mean((speed[cells:] - speed[:-cells]) ** 2)))
