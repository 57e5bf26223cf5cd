"""Positions that repeat, jump away and back, or are missing."""

from typing import Final

import numpy as np

from wattwright.ride.geodesy import geodesic_between, geodesic_steps
from wattwright.ride.repair.mending import Mask, Mending, placed, running_median, timed
from wattwright.ride.track import Track
from wattwright.units import FloatArray

JITTER: Final = 25.0
"""[m] Steps this short are never called a jump; about the worst error of a receiver among houses. (memory)"""
USUAL_HASTE: Final = 12.0
"""[m/s] Steps up to this speed are never called a jump."""
LONGEST_SPIKE: Final = 20
"""[points] A position that stays away for longer is taken as true."""


def without_repeated_positions(mending: Mending) -> Mending:
    """Drop points without a time that repeat the one before; with times they are a standing rider."""
    track = mending.track
    if timed(track) or not placed(track):
        return mending
    same = (np.diff(track.latitude) == 0.0) & (np.diff(track.longitude) == 0.0)
    same &= ~(np.diff(track.distance) > 0.0)
    repeated = np.append(False, same)
    return mending.noted("repeated points dropped", repeated).kept(~repeated)


def without_position_spikes(mending: Mending) -> Mending:
    """Blank positions that leap away from their neighbours and back again.

    So are a few points at either end of the track beyond a leap. A leap is a step longer than ``JITTER``
    plus four times the usual step nearby (never less than ``USUAL_HASTE`` allows); a spike is a run of up to
    ``LONGEST_SPIKE`` points between two leaps whose far sides fit each other.
    """
    known = np.flatnonzero(np.isfinite(mending.track.latitude))
    if len(known) < 4:
        return mending
    spike = np.zeros(len(mending.track.latitude), dtype=bool)
    for first, last in _spikes(mending.track, known):
        spike[known[first : last + 1]] = True
    blank = {
        name: np.where(spike, np.nan, getattr(mending.track, name)) for name in ("latitude", "longitude")
    }
    return mending.noted("position spikes taken out", spike).with_columns(**blank)


def with_all_positions(mending: Mending) -> Mending:
    """Fill missing positions between known ones, by recorded distance, else by time, else by count."""
    track = mending.track
    known = np.isfinite(track.latitude)
    if known.all():
        return mending.with_columns(longitude=np.unwrap(track.longitude, period=360.0))
    if known.sum() < 2:
        nowhere = np.full_like(track.latitude, np.nan)
        return mending.noted("no positions: bends, headings and the place are unknown", ~known).with_columns(
            latitude=nowhere, longitude=nowhere
        )
    if not timed(track) and np.isfinite(track.distance).mean() < 0.5:
        return mending.noted("points without position dropped", ~known).kept(known)
    along = _ruler(track)
    longitude = np.unwrap(track.longitude[known], period=360.0)
    mending = mending.noted("missing positions filled in between their neighbours", ~known)
    return mending.with_columns(
        latitude=np.interp(along, along[known], track.latitude[known]),
        longitude=np.interp(along, along[known], longitude),
    )


def leap_limits(track: Track, length: FloatArray, known: np.ndarray) -> FloatArray:
    """Longest believable step [m] between successive known points: (known - 1,)."""
    if timed(track):
        span = np.diff(track.time[known])
        usual = running_median(length / span, 21)
        return np.asarray(JITTER + np.maximum(USUAL_HASTE, 4.0 * usual) * span, dtype=float)
    return JITTER + 20.0 * running_median(length, 21)


def _spikes(track: Track, known: np.ndarray) -> list[tuple[int, int]]:
    """First and last index, among the known points, of each spike."""
    latitude, longitude = track.latitude[known], track.longitude[known]
    length, _ = geodesic_steps(latitude, longitude)
    limit = leap_limits(track, length, known)
    leaps = np.flatnonzero(length > limit).tolist()
    found: list[tuple[int, int]] = []
    free_from = -1
    for out, back in ((a, b) for i, a in enumerate(leaps) for b in leaps[i + 1 : i + 4]):
        if out >= free_from and back - out <= LONGEST_SPIKE and _closes(track, known, limit, out, back):
            found.append((out + 1, back))
            free_from = back
    return found + _stray_ends(leaps, found, len(known))


def _stray_ends(leaps: list[int], found: list[tuple[int, int]], points: int) -> list[tuple[int, int]]:
    """Few points before the first or after the last leap, where that leap is no part of a spike."""
    few = min(LONGEST_SPIKE, points // 4)
    inside = {index for first, last in found for index in (first - 1, last)}
    ends: list[tuple[int, int]] = []
    if leaps and leaps[0] not in inside and leaps[0] + 1 <= few:
        ends.append((0, leaps[0]))
    if leaps and leaps[-1] not in inside and points - 1 - leaps[-1] <= few:
        ends.append((leaps[-1] + 1, points - 1))
    return ends


def _closes(track: Track, known: np.ndarray, limit: FloatArray, out: int, back: int) -> bool:
    """Whether the points before and after a spike fit each other."""
    ends = known[[out, back + 1]]
    latitude, longitude = track.latitude[ends], track.longitude[ends]
    skip, _ = geodesic_between(latitude[:1], longitude[:1], latitude[1:], longitude[1:])
    allowed = float(limit[out : back + 1].sum()) if timed(track) else float(limit[out])
    return bool(skip[0] <= 0.5 * allowed + JITTER)


def _ruler(track: Track) -> FloatArray:
    """What to fill along: never falling, finite."""
    steady: Mask = np.isfinite(track.distance)
    if steady.all() and bool((np.diff(track.distance) >= 0.0).all()):
        tie_break = 1e-6 * np.arange(len(track.distance))  # standing points keep their order
        return track.distance + tie_break
    return track.time if timed(track) else np.arange(len(track.latitude), dtype=float)
