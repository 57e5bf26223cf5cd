"""Tracks made on the spot, with and without faults."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from wattwright.ride.track import Track
from wattwright.units import FloatArray

LATITUDE, LONGITUDE = 46.1, 14.8
_AXIS, _SQUASH = 6_378_137.0, 0.00669437999
"""[m] Semi-major axis and squared eccentricity of WGS84."""
_ROUND = 1.0 - _SQUASH * np.sin(np.radians(LATITUDE)) ** 2
METRES_NORTH = np.radians(1.0) * _AXIS * (1.0 - _SQUASH) / _ROUND**1.5
METRES_EAST = np.radians(1.0) * _AXIS * np.cos(np.radians(LATITUDE)) / np.sqrt(_ROUND)
"""[m] One degree of latitude and of longitude at the place: radii of curvature of the ellipsoid."""
START = 1_700_000_000.0


def track_along(
    east: FloatArray, north: FloatArray, altitude: FloatArray | float = np.nan, **columns: FloatArray
) -> Track:
    """A track through these places [m]; columns not given are absent."""
    points = len(east)
    nothing = np.full(points, np.nan)
    absent = dict.fromkeys(("time", "distance", "speed", "power", "temperature"), nothing)
    given: dict[str, Any] = absent | columns
    return Track(
        title="made.gpx",
        latitude=LATITUDE + north / METRES_NORTH,
        longitude=LONGITUDE + east / METRES_EAST,
        altitude=np.broadcast_to(np.asarray(altitude, dtype=float), (points,)).copy(),
        segment=np.zeros(points),
        **given,
    )


def straight_ride(
    points: int = 600,
    *,
    pace: float = 6.0,
    interval: float = 1.0,
    grade: float = 0.02,
    **columns: FloatArray,
) -> Track:
    """Due east at one pace [m/s], one point each interval [s], uphill at one grade."""
    time = interval * np.arange(points)
    way = pace * time
    return track_along(way, np.zeros(points), 300.0 + grade * way, **({"time": START + time} | columns))


def winding_ride(points: int = 900, *, speed: float = 6.0, hill: float = 40.0) -> Track:
    """Bends of 150 m radius and more, and hills 2 km long that climb ``hill`` [m]."""
    time = np.arange(points, dtype=float)
    way = speed * time
    heading = 0.8 * np.sin(way / 120.0 * 0.7)
    east = np.concatenate([[0.0], np.cumsum(speed * np.cos(heading))[:-1]])
    north = np.concatenate([[0.0], np.cumsum(speed * np.sin(heading))[:-1]])
    altitude = 300.0 + 0.5 * hill * (1.0 - np.cos(2.0 * np.pi * way / 2000.0))
    return track_along(east, north, altitude, time=START + time)


def changed(track: Track, column: str, index: int | slice, value: float) -> Track:
    """The track with one column overwritten at some points."""
    values = getattr(track, column).copy()
    values[index] = value
    named: dict[str, Any] = {column: values}
    return replace(track, **named)


COLUMNS = (
    "latitude",
    "longitude",
    "altitude",
    "time",
    "distance",
    "speed",
    "power",
    "temperature",
    "segment",
)


def rows_of(track: Track, rows: Any) -> Track:  # noqa: ANN401 -- whatever indexes an array
    """The track with these points, in this order."""
    named: dict[str, Any] = {name: getattr(track, name)[rows] for name in COLUMNS}
    return replace(track, **named)


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a recording."""

    kind: str
    """A column to overwrite, or "repeat" or "pause"."""
    place: float
    """Share of the way at which it begins."""
    width: int
    """Points concerned."""
    value: float


@dataclass(frozen=True)
class Plan:
    """A ride to be made, with its faults."""

    points: int
    has_time: bool
    has_odometer: bool
    has_speed: bool
    faults: tuple[Fault, ...]


_VALUES = st.sampled_from([np.nan, 0.0, 0.5, 46.12, 50.0, 350.0, 1e4, 1e9, -1e9, np.inf])


def _plans(points: int, place: tuple[float, float], width: int, faults: int) -> st.SearchStrategy[Plan]:
    fault = st.builds(
        Fault,
        kind=st.sampled_from([*COLUMNS[:8], "repeat", "pause"]),
        place=st.floats(*place),
        width=st.integers(1, width),
        value=_VALUES,
    )
    return st.builds(
        Plan,
        points=st.integers(points, 400),
        has_time=st.integers(0, 4).map(bool),
        has_odometer=st.booleans(),
        has_speed=st.booleans(),
        faults=st.lists(fault, max_size=faults).map(tuple),
    )


WILD_PLANS = _plans(60, (0.0, 1.0), 12, 5)
"""Short rides that may be faulty all over."""
PLANS = _plans(150, (0.15, 0.85), 5, 3)
"""Rides with a few short faults on the way."""


def faulty_ride(plan: Plan) -> Track:
    """The ride as planned, faults and all."""
    track = winding_ride(plan.points)
    if plan.has_odometer:
        track = replace(track, distance=6.0 * (track.time - track.time[0]))
    if plan.has_speed:
        track = replace(track, speed=np.full(plan.points, 6.0), power=np.full(plan.points, 150.0))
    if not plan.has_time:
        track = replace(track, time=np.full(plan.points, np.nan))
    for fault in plan.faults:
        track = _with_fault(track, fault)
    return track


def _with_fault(track: Track, fault: Fault) -> Track:
    at = int(fault.place * (len(track.time) - 1))
    if fault.kind == "repeat":
        return rows_of(track, np.sort(np.append(np.arange(len(track.time)), [at] * fault.width)))
    if fault.kind == "pause":
        later = np.where(np.arange(len(track.time)) > at, 40.0 * fault.width, 0.0)
        return replace(track, time=track.time + later)
    return changed(track, fault.kind, slice(at, at + fault.width), fault.value)
