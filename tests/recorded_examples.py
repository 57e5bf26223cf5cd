"""Recordings made by riding known coefficients forward, with gusts, a moody rider and imperfect meters."""

from dataclasses import dataclass

import numpy as np

from wattwright.ride.track import Track
from wattwright.units import FloatArray

GRAVITY = 9.80665
METRES_PER_DEGREE = 111_195.0
RHO = 1.2
INTERNAL_STEP = 0.25


@dataclass(frozen=True, kw_only=True)
class Truth:
    """What a fit should find again; SI. ``drag_area`` includes nothing of the wheels' spokes."""

    drag_area: float = 0.40
    rolling: float = 0.006
    efficiency: float = 0.977
    mass: float = 88.0
    wind_north: float = 1.5
    wind_east: float = -1.0
    gust: float = 1.0
    """Standard deviation along the road. [m/s]"""
    gust_time: float = 30.0
    power: float = 170.0
    power_per_grade: float = 1200.0
    easing_speed: float = 11.0
    coasting_speed: float = 15.0
    fastest: float = 16.0
    """The rider brakes to it."""
    distance: float = 40_000.0
    hilliness: float = 0.6
    """Scale of the hills: at 1 the steepest are about 10 %."""
    mood: float = 0.12
    """Relative standard deviation of power over 15 s."""


def simulated_track(seed: int, truth: Truth, *, headings: bool = True, steady_power: bool = False) -> Track:
    """Ride the truth forward and record it once a second.

    Args:
        seed: Of hills, bends, gusts, moods and noise.
        truth: What is ridden.
        headings: Whether positions are recorded.
        steady_power: Without moods and by no grade: the ride then holds nearly one speed on the flat.

    Returns:
        A track with 0.25 m of slowly wandering height noise rounded to 0.2 m, 0.05 m/s of speed noise and
        3 % of power noise.
    """
    random = np.random.default_rng(seed)
    road = np.arange(0.0, truth.distance + 10.0, 10.0)
    grade, heading = _road(random, road, truth)
    height = np.concatenate([[0.0], np.cumsum(grade[:-1]) * 10.0])
    ridden = _ridden(random, road, grade, heading, truth, steady_power=steady_power)
    time, distance, speed, power, course = ridden.T
    count = len(time)
    east, north = (
        np.cumsum(np.diff(distance, prepend=0.0) * part) for part in (np.sin(course), np.cos(course))
    )
    wander = _wandering(random, count, 1.0, 30.0) * 0.25
    altitude = np.round((100.0 + np.interp(distance, road, height) + wander) / 0.2) * 0.2
    missing = np.full(count, np.nan)
    return Track(
        title="simulated",
        latitude=50.0 + north / METRES_PER_DEGREE if headings else missing,
        longitude=8.0 + east / METRES_PER_DEGREE / np.cos(np.radians(50.0)) if headings else missing,
        altitude=altitude,
        time=1.7e9 + time,
        distance=distance,
        speed=np.maximum(speed + 0.05 * random.normal(size=count), 0.0),
        power=np.maximum(power * (1.0 + 0.03 * random.normal(size=count)), 0.0),
        temperature=np.full(count, 288.15),
        segment=np.zeros(count),
    )


def _road(random: np.random.Generator, road: FloatArray, truth: Truth) -> tuple[FloatArray, FloatArray]:
    """Hills of many lengths, and a course that turns once round with bends on the way."""
    height = np.zeros_like(road)
    for length in np.geomspace(400.0, 12_000.0, 10):
        size = random.normal() * length * 0.004 * truth.hilliness
        height += size * np.sin(2.0 * np.pi * (road / length + random.random()))
    bends = np.cumsum(random.normal(0.0, 0.7, int(road[-1] // 1500) + 2))
    heading = 2.0 * np.pi * road / road[-1] + np.interp(road, 1500.0 * np.arange(len(bends)), bends)
    return np.clip(np.gradient(height, 10.0), -0.1, 0.1), heading


def _wandering(random: np.random.Generator, count: int, step: float, memory: float) -> FloatArray:
    """Noise of unit variance that remembers for a while."""
    keep = np.exp(-step / memory)
    shocks = (random.normal(size=count) * np.sqrt(1.0 - keep**2)).tolist()
    level, levels = float(random.normal()), []
    for shock in shocks:
        level = keep * level + shock
        levels.append(level)
    return np.array(levels)


def _ridden(
    random: np.random.Generator,
    road: FloatArray,
    grade: FloatArray,
    heading: FloatArray,
    truth: Truth,
    *,
    steady_power: bool,
) -> FloatArray:
    """(samples, 5) time, distance, speed, power and course once a second."""
    most = int(truth.distance / 2.0 / INTERNAL_STEP)
    gust = (_wandering(random, most, INTERNAL_STEP, truth.gust_time) * truth.gust).tolist()
    mood = (_wandering(random, most, INTERNAL_STEP, 15.0) * truth.mood).tolist()
    grades, headings = grade.tolist(), heading.tolist()
    drag = 0.5 * RHO * (truth.drag_area + 0.0044)
    weight, inertia = truth.mass * GRAVITY, truth.mass + 0.14 / 0.311**2
    speed, place, rows = 5.0, 0.0, []
    for turn in range(most):
        slope = grades[min(int(place / 10.0), len(grades) - 1)]
        course = headings[min(int(place / 10.0), len(grades) - 1)]
        willing = truth.power if steady_power else truth.power + truth.power_per_grade * slope
        power = min(max(willing, 0.5 * truth.power), 2.0 * truth.power)
        power *= 1.0 if steady_power else max(0.0, 1.0 + mood[turn])
        band = truth.coasting_speed - truth.easing_speed
        power *= min(max((truth.coasting_speed - speed) / band, 0.0), 1.0)
        wind = truth.wind_north * np.cos(course) + truth.wind_east * np.sin(course) + gust[turn]
        through = speed + float(wind)
        tilt = (1.0 + slope * slope) ** -0.5
        force = drag * through * abs(through) + weight * tilt * (truth.rolling + slope)
        force += 0.091 + 0.0087 * speed
        gain = (truth.efficiency * power / max(speed, 1.0) - force) / inertia * INTERNAL_STEP
        after = min(max(speed + gain, 0.8), truth.fastest)
        place += 0.5 * (speed + after) * INTERNAL_STEP
        speed = after
        if place >= road[-1]:
            break
        if turn % 4 == 3:
            rows.append((INTERNAL_STEP * (turn + 1), place, speed, power, course))
    return np.array(rows)
