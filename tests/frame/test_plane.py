"""Plane geometry: exact distances and depths, and sliding without a grid."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon
from shapely import Point as Dot
from shapely.affinity import translate

from wattwright.frame.plane import convex_pieces, crosses_itself, gap
from wattwright.frame.sliding import blocked_offsets, joined, left_free

SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
HOOK = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 2.0), (1.0, 1.0), (0.0, 1.0))
coordinates = st.floats(-2, 2).map(lambda value: round(value, 4))
points = st.tuples(coordinates, coordinates)


@st.composite
def outlines(draw: st.DrawFn) -> tuple[tuple[float, float], ...]:
    """A star-shaped outline, often not convex."""
    middle = draw(points)
    count = draw(st.integers(3, 7))
    radii = [draw(st.floats(0.2, 1.0)) for _ in range(count)]
    return tuple(
        (
            middle[0] + radius * math.cos(2 * math.pi * turn / count),
            middle[1] + radius * math.sin(2 * math.pi * turn / count),
        )
        for turn, radius in enumerate(radii)
    )


cores = st.one_of(points.map(lambda point: (point,)), st.tuples(points, points), outlines())


def shape_of(core: tuple[tuple[float, float], ...]) -> Dot | LineString | Polygon:
    return Dot(core[0]) if len(core) == 1 else LineString(core) if len(core) == 2 else Polygon(core)


@pytest.mark.parametrize(
    ("core", "radius", "expected"),
    [
        (((3.0, 0.5),), 0.5, 1.5),
        (((2.0, 2.0),), 0.0, math.sqrt(2)),
        (((0.5, 0.5),), 0.0, -0.5),
        (((0.5, 0.9),), 0.2, -0.3),
        (((-1.0, 0.5), (2.0, 0.5)), 0.1, -0.6),
        (((0.7, 0.0), (3.0, 0.0), (3.0, 1.0), (0.7, 1.0)), 0.0, -0.3),
    ],
)
def test_distances_and_depths_by_hand(
    core: tuple[tuple[float, float], ...], radius: float, expected: float
) -> None:
    assert gap(SQUARE, core, radius) == pytest.approx(expected)


def test_depth_in_a_hook_is_the_way_out_of_its_notch() -> None:
    """A square in the inner corner overlaps by 0.25 both ways: 0.25 is enough, not the way round."""
    square = ((0.5, 0.75), (1.0, 0.75), (1.0, 1.25), (0.5, 1.25))

    assert gap(HOOK, square, 0.0) == pytest.approx(-0.25)


@given(moving=outlines(), core=cores, radius=st.floats(0, 0.4))
def test_moving_apart_by_the_depth_frees_and_by_less_does_not(
    moving: tuple[tuple[float, float], ...], core: tuple[tuple[float, float], ...], radius: float
) -> None:
    """Sibling: shapely's own distances, in 360 directions; the depth is the least of all.

    In a notch a grown core may need more than that to come free, so freedom is asked of convex outlines only.
    """
    inside = Polygon(moving).representative_point()
    shift = (inside.x - core[0][0], inside.y - core[0][1])
    core = tuple((x + shift[0], y + shift[1]) for x, y in core)
    depth = -gap(moving, core, radius)
    body, other = Polygon(moving), shape_of(core)
    assert depth > radius
    freed = False
    for turn in range(360):
        way = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
        short = translate(body, way[0] * 0.98 * depth, way[1] * 0.98 * depth)
        assert short.distance(other) < radius or short.intersects(other)
        enough = translate(body, way[0] * 1.02 * depth, way[1] * 1.02 * depth)
        freed = freed or (enough.distance(other) > radius - 1e-9 and not enough.intersects(other))
    assert freed or len(convex_pieces(moving)) + len(convex_pieces(core)) > 2


@given(moving=outlines(), core=cores, radius=st.floats(0, 0.4), angle=st.floats(0, 6.28))
def test_blocked_offsets_are_those_at_which_shapely_finds_them_too_near(
    moving: tuple[tuple[float, float], ...],
    core: tuple[tuple[float, float], ...],
    radius: float,
    angle: float,
) -> None:
    """Sibling: the distance of another library, at 81 shifts."""
    way = (math.cos(angle), math.sin(angle))
    blocked = blocked_offsets(moving, way, core, radius)
    body, other = Polygon(moving), shape_of(core)
    for place in range(-40, 41):
        shift = place / 8
        apart = translate(body, shift * way[0], shift * way[1]).distance(other) - radius
        inside = any(low < shift < high for low, high in blocked)
        if apart > 1e-7:
            assert not inside
        elif apart < -1e-7 or (radius == 0 and apart == 0):
            near_edge = any(min(abs(shift - low), abs(shift - high)) < 1e-6 for low, high in blocked)
            touches = radius == 0 and not translate(body, shift * way[0], shift * way[1]).overlaps(other)
            assert inside or near_edge or touches


@given(
    intervals=st.lists(st.tuples(st.floats(-5, 5), st.floats(0, 3)).map(lambda pair: (pair[0], sum(pair))))
)
def test_free_and_blocked_make_up_the_whole(intervals: list[tuple[float, float]]) -> None:
    free = left_free((-4.0, 4.0), intervals)
    inside = [(max(-4.0, low), min(4.0, high)) for low, high in joined(intervals) if high > -4 and low < 4]

    assert sum(b - a for a, b in free) + sum(b - a for a, b in inside) == pytest.approx(8.0)


def test_an_outline_that_crosses_itself_is_seen() -> None:
    assert crosses_itself(((0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)))
    assert crosses_itself(((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)))
    assert not crosses_itself(HOOK)


@given(outline=st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=7))
def test_crossing_itself_is_what_another_library_calls_not_valid(outline: list[tuple[int, int]]) -> None:
    """Sibling, on a coarse grid so that touching, folding back and no area at all occur often."""
    shape = Polygon(outline)

    assert crosses_itself(tuple((float(x), float(y)) for x, y in outline)) == (
        not shape.is_valid or shape.area == 0 or len(set(outline)) < len(outline)
    )


def test_convex_pieces_make_up_the_outline() -> None:
    pieces = [Polygon(piece) for piece in convex_pieces(HOOK)]

    assert sum(piece.area for piece in pieces) == pytest.approx(Polygon(HOOK).area)
    assert all(piece.convex_hull.area == pytest.approx(piece.area) for piece in pieces)
