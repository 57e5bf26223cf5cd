"""Geometry from marked points: there and back, and pictures that cannot be right."""

import math
from dataclasses import fields, replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from frame_examples import REFERENCE
from wattwright.errors import InputError
from wattwright.frame.geometry import GeometryTable, solved
from wattwright.frame.marks import KnownLength, Marks, geometry_from_marks
from wattwright.frame.survey import FrameKind, Point

CHECKED_ONLY = {
    "fork_length", "wheelbase", "front_centre", "trail", "effective_top_tube", "bottom_bracket_height",
}  # fmt: skip


def picture(
    table: GeometryTable, *, pixels_per_metre: float = 900.0, turn: float = 0.0, faces_left: bool = False
) -> Marks:
    """The table's points as somebody would mark them in a picture, held askew by ``turn``."""
    joints = solved(table)
    places = {
        "bottom_bracket": (0.0, 0.0),
        "rear_axle": joints.rear_axle,
        "front_axle": joints.front_axle,
        "head_top": joints.head_top,
        "head_bottom": joints.head_bottom,
        "seat_top": joints.seat_top,
        "top_tube_seat": joints.top_tube_seat,
        "top_tube_head": joints.top_tube_head,
        "down_tube_head": joints.down_tube_head,
    }

    def marked(point: Point) -> Point:
        x = point[0] * math.cos(turn) - point[1] * math.sin(turn)
        y = point[0] * math.sin(turn) + point[1] * math.cos(turn)
        return 800 + pixels_per_metre * (-x if faces_left else x), 700 - pixels_per_metre * y

    return Marks(
        kind=table.kind,
        points={name: marked(place) for name, place in places.items()},
        known=(KnownLength(start="bottom_bracket", end="rear_axle", length=table.chain_stay),),
        rear_radius=table.rear_radius,
        front_radius=table.front_radius,
        lower_bearing=table.lower_bearing,
    )


@given(
    scale=st.floats(400, 4000),
    turn=st.floats(-0.3, 0.3),
    faces_left=st.booleans(),
    front=st.floats(0.28, 0.35),
)
def test_marks_of_a_known_bicycle_give_its_geometry(
    scale: float,
    turn: float,
    faces_left: bool,  # noqa: FBT001
    front: float,
) -> None:
    """Any scale, askew, facing either way, unequal wheels."""
    table = replace(REFERENCE, front_radius=front)
    found = geometry_from_marks(picture(table, pixels_per_metre=scale, turn=turn, faces_left=faces_left))

    assert found.per_pixel == pytest.approx(1 / scale)
    for field in fields(GeometryTable):
        if field.name not in CHECKED_ONLY and field.name != "kind":
            assert getattr(found.table, field.name) == pytest.approx(getattr(table, field.name), abs=1e-9)
    assert solved(found.table).wheelbase == pytest.approx(solved(table).wheelbase)


def test_joints_that_were_not_marked_are_taken_as_usual() -> None:
    marks = picture(REFERENCE)
    few = {
        name: place for name, place in marks.points.items() if name not in {"top_tube_seat", "down_tube_head"}
    }
    table = geometry_from_marks(replace(marks, points=few)).table

    assert table.top_tube_on_seat == pytest.approx(0.92 * 0.520)
    assert table.down_tube_above_head == pytest.approx(0.25 * 0.160)
    assert table.top_tube_below_head == pytest.approx(0.035)


def test_two_known_lengths_that_disagree_are_both_named() -> None:
    """A head tube said to be 180 mm that the chain stay makes 160 mm."""
    marks = picture(REFERENCE, pixels_per_metre=2000)
    second = KnownLength(start="head_top", end="head_bottom", length=0.180)

    with pytest.raises(InputError) as refused:
        geometry_from_marks(replace(marks, known=(*marks.known, second)))
    assert "is 180.0" in str(refused.value)
    assert "160.0 mm" in str(refused.value)
    assert "435.0 mm" in str(refused.value)


def test_two_known_lengths_that_agree_share_the_scale() -> None:
    marks = picture(REFERENCE, pixels_per_metre=2000)
    second = KnownLength(start="head_top", end="head_bottom", length=0.161)
    found = geometry_from_marks(replace(marks, known=(*marks.known, second)))

    assert found.per_pixel == pytest.approx((0.435 + 0.161) / (870 + 320))


def test_a_known_length_that_is_short_in_the_picture_is_refused() -> None:
    with pytest.raises(InputError, match="at least 100 pixels long"):
        geometry_from_marks(picture(REFERENCE, pixels_per_metre=200))


@pytest.mark.parametrize("name", ["bottom_bracket", "front_axle", "head_top", "seat_top"])
def test_a_mark_that_is_missing_is_named(name: str) -> None:
    marks = picture(REFERENCE)
    points = {key: place for key, place in marks.points.items() if key != name}

    with pytest.raises(InputError, match=f"marks.{name}"):
        geometry_from_marks(replace(marks, points=points))


def test_marks_on_one_spot_are_refused() -> None:
    marks = picture(REFERENCE)
    points = {**marks.points, "head_bottom": marks.points["head_top"]}

    with pytest.raises(InputError, match=r"marks\.head_bottom.*apart from head_top"):
        geometry_from_marks(replace(marks, points=points))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"known": ()}, "at least one known length"),
        ({"known": (KnownLength(start="saddle", end="rear_axle", length=0.4),)}, "'saddle'"),
        ({"known": (KnownLength(start="bottom_bracket", end="rear_axle", length=0.0),)}, "length_mm"),
        ({"front_radius": 3.0}, "less than the wheelbase"),
    ],
)
def test_pictures_that_cannot_be(changed: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        geometry_from_marks(replace(picture(REFERENCE), **changed))  # type: ignore[arg-type]


def test_a_mark_nobody_knows_is_refused() -> None:
    marks = picture(REFERENCE)

    with pytest.raises(InputError, match="'saddle'"):
        geometry_from_marks(replace(marks, points={**marks.points, "saddle": (0.0, 0.0)}))


def test_a_tandem_is_marked_at_its_front_bottom_bracket() -> None:
    table = replace(REFERENCE, kind=FrameKind.TANDEM, stoker_distance=0.70)
    marks = replace(
        picture(table),
        known=(KnownLength(start="rear_axle", end="front_axle", length=solved(table).wheelbase),),
        stoker_distance=0.70,
    )

    assert geometry_from_marks(marks).table.chain_stay == pytest.approx(0.435)
