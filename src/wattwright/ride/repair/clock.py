"""Times that repeat, run backwards or jump by years."""

from typing import Final

import numpy as np

from wattwright.ride.repair.mending import Mending, timed
from wattwright.units import SECONDS_PER_DAY

LONGEST_PAUSE: Final = 7.0 * SECONDS_PER_DAY
"""[s] A longer one within a file is taken for a clock that was put right; assumption."""


def with_orderly_clock(mending: Mending) -> Mending:
    """Give every point a later time than the one before it, or none of them a time."""
    mending = _all_or_nothing(mending)
    if not timed(mending.track):
        return mending
    return _without_repeats(_without_jumps(_without_strays(mending)))


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
    index = np.arange(len(time))
    filled = np.where(known, time, np.interp(index, index[known], time[known]))
    return mending.noted("missing times filled in between their neighbours", ~known).with_columns(time=filled)


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
