"""A ride without a recording: distance, ascent and stops, told over the telephone."""

from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.ride.geodesy import bend_radius
from wattwright.ride.path import RidePath
from wattwright.ride.speed_caps import RidingStyle, speed_caps
from wattwright.units import FloatArray, Metre, Second, km_from_metres

TYPICAL_GRADE: Final = 0.035
"""Mean grade of hills where there is room for them; assumption, see docs/models/synthetic-ride.md."""
HILL_EVERY: Final[Metre] = 4000.0
"""Mean distance from hill to hill; assumption."""
SMALLEST_HILL: Final[Metre] = 5.0
STEEPEST_MEAN: Final = 0.15
"""Ascent and descent together over distance; above it single hills would pass 35 %."""
GRID: Final[Metre] = 10.0
STOP_DURATION: Final[Second] = 20.0
"""At a crossing; common practice, no source."""
SHORTEST: Final[Metre] = 100.0
LONGEST: Final[Metre] = 2.0e6


def synthetic_path(
    distance: Metre,
    ascent: Metre,
    *,
    stops: int = 0,
    net_climb: Metre = 0.0,
    seed: int = 1,
    segment_length: Metre = 10.0,
    first_altitude: Metre = 0.0,
    stop_duration: Second = STOP_DURATION,
    style: RidingStyle | None = None,
    title: str = "",
) -> RidePath:
    """A plausible road of this length and climb.

    Args:
        distance: Along the road, 100 m to 2,000 km. [m]
        ascent: Sum of all rises, 0 or more; with the descent at most 15 % of the distance. [m]
        stops: Halts between start and end, evenly spread, 0 or more, at most one in two segments.
        net_climb: How much higher it ends than it begins, up to ``ascent``; negative if lower. [m]
        seed: Which of many such roads.
        segment_length: Wanted length of a segment, 2 to 200. [m]
        first_altitude: Height of the start above the sea. [m]
        stop_duration: Standing time at each halt, 0 or more. [s]
        style: How the rider takes bends and brakes; the usual one if not given.
        title: Name of the ride; its figures if not given.

    Returns:
        A path without a place (latitude and longitude NaN) whose lengths sum to ``distance``, whose rises to
        ``ascent`` and whose headings go once round the compass, so that wind helps as long as it hinders.

    Raises:
        InputError: If an argument is out of range.

    Examples:
        >>> path = synthetic_path(20_000.0, 150.0, stops=3)
        >>> rise = path.length * np.sin(np.arctan(path.grade))
        >>> round(path.distance, 3), round(float(rise[rise > 0].sum()), 6), abs(round(float(rise.sum()), 6))
        (20000.0, 150.0, 0.0)
    """
    _check(distance, segment_length, stops, stop_duration)
    segments = max(round(distance / segment_length), 3)
    if stops > segments // 2:
        raise InputError("stops", stops, f"at most {segments // 2} on this ride")
    step = distance / segments
    random = np.random.default_rng(seed)
    heights = _heights(segments, step, ascent, net_climb, random)
    rise = np.diff(heights)
    heading = _headings(segments, step, random)
    length = np.full(segments, step)
    stop, dwell = _stops(segments, stops, stop_duration)
    nowhere = np.full(segments, np.nan)
    return RidePath(
        title=title or f"{km_from_metres(distance):g} km with {ascent:g} m of ascent",
        length=length,
        grade=rise / np.sqrt(step * step - rise * rise),
        heading=heading,
        altitude=first_altitude + 0.5 * (heights[1:] + heights[:-1]),
        speed_cap=speed_caps(bend_radius(length, heading), stop, length, style or RidingStyle()),
        dwell=dwell,
        rolling_factor=np.ones(segments),
        latitude=nowhere,
        longitude=nowhere,
    )


def hilly_heights(distance: FloatArray, *, ascent: Metre, seed: int) -> FloatArray:
    """Heights [m] at rising distances [m], (points,), along hills that end where they began.

    Raises:
        InputError: If the ascent is out of range (see ``synthetic_path``).
    """
    length = float(distance[-1] - distance[0])
    cells = max(round(length / GRID), 3)
    heights = _heights(cells, length / cells, ascent, 0.0, np.random.default_rng(seed))
    grid = np.linspace(distance[0], distance[-1], cells + 1)
    return np.asarray(np.interp(distance, grid, heights), dtype=float)


def _check(distance: Metre, segment_length: Metre, stops: int, stop_duration: Second) -> None:
    if not SHORTEST <= distance <= LONGEST:
        raise InputError("distance_km", km_from_metres(distance), "0.1 to 2000")
    if not 2.0 <= segment_length <= 200.0:
        raise InputError("segment_length_m", segment_length, "2 to 200")
    if stops < 0:
        raise InputError("stops", stops, "0 or more")
    if not 0.0 <= stop_duration <= 86400.0:
        raise InputError("stop_duration_s", stop_duration, "0 to 86400")


