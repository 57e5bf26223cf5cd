"""Tracks made on the spot, with and without faults."""

from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from wattwright.ride.track import Track
from wattwright.units import FloatArray

LATITUDE, LONGITUDE = 46.1, 14.8
METRES_PER_DEGREE = 111_132.0
"""Of latitude, near enough for tests that state their tolerance."""
START = 1_700_000_000.0


def track_along(
    east: FloatArray, north: FloatArray, altitude: FloatArray | float = np.nan, **columns: FloatArray
) -> Track:
    """A track through these places [m]; columns not given are absent."""
    points = len(east)
    nothing = np.full(points, np.nan)
    given: dict[str, Any] = {
        name: nothing for name in ("time", "distance", "speed", "power", "temperature")
    } | columns
    return Track(
        title="made.gpx",
        latitude=LATITUDE + north / METRES_PER_DEGREE,
        longitude=LONGITUDE + east / (METRES_PER_DEGREE * np.cos(np.radians(LATITUDE))),
        altitude=np.broadcast_to(np.asarray(altitude, dtype=float), (points,)).copy(),
        segment=np.zeros(points),
        **given,
    )


def straight_ride(
    points: int = 600,
    *,
    speed: float = 6.0,
    interval: float = 1.0,
    grade: float = 0.02,
    **columns: FloatArray,
) -> Track:
    """Due east at one speed [m/s], one point each interval [s], uphill at one grade."""
    time = interval * np.arange(points)
    way = speed * time
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


@st.composite
def faulty_tracks(draw: st.DrawFn) -> Track:
    """A winding ride with a few of the faults that recordings have, anywhere in it."""
    points = draw(st.integers(60, 400))
    track = winding_ride(points)
    if draw(st.booleans()):
        track = replace(track, distance=6.0 * (track.time - track.time[0]))
    if draw(st.booleans()):
        track = replace(track, power=np.full(points, 150.0), speed=np.full(points, 6.0))
    if draw(st.integers(0, 4)) == 0:
        track = replace(track, time=np.full(points, np.nan))
    for _ in range(draw(st.integers(0, 4))):
        track = draw(_one_fault(track))
    return track


@st.composite
def _one_fault(draw: st.DrawFn, track: Track) -> Track:
    at = draw(st.integers(1, len(track.time) - 2))
    width = draw(st.integers(1, 12))
    here = slice(at, min(at + width, len(track.time) - 1))
    column = draw(
        st.sampled_from(
            ["latitude", "altitude", "time", "distance", "speed", "power", "repeat", "pause", "stand"]
        )
    )
    if column == "repeat":
        return rows_of(track, np.sort(np.append(np.arange(len(track.time)), at)))
    if column in {"pause", "stand"}:
        moved = track.time + np.where(np.arange(len(track.time)) >= at, 40.0 * width, 0.0)
        return replace(track, time=moved)
    value = draw(st.sampled_from([np.nan, 0.0, float(getattr(track, column)[at]) + 0.5, 1e9, -1e9]))
    return changed(track, column, here, value)
