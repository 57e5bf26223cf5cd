"""Plane geometry the frame needs: vectors, outlines, and distances that are exact for straight sides.

Points are (x, y) tuples in metres; outlines are closed, without the first point repeated.
"""

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from wattwright.frame.survey import Point
from wattwright.units import Metre, Radian

Outline = tuple[Point, ...]


def added(point: Point, way: Point, share: float = 1.0) -> Point:
    """``point`` moved by ``share`` times ``way``."""
    return point[0] + share * way[0], point[1] + share * way[1]


def difference(point: Point, other: Point) -> Point:
    """The way from ``other`` to ``point``."""
    return point[0] - other[0], point[1] - other[1]


def dot(one: Point, other: Point) -> float:
    """Scalar product."""
    return one[0] * other[0] + one[1] * other[1]


def distance(one: Point, other: Point) -> Metre:
    """Straight distance of two points."""
    return math.hypot(one[0] - other[0], one[1] - other[1])


def unit(way: Point) -> Point:
    """The way's direction, of length 1; ZeroDivisionError for no way at all."""
    length = math.hypot(*way)
    return way[0] / length, way[1] / length


def turned_left(way: Point) -> Point:
    """The way turned by 90° from x towards y."""
    return -way[1], way[0]


def pointing(angle: Radian) -> Point:
    """The unit vector at ``angle`` from x towards y."""
    return math.cos(angle), math.sin(angle)


def sides_of(outline: Outline) -> tuple[tuple[Point, Point], ...]:
    """The straight sides of a point, a line or a closed outline; a point is a side without length."""
    if len(outline) == 1:
        return ((outline[0], outline[0]),)
    if len(outline) == 2:
        return ((outline[0], outline[1]),)
    return tuple(pairwise((*outline, outline[0])))


def crosses_itself(outline: Outline) -> bool:
    """Whether a closed outline meets itself, or has no area.

    >>> crosses_itself(((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)))
    True
    """
    sides = sides_of(outline)
    if sum(_turn(start, end, (0.0, 0.0)) for start, end in sides) == 0:
        return True
    return any(
        _folds_back(one, other) if after == 1 else _meet(one, other)
        for place, one in enumerate(sides)
        for after, other in _later_sides(sides, place)
    )


def _later_sides(
    sides: Sequence[tuple[Point, Point]], place: int
) -> Iterator[tuple[int, tuple[Point, Point]]]:
    """The side after this one (counted 1), and each later one that does not touch it (counted more)."""
    count = len(sides)
    yield 1, sides[(place + 1) % count]
    for after in range(2, count - 1):
        if place + after < count:
            yield after, sides[place + after]


def _turn(a: Point, b: Point, c: Point) -> float:
    """Twice the area of the triangle a b c, positive where it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _folds_back(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether the second side runs back along the first, or either is no side."""
    way, onward = difference(one[1], one[0]), difference(other[1], other[0])
    return way == (0.0, 0.0) or (_turn(*one, other[1]) == 0 and dot(way, onward) <= 0)


def _meet(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """Whether two sides have a point in common."""
    turns = [_turn(*one, point) for point in other] + [_turn(*other, point) for point in one]
    if turns[0] * turns[1] < 0 and turns[2] * turns[3] < 0:
        return True
    seen = [(one, point) for point in other] + [(other, point) for point in one]
    return any(turn == 0 and _within(side, point) for turn, (side, point) in zip(turns, seen, strict=True))


def _within(side: tuple[Point, Point], point: Point) -> bool:
    """Whether a point on a side's line lies between its ends."""
    return all(min(a, b) <= x <= max(a, b) for a, b, x in zip(*side, point, strict=True))


def convex_pieces(outline: Outline) -> tuple[Outline, ...]:
    """An outline as convex pieces that share only sides: itself where it is convex already."""
    if len(outline) <= 3 or _is_convex(outline):
        return (outline,)
    from shapely import Polygon, constrained_delaunay_triangles  # noqa: PLC0415 (start-up)

    triangles = constrained_delaunay_triangles(Polygon(outline))
    return tuple(tuple(_corners(triangle)) for triangle in triangles.geoms)


def gap(moving: Outline, core: Outline, radius: Metre) -> Metre:
    """Distance between an outline and a core grown by ``radius``; negative is how far they must part.

    Args:
        moving: A closed outline. [m]
        core: A point, a line of two points, or a closed outline. [m]
        radius: Grown around the core, 0 or more. [m]

    Returns:
        Free distance, or minus the shortest shift in any direction that would part them. [m] Where one of
        them is notched and the core grown, parting may take a little more.

    Notes:
        Apart: the distance of the cores less the radius. Overlapping: the distance of the origin from the
        border of the Minkowski difference of the two, taken over convex pieces, plus the radius; exact for
        convex outlines.

    Examples:
        >>> square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
        >>> round(gap(square, ((2.0, 0.5),), 0.25), 9), round(gap(square, ((0.9, 0.5),), 0.25), 9)
        (0.75, -0.35)
    """
    from shapely import LineString, Polygon  # noqa: PLC0415 (start-up)
    from shapely import Point as Dot  # noqa: PLC0415

    body = Polygon(moving)
    other = Dot(core[0]) if len(core) == 1 else LineString(core) if len(core) == 2 else Polygon(core)
    apart = float(body.distance(other))
    return apart - radius if apart > 0 else -_depth(moving, core) - radius


def _depth(moving: Outline, core: Outline) -> Metre:
    """Shortest shift that parts two overlapping outlines."""
    from shapely import MultiPoint, Point, union_all  # noqa: PLC0415 (start-up)

    differences = [
        MultiPoint([difference(b, a) for a in one for b in other]).convex_hull
        for one in convex_pieces(moving)
        for other in convex_pieces(core)
    ]
    return float(union_all(differences).boundary.distance(Point(0.0, 0.0)))


def _is_convex(outline: Outline) -> bool:
    turns = [
        (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
        for a, b, c in zip(outline, outline[1:] + outline[:1], outline[2:] + outline[:2], strict=True)
    ]
    return all(turn >= 0 for turn in turns) or all(turn <= 0 for turn in turns)


def _corners(triangle: object) -> list[Point]:
    ring = triangle.exterior.coords[:-1]  # type: ignore[attr-defined]
    return [(float(x), float(y)) for x, y in ring]