def _heights(
    cells: int, step: Metre, ascent: Metre, net_climb: Metre, random: np.random.Generator
) -> FloatArray:
    """Heights at the cell ends, (cells + 1,), from 0: hills with half-cosine flanks, level in between."""
    length, fall = cells * step, ascent - net_climb
    if not ascent >= 0.0 or not np.isfinite(ascent):
        raise InputError("ascent_m", ascent, "0 or more")
    if not fall >= 0.0 or not np.isfinite(fall):
        raise InputError("net_climb_m", net_climb, f"at most the ascent of {ascent:g} m")
    if ascent + fall > STEEPEST_MEAN * length:
        most = STEEPEST_MEAN * length - fall if net_climb else 0.5 * STEEPEST_MEAN * length
        raise InputError("ascent_m", ascent, f"at most {max(most, 0.0):.0f} m on this ride")
    if ascent + fall == 0.0:
        return np.zeros(cells + 1)
    reach, rise = _legs(cells, step, ascent, fall, random)
    return _along(_knots(reach, cells), np.concatenate([[0.0], np.cumsum(rise)]), cells)


def _legs(
    cells: int, step: Metre, ascent: Metre, fall: Metre, random: np.random.Generator
) -> tuple[FloatArray, FloatArray]:
    """Length in cells and rise of each leg, in order: level, up, down, for each hill: (3 hills,) each."""
    length = cells * step
    most = min(length / HILL_EVERY, (ascent + fall) / (2.0 * SMALLEST_HILL), cells / 8)
    hills = max(round(most), 1)
    hilly = min(length, (ascent + fall) / TYPICAL_GRADE)
    rise = np.zeros((hills, 3))
    reach = np.zeros((hills, 3))
    rise[:, 1] = ascent * _shares(hills, random)
    rise[:, 2] = -fall * _shares(hills, random)
    flank = np.abs(rise[:, 1:]) * random.uniform(0.75, 1.3, (hills, 2))  # some steeper, some gentler
    reach[:, 1:] = hilly * flank / flank.sum()
    reach[:, 0] = (length - hilly) * _shares(hills, random)
    return reach.ravel() / step, rise.ravel()


def _shares(parts: int, random: np.random.Generator) -> FloatArray:
    share = random.uniform(0.5, 1.5, parts)
    return np.asarray(share / share.sum(), dtype=float)


def _knots(reach: FloatArray, cells: int) -> npt.NDArray[np.int64]:
    """Cell at which each leg begins and the last one ends: every leg that has a length keeps a cell."""
    need = (reach > 0.0).astype(np.int64)
    knots = np.concatenate([[0], np.rint(np.cumsum(reach)).astype(np.int64)])
    knots[-1] = cells
    for leg in range(len(need)):
        knots[leg + 1] = max(knots[leg + 1], knots[leg] + need[leg])
    knots[-1] = cells
    for leg in range(len(need) - 1, -1, -1):
        knots[leg] = min(knots[leg], knots[leg + 1] - need[leg])
    return knots


def _along(knots: npt.NDArray[np.int64], level: FloatArray, cells: int) -> FloatArray:
    """Half-cosine flanks from knot to knot."""
    cell = np.arange(cells + 1)
    leg = np.clip(np.searchsorted(knots, cell, side="right") - 1, 0, len(knots) - 2)
    width = np.maximum(knots[leg + 1] - knots[leg], 1)
    share = 0.5 - 0.5 * np.cos(np.pi * np.clip((cell - knots[leg]) / width, 0.0, 1.0))
    return np.asarray(level[leg] + (level[leg + 1] - level[leg]) * share, dtype=float)


def _headings(segments: int, step: Metre, random: np.random.Generator) -> FloatArray:
    """Once round the compass with gentle bends of a few hundred metres and more."""
    middle = (np.arange(segments) + 0.5) * step
    heading = random.uniform(0.0, 2.0 * np.pi) + 2.0 * np.pi * middle / (segments * step)
    for wavelength, swing in ((1500.0, 0.25), (4000.0, 0.5)):
        heading = heading + swing * np.sin(2.0 * np.pi * (middle / wavelength + random.uniform()))
    return np.asarray(np.mod(heading, 2.0 * np.pi), dtype=float)


def _stops(segments: int, stops: int, duration: Second) -> tuple[FloatArray, FloatArray]:
    stop, dwell = np.zeros(segments), np.zeros(segments)
    place = np.rint(segments * np.arange(1, stops + 1) / (stops + 1)).astype(int) - 1
    stop[place], dwell[place] = 1.0, duration
    stop[-1] = 1.0
    return stop, dwell
