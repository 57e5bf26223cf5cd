"""Times that repeat, run backwards or jump by years."""

from typing import Final

import numpy as np

from wattwright.ride.repair.mending import Mask, Mending, timed
from wattwright.units import SECONDS_PER_DAY, FloatArray

LONGEST_TOUR: Final = 60.0 * SECONDS_PER_DAY
"""[s] Times farther from the median are not of this ride; assumption."""
FEW: Final = 0.2
"""Share of points up to which they are left out; where there are more, the clock was put right on the way."""

LONGEST_PAUSE: Final = 7.0 * SECONDS_PER_DAY
"""[s] A longer one within a file is taken for a clock that was put right; assumption."""


def with_orderly_clock(mending: Mending) -> Mending:
    """Give every point a later time than the one before it, or none of them a time."""
    mending = _all_or_nothing(_without_other_years(mending))
    if not timed(mending.track):
        return mending
    return _without_repeats(_without_jumps(_without_strays(mending)))


def _without_other_years(mending: Mending) -> Mending:
    """Blank the times of a few points that lie far from all others: a clock not yet, or wrongly, set."""
    time = mending.track.time
    if not np.isfinite(time).any():
        return mending
    far = np.abs(time - np.nanmedian(time)) > LONGEST_TOUR
    if far.mean() > FEW:
        return mending
    return mending.noted("times of another season left out", far).with_columns(
        time=np.where(far, np.nan, time)
    )


def _all_or_nothing(mending: Mending) -> Mending:
    """Fill a few missing times along the points; drop all times where most are missing or the same."""
    time = mending.track.time
    known = np.isfinite(time)
    if not known.any():
        return mending
    standing_still = np.mean(np.diff(time[known]) == 0.0) if known.sum() > 1 else 1.0
    if known.mean() < 0.5 or standing_still > 0.5:
        untimed = np.full_like(time, np.nan)
        return mending.noted("times left out: most are missing or the same", known).with_columns(time=untimed)
    filled = np.where(known, time, _straight_on(time, known))
    return mending.noted("missing times filled in between their neighbours", ~known).with_columns(time=filled)


def _straight_on(time: FloatArray, known: Mask) -> FloatArray:
    """Times along the points: between known ones, and at the usual step beyond the first and last."""
    index = np.flatnonzero(known)
    every = np.arange(len(time))
    steps = np.diff(time[index]) / np.diff(index)
    usual = float(np.median(steps)) if len(steps) else 1.0
    beyond = np.minimum(every - index[0], 0) + np.maximum(every - index[-1], 0)
    return np.asarray(np.interp(every, index, time[index]) + usual * beyond, dtype=float)


def _without_strays(mending: Mending) -> Mending:
    """Drop single points whose time lies outside that of both neighbours, which agree with each other."""
    time = mending.track.time
    stray = np.zeros(len(time), dtype=bool)
    before, here, after = time[:-2], time[1:-1], time[2:]
    stray[1:-1] = ((here < before) | (here > after)) & (after > before)
    stray[1:] &= ~stray[:-1]
    return mending.noted("points with a stray time dropped", stray).kept(~stray)


def _without_jumps(mending: Mending) -> Mending:
    """Where the clock ran back or leapt by more than a week, let it go on with the usual step."""
    time = mending.track.time
    step = np.diff(time)
    jump = (step < 0.0) | (step > LONGEST_PAUSE)
    if not jump.any():
        return mending
    ordinary = step[(step > 0.0) & ~jump]
    usual = float(np.median(ordinary)) if len(ordinary) else 1.0
    shift = np.concatenate([[0.0], np.cumsum(np.where(jump, usual - step, 0.0))])
    return mending.noted("clock jumps taken out", np.append(False, jump)).with_columns(time=time + shift)


def _without_repeats(mending: Mending) -> Mending:
    repeated = np.append(False, np.diff(mending.track.time) <= 0.0)
    return mending.noted("points with a repeated time dropped", repeated).kept(~repeated)
