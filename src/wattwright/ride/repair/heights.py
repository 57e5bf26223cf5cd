"""Heights that are missing, stray, zero by default, or jump."""

from typing import Final

import numpy as np

from wattwright.ride.repair.mending import Mask, Mending, running_median, runs
from wattwright.units import FloatArray

WIDEST_HOLE: Final = 0.3
"""Share of the distance that may be without height and still be filled in; assumption."""
SPIKE: Final = 10.0
"""[m] Heights this close to their neighbours' median are never called a spike."""
STEEPEST_STEP: Final = 1.0
"""Rise over run between two points above which a lasting change of height is a fault, not a road."""
STEP: Final = 8.0
"""[m] Smaller changes are left to the smoothing."""


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
    return _without_steps(_filled(_without_spikes(mending)))


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


def _without_steps(mending: Mending) -> Mending:
    """Take out lasting jumps steeper than any road by shifting what follows; cuts keep theirs."""
    track = mending.track
    rise, run = np.diff(track.altitude), np.diff(track.distance)
    jump = (np.abs(rise) > np.maximum(STEP, STEEPEST_STEP * run)) & (np.diff(track.segment) == 0.0)
    if not jump.any():
        return mending
    shift = np.concatenate([[0.0], np.cumsum(np.where(jump, rise, 0.0))])
    lost = float(np.abs(rise[jump]).sum())
    return mending.noted(
        f"sudden steps of height taken out ({lost:.0f} m in all)", np.append(False, jump)
    ).with_columns(altitude=track.altitude - shift)
