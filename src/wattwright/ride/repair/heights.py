"""Heights that are missing, stray, zero by default, or jump."""

from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.ride.repair.mending import Mask, Mending, running_median, runs
from wattwright.units import FloatArray, Metre

WIDEST_HOLE: Final = 0.3
"""Share of the distance that may be without height and still be filled in; assumption."""
SPIKE: Final = 10.0
"""[m] Heights this close to their neighbours' median are never called a spike."""
STEEPEST_STEP: Final = 1.0
"""Rise over run between two points above which a lasting change of height is a fault, not a road."""
WALKING: Final = 1.0
"""[m/s] Recorded speeds above it say that the rider did not stand."""
GLITCH: Final = 10
"""[points]"""
STEP: Final = 8.0
"""[m] Smaller changes are left to the smoothing,"""
STEP_SPREADS: Final = 6.0
"""and so are those within this many robust standard deviations of all changes from point to point: noise."""


def with_all_heights(mending: Mending) -> Mending:
    """Give every point a height, or none where there is too little to go by (reported, never made flat)."""
    mending = _without_default_zeros(mending)
    altitude = mending.track.altitude
    known = np.isfinite(altitude)
    if not known.any():
        return mending.noted("no elevation", np.ones(len(known), dtype=bool))
    nothing = np.full_like(altitude, np.nan)
    if float(np.ptp(altitude[known])) == 0.0:
        said = f"elevation is {altitude[known][0]:.0f} m at every point, which is no elevation"
        return mending.noted(said, known).with_columns(altitude=nothing)
    if _share_without(mending.track.distance, known) > WIDEST_HOLE:
        return mending.noted("too few heights to go by", ~known).with_columns(altitude=nothing)
    return _without_steps(_without_drift(_filled(_without_spikes(mending))))


def _without_default_zeros(mending: Mending) -> Mending:
    """Zeros among heights far from zero are what some devices write for "not yet known"."""
    altitude = mending.track.altitude
    zero = altitude == 0.0
    if not zero.any() or zero[np.isfinite(altitude)].all():
        return mending
    wrong = np.zeros(len(altitude), dtype=bool)
    for first, last in runs(zero):
        sides = altitude[[i for i in (first - 1, last + 1) if 0 <= i < len(altitude)]]
        wrong[first : last + 1] = bool(np.nanmin(np.abs(sides), initial=np.inf) > SPIKE)
    return mending.noted("heights of zero left out", wrong).with_columns(
        altitude=np.where(wrong, np.nan, altitude)
    )


def _share_without(distance: FloatArray, known: Mask) -> float:
    """Share of the distance in holes: steps with a missing end, at the track's ends included."""
    step = np.diff(distance)
    hole = ~(known[1:] & known[:-1])
    total = float(step.sum())
    return float(step[hole].sum()) / total if total > 0 else float(1.0 - known.mean())


def _without_spikes(mending: Mending) -> Mending:
    """Blank heights farther from the median of eleven than the road there allows."""
    track = mending.track
    known = np.flatnonzero(np.isfinite(track.altitude))
    height, distance = track.altitude[known], track.distance[known]
    index = np.arange(len(known))
    span = distance[np.minimum(index + 5, len(known) - 1)] - distance[np.maximum(index - 5, 0)]
    stray = np.abs(height - running_median(height, 11)) > SPIKE + 0.25 * span
    spike = np.zeros(len(track.altitude), dtype=bool)
    spike[known[stray]] = True
    return mending.noted("height spikes taken out", spike).with_columns(
        altitude=np.where(spike, np.nan, track.altitude)
    )


def _filled(mending: Mending) -> Mending:
    track = mending.track
    known = np.isfinite(track.altitude)
    along = track.distance + 1e-6 * np.arange(len(known))
    filled = np.interp(along, along[known], track.altitude[known])
    return mending.noted("missing heights filled in between their neighbours", ~known).with_columns(
        altitude=np.where(known, track.altitude, filled)
    )


def _without_drift(mending: Mending) -> Mending:
    """Take out changes of height while the rider stood: a sensor settling, or a lift."""
    track = mending.track
    altitude = track.altitude.copy()
    still = (np.diff(track.distance) == 0.0) & (np.diff(track.segment) == 0.0)
    still &= ~(np.maximum(track.speed[1:], track.speed[:-1]) > WALKING)  # some odometers move in lumps
    least = _least_step(altitude)
    drifted = np.zeros(len(altitude), dtype=bool)
    for first, last in runs(still):
        rise = altitude[last + 1] - altitude[first]
        if abs(rise) > least:
            altitude[first : last + 1] = altitude[first]
            altitude[last + 1 :] -= rise
            drifted[first + 1 : last + 2] = True
    return mending.noted("points whose height drifted while standing put right", drifted).with_columns(
        altitude=altitude
    )


def _without_steps(mending: Mending) -> Mending:
    """Take out jumps steeper than any road: a glitch is bridged, after a lasting one what follows is shifted.

    Jumps within ``GLITCH`` points of each other are one; the points between them are not believed. Where the
    heights on both sides then still differ by more than a road could, the rest of the piece is shifted.
    """
    track = mending.track
    altitude = track.altitude.copy()
    least = _least_step(altitude)
    faulty = np.zeros(len(altitude), dtype=bool)
    for first, last in _clusters(np.flatnonzero(_leaps(altitude, track.distance, track.segment, least))):
        rise, run = altitude[last] - altitude[first], track.distance[last] - track.distance[first]
        if abs(rise) > max(least, STEEPEST_STEP * run):
            altitude[last:] -= rise
        inner = slice(first, last + 1)
        altitude[inner] = np.interp(
            track.distance[inner], track.distance[[first, last]], altitude[[first, last]]
        )
        faulty[first + 1 : last + 1] = True
    return mending.noted("sudden steps of height taken out", faulty).with_columns(altitude=altitude)


def _least_step(altitude: FloatArray) -> Metre:
    """The smallest change from point to point that is not noise."""
    return max(STEP, STEP_SPREADS * 1.4826 * float(np.median(np.abs(np.diff(altitude)))))


def _leaps(altitude: FloatArray, distance: FloatArray, segment: FloatArray, least: Metre) -> Mask:
    """Steps too steep for a road, (points - 1,); where a stretch was cut out any step is right."""
    steep = np.abs(np.diff(altitude)) > np.maximum(least, STEEPEST_STEP * np.diff(distance))
    return np.asarray(steep & (np.diff(segment) == 0.0), dtype=bool)


def _clusters(leaps: npt.NDArray[np.intp]) -> list[tuple[int, int]]:
    """First and last point of each group of leaps."""
    groups = np.split(leaps, np.flatnonzero(np.diff(leaps) > GLITCH) + 1) if len(leaps) else []
    return [(int(group[0]), int(group[-1]) + 1) for group in groups]
