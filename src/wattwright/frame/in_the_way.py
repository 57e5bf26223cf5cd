"""What stands in the way along one face, for many boxes at once: closed form, no grid.

A box on a face is a line across the surface drawn along it; so where the line is blocked from a to b, a box
from u0 to u1 is blocked at offsets from a − u1 to b − u0. The line is worked out once for each height.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from wattwright.frame.faces import on_face
from wattwright.frame.placement import Face, Keepout
from wattwright.frame.plane import convex_pieces, sides_of
from wattwright.frame.sliding import THINNEST, Interval
from wattwright.units import FloatArray, IndexArray, Metre

if TYPE_CHECKING:
    from wattwright.frame.survey import Point

EVERYWHERE: Final = (-np.inf, np.inf)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InTheWay:
    """Convex pieces of all keepouts but the face's own tube, in face coordinates (s, h)."""

    starts: FloatArray
    """(sides, 2): where each side of each piece begins. [m]"""
    ends: FloatArray
    """(sides, 2)."""
    piece: IndexArray
    """(sides,): index of the side's piece."""
    first: IndexArray
    """(pieces,): index of each piece's first side."""
    radius: FloatArray
    """(pieces,): grown around it. [m]"""
    clearance: FloatArray
    """(pieces,): to keep from it. [m]"""
    low: FloatArray
    """(pieces,): its stretch across the bicycle, from here, [m]"""
    high: FloatArray
    """(pieces,): to here. [m]"""
    seen: dict[tuple[Metre, Metre, Metre, Metre, bool], tuple[Interval, ...]] = field(default_factory=dict)
    """Lines already worked out."""
    outlines: dict[object, tuple[Interval, ...]] = field(default_factory=dict)
    """The same for outlines of bags."""


def in_the_way(face: Face, keepouts: Sequence[Keepout]) -> InTheWay:
    """All that a stack on ``face`` must keep away from; the face's own tube does not count."""
    sides: list[tuple[Point, Point, int]] = []
    rows: list[tuple[Metre, Metre, Metre, Metre]] = []
    first: list[int] = []
    for keepout in keepouts:
        if keepout.name == face.tube:
            continue
        for core in convex_pieces(tuple(on_face(face, point) for point in keepout.core)):
            first.append(len(sides))
            sides.extend((one, other, len(rows)) for one, other in sides_of(core))
            rows.append((keepout.radius, keepout.clearance, keepout.low, keepout.high))
    table = np.array(rows, dtype=np.float64).reshape(-1, 4)
    return InTheWay(
        starts=np.array([side[0] for side in sides], dtype=np.float64).reshape(-1, 2),
        ends=np.array([side[1] for side in sides], dtype=np.float64).reshape(-1, 2),
        piece=np.array([side[2] for side in sides], dtype=np.intp),
        first=np.array(first, dtype=np.intp),
        radius=table[:, 0],
        clearance=table[:, 1],
        low=table[:, 2],
        high=table[:, 3],
    )


def blocked_line(
    way: InTheWay, heights: tuple[Metre, Metre], across: tuple[Metre, Metre], *, keeps: bool
) -> tuple[Interval, ...]:
    """Where along the face a line across its surface comes too near to anything.

    Args:
        way: What stands in the way.
        heights: Of the line's two ends above the surface. [m]
        across: Its stretch across the bicycle. [m]
        keeps: Whether it keeps the clearances; on the way off nothing need be kept but the room itself.

    Returns:
        Open intervals of s, one for each piece that is met. [m]

    Notes:
        A rounded convex piece cut by the strip between two heights reaches as far as its corners' discs cut
        by the strip, and as far as its grown sides at the strip's two borders.
    """
    key = (*heights, *across, keeps)
    if key not in way.seen:
        way.seen[key] = _blocked_line(way, heights, across, keeps=keeps)
    return way.seen[key]


def _blocked_line(
    way: InTheWay, heights: tuple[Metre, Metre], across: tuple[Metre, Metre], *, keeps: bool
) -> tuple[Interval, ...]:
    if not way.first.size:
        return ()
    kept = way.clearance if keeps else np.zeros_like(way.clearance)
    beside = (across[0] - kept >= way.high) | (across[1] + kept <= way.low)
    radius = np.maximum(way.radius + kept, THINNEST)[way.piece]
    low, high = np.full(len(radius), np.inf), np.full(len(radius), -np.inf)
    for one, other in (
        _discs(way.starts, radius, heights),
        _discs(way.ends, radius, heights),
        *_grown_sides(way, radius, heights),
    ):
        low, high = np.minimum(low, one), np.maximum(high, other)
    lows, highs = np.minimum.reduceat(low, way.first), np.maximum.reduceat(high, way.first)
    met = (lows < highs) & ~beside
    return tuple((float(a), float(b)) for a, b in zip(lows[met], highs[met], strict=True))


def _discs(
    centres: FloatArray, radius: FloatArray, heights: tuple[Metre, Metre]
) -> tuple[FloatArray, FloatArray]:
    aside = np.clip(centres[:, 1], *heights) - centres[:, 1]
    square = radius * radius - aside * aside
    half = np.sqrt(np.maximum(square, 0.0))
    return (
        np.where(square >= 0, centres[:, 0] - half, np.inf),
        np.where(square >= 0, centres[:, 0] + half, -np.inf),
    )


def _grown_sides(
    way: InTheWay, radius: FloatArray, heights: tuple[Metre, Metre]
) -> list[tuple[FloatArray, FloatArray]]:
    """Where both parallels of each side cross the heights of the strip's borders."""
    along = way.ends - way.starts
    length = np.hypot(along[:, 0], along[:, 1])
    normal = np.stack([-along[:, 1], along[:, 0]], axis=1) / np.where(length > 0, length, 1.0)[:, None]
    rise = np.where(np.abs(along[:, 1]) > 1e-12, along[:, 1], np.inf)
    found = []
    for sign in (1.0, -1.0):
        starts = way.starts + sign * radius[:, None] * normal
        for height in heights:
            share = (height - starts[:, 1]) / rise
            crosses = (share >= 0) & (share <= 1) & np.isfinite(rise)
            s = starts[:, 0] + share * along[:, 0]
            found.append((np.where(crosses, s, np.inf), np.where(crosses, s, -np.inf)))
    return found
