"""Legs that no bicycle rode: by car, train or ferry."""

from typing import Final

import numpy as np

from wattwright.errors import FileError
from wattwright.ride.repair.distances import gap_limit
from wattwright.ride.repair.mending import Mask, Mending, runs, timed
from wattwright.ride.track import Track
from wattwright.units import (
    STANDARD_GRAVITY,
    FloatArray,
    Second,
    km_from_metres,
)

SPAN: Final = 120.0
"""[s] Averaging time."""
IMPOSSIBLE_POWER: Final = 12.0
"""[W/kg of rider, bicycle and load] Beyond legs and a strong drive together for ``SPAN``; the best riders
hold about 7 to 10 for one to five minutes. (memory)"""
FAST: Final = 15.0
"""[m/s] Mean speed (54 km/h) from which, on the flat or uphill, ``FAST_POWER`` is enough to doubt."""
FAST_POWER: Final = 5.0
"""[W/kg]"""
FASTEST_UNKNOWN_GRADE: Final = 22.0
"""[m/s] Where there is no height: only a speed that long descents do not give either."""
LEAST_DRAG: Final = 0.0015
"""[1/m] Half density times drag area over mass of a tucked racer: 0.6 kg/m³ · 0.22 m² / 90 kg; assumption."""
LEAST_ROLLING: Final = 0.004
"""Rolling coefficient of a good tyre on asphalt."""
MOSTLY: Final = 0.9
"""Share of the points in such legs from which the recording is no ride at all."""
STANDING: Final = 10.0
"""[s] Averaging time for telling that a leg has begun or ended."""
SLOW: Final = 1.5
"""[m/s] A leg is taken to begin and end where the speed falls below this,"""
REACH: Final = 300.0
"""[s] but no farther than this from where the impossible began."""


def without_vehicle_legs(mending: Mending) -> Mending:
    """Cut out stretches that would have taken more power than rider and drive can have, stop to stop.

    Raises:
        FileError: If hardly anything would be left.
    """
    track = mending.track
    if not timed(track) or len(track.time) < 3:
        return mending
    legs = _legs(track)
    if not legs:
        return mending
    if sum(last - first for first, last in legs) > MOSTLY * len(track.time):
        raise FileError(
            track.title,
            "most of it went faster or harder than any bicycle: by car or train",
            "Use a recording of the ride itself, or give distance and ascent instead of a file.",
        )
    inside = np.zeros(len(track.time), dtype=bool)
    for first, last in legs:
        inside[first + 1 : last] = True
    way = sum(float(track.distance[last] - track.distance[first]) for first, last in legs)
    mending = mending.noted(
        f"legs by car or train cut out ({km_from_metres(way):.1f} km in all)", inside, count=len(legs)
    )
    step, cut = np.diff(track.distance), np.zeros(len(track.time) - 1, dtype=bool)
    for first, last in legs:
        step[first:last] = 0.0
        cut[last - 1] = True
    return mending.with_columns(
        distance=np.concatenate([[0.0], np.cumsum(step)]),
        segment=track.segment + np.concatenate([[0.0], np.cumsum(cut, dtype=float)]),
    ).kept(~inside)


def _legs(track: Track) -> list[tuple[int, int]]:
    """First and last point of each leg, the stops around it included, near ones joined."""
    legs: list[tuple[int, int]] = []
    slow = _mean_speed(track, STANDING) < SLOW
    for first, last in runs(_impossible(track)):
        begin, end = _widened(track, slow, first, last)
        if legs and track.time[begin] - track.time[legs[-1][1]] < REACH:
            begin = legs.pop()[0]
        if end - begin > 1:
            legs.append((begin, end))
    return legs


def _widened(track: Track, slow: Mask, first: int, last: int) -> tuple[int, int]:
    before = np.flatnonzero(slow[:first] & (track.time[:first] > track.time[first] - REACH))
    after = np.flatnonzero(slow[last + 1 :] & (track.time[last + 1 :] < track.time[last] + REACH))
    begin = int(before[-1]) if len(before) else _at(track, track.time[first] - 0.5 * SPAN)
    end = last + 1 + int(after[0]) if len(after) else _at(track, track.time[last] + 0.5 * SPAN)
    return begin, min(end, len(track.time) - 1)


def _at(track: Track, moment: Second) -> int:
    return int(np.clip(np.searchsorted(track.time, moment), 0, len(track.time) - 1))


def _impossible(track: Track) -> Mask:
    """Points about which the mean power over ``SPAN`` is beyond any bicycle."""
    speed = _mean_speed(track, SPAN)
    if np.isnan(track.altitude).any():
        return np.asarray(speed > FASTEST_UNKNOWN_GRADE, dtype=bool)
    power = _mean_power(track)
    return np.asarray((power > IMPOSSIBLE_POWER) | ((speed > FAST) & (power > FAST_POWER)), dtype=bool)


def _mean_power(track: Track) -> FloatArray:
    """Mean power per mass over ``SPAN`` that the least resistance would have asked for [W/kg]: (points,)."""
    speed = _mean_speed(track, STANDING)
    awake = np.diff(track.time) <= gap_limit(track)
    duration = np.where(awake, np.diff(track.time), 0.0)
    middle = 0.5 * (speed[1:] + speed[:-1])
    spent = (LEAST_DRAG * middle**2 + LEAST_ROLLING * STANDARD_GRAVITY) * middle * duration
    worn = np.concatenate([[0.0], np.cumsum(spent)])
    energy = worn + 0.5 * speed**2 + STANDARD_GRAVITY * track.altitude
    return _mean_rate(track, energy, SPAN)


def _mean_speed(track: Track, span: Second) -> FloatArray:
    return _mean_rate(track, track.distance, span)


def _mean_rate(track: Track, amount: FloatArray, span: Second) -> FloatArray:
    """Change of an amount per time over a span about each point; windows at the ends are shorter."""
    time = track.time
    first = np.maximum(np.searchsorted(time, time - 0.5 * span, side="left"), 0)
    last = np.minimum(np.searchsorted(time, time + 0.5 * span, side="right") - 1, len(time) - 1)
    duration = np.maximum(time[last] - time[first], 0.5 * span)
    return np.asarray((amount[last] - amount[first]) / duration, dtype=float)
