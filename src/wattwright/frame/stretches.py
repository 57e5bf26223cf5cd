"""Sets of places along a face: closed intervals, single points included."""

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise

from wattwright.frame.sliding import Interval, joined
from wattwright.units import Metre

Stretches = tuple[Interval, ...]
"""Closed intervals by rising place, apart from each other."""
NEAR = 1e-7
"""[m] How near a turning point is found."""


def outside_of(blocked: Iterable[Interval]) -> Stretches:
    """What no open interval covers.

    >>> outside_of([(0.0, 1.0), (1.0, 2.0)])
    ((-inf, 0.0), (1.0, 1.0), (2.0, inf))
    """
    here, found = -math.inf, []
    for start, end in sorted(blocked):
        if start >= here:
            found.append((here, start))
        here = max(here, end)
    return (*found, (here, math.inf))


def both(one: Stretches, other: Stretches) -> Stretches:
    """What lies in both sets.

    >>> both(((0.0, 2.0), (3.0, 5.0)), ((2.0, 4.0),))
    ((2.0, 2.0), (3.0, 4.0))
    """
    found, i, j = [], 0, 0
    while i < len(one) and j < len(other):
        low, high = max(one[i][0], other[j][0]), min(one[i][1], other[j][1])
        if low <= high:
            found.append((low, high))
        if one[i][1] < other[j][1]:
            i += 1
        else:
            j += 1
    return tuple(found)


def either(sets: Iterable[Stretches]) -> Stretches:
    """What lies in any of the sets, intervals that touch made one."""
    return joined(interval for one in sets for interval in one)


def less(one: Stretches, other: Stretches) -> Stretches:
    """What lies in the one set and not strictly inside the other; single points left over are dropped.

    >>> less(((0.0, 5.0),), ((1.0, 2.0), (4.0, 6.0)))
    ((0.0, 1.0), (2.0, 4.0))
    """
    return tuple(
        piece
        for piece in both(one, outside_of(other))
        if piece[1] > piece[0] or not any(low <= piece[0] <= high for low, high in other)
    )


def where_positive(value: Callable[[Metre], float], samples: Sequence[Metre]) -> Stretches:
    """Where a smooth value is 0 or more between the first and the last sample.

    Between two neighbouring samples it may pass 0 once at most; where it does is found by false position.

    >>> where_positive(lambda s: s - 0.25, (0.0, 0.5, 1.0))
    ((0.25, 1.0),)
    """
    values = [value(sample) for sample in samples]
    ends = [samples[0]] if values[0] >= 0 else []
    for (low, one), (high, other) in pairwise(zip(samples, values, strict=True)):
        if (one >= 0) != (other >= 0):
            ends.append(_zero(value, (low, one), (high, other)))
    if values[-1] >= 0:
        ends.append(samples[-1])
    return tuple((low, high) for low, high in zip(ends[::2], ends[1::2], strict=True) if low <= high)


def _zero(value: Callable[[Metre], float], one: tuple[Metre, float], other: tuple[Metre, float]) -> Metre:
    """The last place seen on the side where the value is 0 or more (Illinois rule)."""
    for _ in range(40):
        if abs(other[0] - one[0]) < NEAR:
            break
        here = one[0] + (other[0] - one[0]) * one[1] / (one[1] - other[1])
        there = value(here)
        if (there >= 0) == (other[1] >= 0):
            one, other = (one[0], one[1] / 2), (here, there)
        else:
            one, other = other, (here, there)
        if abs(there) < NEAR and there >= 0:
            return here
    return one[0] if one[1] >= 0 else other[0]


def where_true(test: Callable[[Metre], bool], samples: Sequence[Metre]) -> Stretches:
    """Where a test holds between the first and the last sample, its turning points found by halving.

    Between two neighbouring samples it may turn once at most.
    """
    answers = [test(sample) for sample in samples]
    ends = [samples[0]] if answers[0] else []
    for (low, one), (high, other) in zip(
        zip(samples, answers, strict=True), list(zip(samples, answers, strict=True))[1:], strict=False
    ):
        if one != other:
            ends.append(_turn(test, low, high, starts=one))
    if answers[-1]:
        ends.append(samples[-1])
    return tuple((low, high) for low, high in zip(ends[::2], ends[1::2], strict=True) if low <= high)


def _turn(test: Callable[[Metre], bool], low: Metre, high: Metre, *, starts: bool) -> Metre:
    """The last place on the true side of a turning point, to a tenth of a micrometre."""
    while high - low > NEAR:
        middle = (low + high) / 2
        low, high = (middle, high) if test(middle) is starts else (low, middle)
    return low if starts else high
