"""Recorded distance with glitches, or standing still while the rider moves and catching up at a leap."""

from typing import Final

import numpy as np

from wattwright.ride.repair.mending import Mending, timed
from wattwright.units import FloatArray

LEAP: Final = 50.0
"""[m] Shorter steps are never a leap,"""
LEAP_SPEED: Final = 30.0
"""[m/s] nor are slower ones."""
LONGEST_LAG: Final = 600.0
"""[s] How far back a leap is spread at most."""


LONGEST_GLITCH: Final = 20
"""[points] A distance that stays off for longer is taken for a counter set back."""


def without_odometer_glitches(mending: Mending) -> Mending:
    """Blank short runs of recorded distance that lie below what came before or above what comes after."""
    known = np.flatnonzero(np.isfinite(mending.track.distance))
    distance = mending.track.distance[known]
    glitch = np.zeros(len(mending.track.distance), dtype=bool)
    for fall in np.flatnonzero(np.diff(distance) < 0.0).tolist():
        if not glitch[known[fall]]:
            glitch[known[_glitch_at(distance, fall)]] = True
    return mending.noted("recorded distances out of order left out", glitch).with_columns(
        distance=np.where(glitch, np.nan, mending.track.distance)
    )


def _glitch_at(distance: FloatArray, fall: int) -> slice:
    """The low run after a fall, or the high run before it; nothing where neither ends soon."""
    after = np.flatnonzero(distance[fall + 1 : fall + 2 + LONGEST_GLITCH] >= distance[fall])
    begin = max(fall - LONGEST_GLITCH, 0)
    before = np.flatnonzero(distance[begin:fall] <= distance[fall + 1])
    low = slice(fall + 1, fall + 1 + int(after[0])) if len(after) else slice(0, 0)
    high = slice(begin + int(before[-1]) + 1, fall + 1) if len(before) else slice(0, 0)
    if len(before) and (not len(after) or high.stop - high.start <= low.stop - low.start):
        return high
    return low


def with_steady_odometer(mending: Mending) -> Mending:
    """Spread each leap of the recorded distance over the time for which it had stood still before."""
    track = mending.track
    known = np.flatnonzero(np.isfinite(track.distance))
    if not timed(track) or len(known) < 3:
        return mending
    distance, time = track.distance[known], track.time[known]
    step, duration = np.diff(distance), np.diff(time)
    leaps = np.flatnonzero(step > LEAP + LEAP_SPEED * duration)
    spread = np.zeros(len(track.distance), dtype=bool)
    steady = track.distance.copy()
    for leap in leaps.tolist():
        first = _stood_since(step, time, leap)
        if first < leap:
            ends = [first, leap + 1]
            steady[known[first : leap + 2]] = np.interp(time[first : leap + 2], time[ends], distance[ends])
            spread[known[first + 1 : leap + 1]] = True
    return mending.noted(
        "points whose distance stood still before it caught up, spread over time", spread
    ).with_columns(distance=steady)


def _stood_since(step: FloatArray, time: FloatArray, leap: int) -> int:
    """First point of the standstill that ends with the leap; the leap itself where there was none."""
    first = leap
    while first > 0 and step[first - 1] == 0.0 and time[leap] - time[first - 1] < LONGEST_LAG:
        first -= 1
    return first
