"""Where an outline meets something as it slides along a straight line: closed form, no grid.

Two convex shapes of which one slides meet over one interval. It is the part of a line inside the rounded
Minkowski difference of the two, whose border consists of sides of the one seen from corners of the other,
each grown by the radius: so the interval is the hull of the line's passages through those grown sides.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np

from wattwright.frame.plane import Outline, convex_pieces, dot, sides_of
from wattwright.frame.survey import Point
from wattwright.units import FloatArray, Metre

Interval = tuple[Metre, Metre]
THINNEST: Final = 1e-9
"""[m] Touching counts as meeting from here on: a nanometre."""


def blocked_offsets(moving: Outline, direction: Point, core: Outline, radius: Metre) -> tuple[Interval, ...]:
    """Shifts t at which ``moving`` + t · ``direction`` comes nearer to ``core`` than ``radius``.

    Args:
        moving: A closed outline, a line or a point, at t = 0. [m]
        direction: Unit vector.
        core: A point, a line of two points or a closed outline. [m]
        radius: Distance to keep, the core's own radius included. [m]

    Returns:
        Open intervals of t, joined and by rising t; none where they never meet. [m]

    Examples:
        >>> square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
        >>> blocked_offsets(square, (1.0, 0.0), ((5.0, 0.5),), 0.5)
        ((3.5, 5.5),)
    """
    if _passes_by(moving, direction, core, radius):
        return ()
    found = [
        interval
        for piece in convex_pieces(moving)
        for other in convex_pieces(core)
        if (interval := _blocked_by_convex(piece, direction, other, max(radius, THINNEST))) is not None
    ]
    return joined(found)


def _passes_by(moving: Outline, direction: Point, core: Outline, radius: Metre) -> bool:
    """Whether the two stay apart however far the one slides: cheap, and right for most pairs."""
    aside = (-direction[1], direction[0])
    here, there = [dot(point, aside) for point in moving], [dot(point, aside) for point in core]
    return min(here) - radius > max(there) or max(here) + radius < min(there)


def joined(intervals: Iterable[Interval]) -> tuple[Interval, ...]:
    """Intervals sorted, those that touch made one.

    >>> joined([(2.0, 3.0), (0.0, 1.0), (0.5, 2.0)])
    ((0.0, 3.0),)
    """
    result: list[Interval] = []
    for start, end in sorted(intervals):
        if result and start <= result[-1][1]:
            result[-1] = (result[-1][0], max(end, result[-1][1]))
        else:
            result.append((start, end))
    return tuple(result)


def left_free(whole: Interval, blocked: Sequence[Interval]) -> tuple[Interval, ...]:
    """What of ``whole`` no interval of ``blocked`` covers.

    >>> left_free((0.0, 10.0), [(2.0, 3.0), (9.0, 12.0)])
    ((0.0, 2.0), (3.0, 9.0))
    """
    here, result = whole[0], []
    for start, end in joined(blocked):
        if start > here:
            result.append((here, min(start, whole[1])))
        here = max(here, end)
        if here >= whole[1]:
            break
    if here < whole[1]:
        result.append((here, whole[1]))
    return tuple(piece for piece in result if piece[1] > piece[0])


def _blocked_by_convex(moving: Outline, direction: Point, core: Outline, radius: Metre) -> Interval | None:
    starts, ends = _grown_sides(moving, core)
    low, high = _passages(starts, ends, np.asarray(direction), radius)
    if not np.isfinite(low).any():
        return None
    return float(low.min()), float(high.max())


def _grown_sides(moving: Outline, core: Outline) -> tuple[FloatArray, FloatArray]:
    """Sides of the core seen from corners of the moving outline, and the other way round: (sides, 2) each."""
    corners, others = np.asarray(moving), np.asarray(core)
    sides, other_sides = np.asarray(sides_of(moving)), np.asarray(sides_of(core))
    seen = (other_sides[None, :, :, :] - corners[:, None, None, :]).reshape(-1, 2, 2)
    seeing = (others[:, None, None, :] - sides[None, :, :, :]).reshape(-1, 2, 2)
    both = np.concatenate([seen, seeing])
    return both[:, 0], both[:, 1]


def _passages(
    starts: FloatArray, ends: FloatArray, direction: FloatArray, radius: Metre
) -> tuple[FloatArray, FloatArray]:
    """Where the line t · direction runs within ``radius`` of each side: (sides,) from and to; ∞ where not."""
    low, high = _through_discs(starts, direction, radius)
    for one, other in (
        _through_discs(ends, direction, radius),
        _through_slabs(starts, ends, direction, radius),
    ):
        low, high = np.minimum(low, one), np.maximum(high, other)
    return low, high


def _through_discs(
    centres: FloatArray, direction: FloatArray, radius: Metre
) -> tuple[FloatArray, FloatArray]:
    middle = centres @ direction
    aside = centres[:, 0] * direction[1] - centres[:, 1] * direction[0]
    square = radius * radius - aside * aside
    half = np.sqrt(np.maximum(square, 0.0))
    meets = square >= 0
    return np.where(meets, middle - half, math.inf), np.where(meets, middle + half, -math.inf)


def _through_slabs(
    starts: FloatArray, ends: FloatArray, direction: FloatArray, radius: Metre
) -> tuple[FloatArray, FloatArray]:
    """Passage through the rectangle of half width ``radius`` along each side."""
    ways = ends - starts
    lengths = np.hypot(ways[:, 0], ways[:, 1])
    is_side = lengths > 0
    tangents = ways / np.where(is_side, lengths, 1.0)[:, None]
    normals = np.stack([-tangents[:, 1], tangents[:, 0]], axis=1)
    along = _within(tangents @ direction, np.sum(starts * tangents, axis=1), np.zeros_like(lengths), lengths)
    across = _within(normals @ direction, np.sum(starts * normals, axis=1), -radius, radius)
    low, high = np.maximum(along[0], across[0]), np.minimum(along[1], across[1])
    meets = is_side & (low <= high)
    return np.where(meets, low, math.inf), np.where(meets, high, -math.inf)


def _within(
    speed: FloatArray, start: FloatArray, lowest: FloatArray | float, highest: FloatArray | float
) -> tuple[FloatArray, FloatArray]:
    """T at which speed · t − start lies from lowest to highest; all or nothing where speed is 0."""
    stands = np.abs(speed) < 1e-12
    safe = np.where(stands, 1.0, speed)
    one, other = (lowest + start) / safe, (highest + start) / safe
    inside = (-start >= lowest) & (-start <= highest)
    low = np.where(stands, np.where(inside, -math.inf, math.inf), np.minimum(one, other))
    high = np.where(stands, np.where(inside, math.inf, -math.inf), np.maximum(one, other))
    return low, high
