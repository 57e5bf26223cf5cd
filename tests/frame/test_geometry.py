"""Geometry tables: check rows, a geometry solved by hand, and what contradicts itself."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from frame_examples import REFERENCE, frame_of
from reference_values import reference
from wattwright.errors import InputError
from wattwright.frame.geometry import GeometryTable, solved
from wattwright.frame.plane import distance
from wattwright.frame.survey import FrameKind
from wattwright.parts.tyre import wheel_radius_from_tyre
from wattwright.units import mm_from_metres


def test_wheelbase_front_centre_and_fork_of_the_check_row() -> None:
    """B1: reference sheet topic 10, computed in closed form."""
    row, joints = reference("B1"), solved(REFERENCE)

    assert mm_from_metres(joints.wheelbase) == row.approx(0)
    assert mm_from_metres(joints.front_centre) == row.approx(1)
    assert mm_from_metres(joints.fork_length) == row.approx(2)


def test_trail_mechanical_trail_and_bottom_bracket_height_of_the_check_row() -> None:
    """B2: reference sheet topic 10."""
    row, joints = reference("B2"), solved(REFERENCE)

    assert mm_from_metres(joints.trail) == row.approx(0)
    assert mm_from_metres(joints.mechanical_trail) == row.approx(1)
    assert mm_from_metres(joints.bottom_bracket_height) == row.approx(2)


def test_effective_top_tube_of_the_check_row() -> None:
    """B3: reach + stack / tan STA."""
    assert mm_from_metres(solved(REFERENCE).effective_top_tube) == reference("B3").approx(0)


@pytest.mark.parametrize(("index", "size"), list(enumerate(["37-622", "50-584", "47-406"])))
def test_outer_diameters_of_tyres(index: int, size: str) -> None:
    """B4: ISO 5775, bead seat diameter + 2 × width."""
    row = reference("B4")

    assert 2 * mm_from_metres(wheel_radius_from_tyre(size)) == row.approx(index)


def test_the_worked_points_of_the_reference_sheet() -> None:
    """Topic 10: rear axle x, head tube bottom, straight axle to crown, front axle; to 0.01 mm."""
    joints = solved(REFERENCE)

    assert 1000 * joints.rear_axle[0] == pytest.approx(-429.331, abs=0.01)
    assert [1000 * axis for axis in joints.head_bottom] == pytest.approx([442.091, 448.717], abs=0.01)
    assert [1000 * axis for axis in joints.front_axle] == pytest.approx([620.087, 70.0], abs=0.01)
    assert 1000 * math.hypot(joints.fork_length, REFERENCE.rake) == pytest.approx(406.532, abs=0.01)


def test_the_worked_main_triangle_of_the_reference_sheet() -> None:
    """Topic 10: vertices, area 1558.79 cm², down tube 648.705 mm at 48.592°, top tube 552.371 mm."""
    frame = frame_of()
    down, top = frame.tube("down tube"), frame.tube("top tube")
    corners = [(0.0, 0.0), down.end, top.end, top.start]
    area = 0.5 * sum(
        a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, corners[1:] + corners[:1], strict=True)
    )

    assert [1000 * axis for axis in down.end] == pytest.approx([429.068, 486.538], abs=0.01)
    assert [1000 * axis for axis in top.end] == pytest.approx([401.395, 566.907], abs=0.01)
    assert [1000 * axis for axis in top.start] == pytest.approx([-140.338, 459.026], abs=0.01)
    assert 1e4 * area == pytest.approx(1558.79, abs=0.01)
    assert 1000 * distance(down.start, down.end) == pytest.approx(648.705, abs=0.01)
    assert math.degrees(math.atan2(down.end[1], down.end[0])) == pytest.approx(48.592, abs=0.001)
    assert 1000 * distance(top.start, top.end) == pytest.approx(552.371, abs=0.01)


BY_HAND = replace(
    REFERENCE,
    kind=FrameKind.SMALL_WHEELS,
    head_angle=math.asin(0.96),
    stack=0.600,
    reach=0.400,
    bottom_bracket_drop=0.090,
    chain_stay=0.410,
    head_tube=0.150,
    lower_bearing=0.010,
    rake=0.050,
    rear_radius=0.340,
    front_radius=0.290,
)
"""Unequal wheels and whole triangles: sin HTA 24/25, cos 7/25; drop, axle and chain stay 9, 40, 41."""


def test_a_second_geometry_solved_by_hand() -> None:
    """Convention as in encyclopaedic summaries: trail (R cos − rake)/sin, rake square to the axis.

    Rear axle (−0.40, 0.09). Ground at 0.09 − 0.34 = −0.25, front axle at −0.25 + 0.29 = 0.04. Column from
    the head tube's top: (0.60 − 0.04 + 0.05 · 0.28) / 0.96 = 0.574 / 0.96. Fork: that − 0.16. Front axle x:
    0.40 + 0.574 / 0.96 · 0.28 + 0.05 · 0.96. Trail: (0.29 · 0.28 − 0.05) / 0.96 = 0.0325.
    """
    joints = solved(BY_HAND)

    assert joints.rear_axle == pytest.approx((-0.40, 0.09))
    assert joints.fork_length == pytest.approx(0.574 / 0.96 - 0.16)
    assert joints.front_axle == pytest.approx((0.40 + 0.574 / 0.96 * 0.28 + 0.048, 0.04))
    assert joints.wheelbase == pytest.approx(0.80 + 0.574 / 0.96 * 0.28 + 0.048)
    assert joints.trail == pytest.approx(0.0325)
    assert joints.bottom_bracket_height == pytest.approx(0.25)


@given(
    head_angle=st.floats(62, 78),
    stack=st.floats(0.48, 0.68),
    reach=st.floats(0.34, 0.48),
    drop=st.floats(-0.02, 0.09),
    front=st.floats(0.2, 0.36),
)
def test_both_wheels_stand_on_one_ground(
    head_angle: float, stack: float, reach: float, drop: float, front: float
) -> None:
    table = replace(
        REFERENCE,
        head_angle=math.radians(head_angle),
        stack=stack,
        reach=reach,
        bottom_bracket_drop=drop,
        front_radius=front,
        head_tube=0.12,
    )
    try:
        joints = solved(table)
    except InputError as error:
        assert "radius" in str(error)  # noqa: PT017 (small forks do not clear large wheels)
        return

    assert joints.front_axle[1] - front == pytest.approx(joints.rear_axle[1] - table.rear_radius)
    axis = (math.cos(table.head_angle), -math.sin(table.head_angle))
    way = (joints.front_axle[0] - reach, joints.front_axle[1] - stack)
    assert way[0] * -axis[1] + way[1] * axis[0] == pytest.approx(table.rake)


@pytest.mark.parametrize(
    ("changed", "one", "other"),
    [
        ({"chain_stay": 0.060}, "chain_stay_mm is 60.0", "bottom_bracket_drop_mm, which is 70.0"),
        ({"chain_stay": 0.330}, "chain_stay_mm is 330.0", "rear_radius_mm, which is 348.0"),
        ({"head_tube": 0.070}, "head_tube_mm is 70.0", "which is 75.0"),
        ({"seat_tube": 0.450}, "seat_tube_mm is 450.0", "top_tube_on_seat_mm, which is 480.0"),
        ({"stack": 0.480}, "fork_length_mm", "front_radius_mm, which is 348.0"),
        (
            {"reach": 0.01, "chain_stay": 0.36},
            "wheelbase_mm",
            "rear_radius_mm + front_radius_mm, which is 696.0",
        ),
        ({"stack": 0.11}, "stack_mm is 110.0", "head_tube_mm, which is 160.0"),
        ({"wheelbase": 1.020}, "wheelbase_mm is 1020.0", "1049.4 mm, which the other figures give"),
        ({"trail": 0.040}, "trail_mm is 40.0", "72.2 mm, which the other figures give"),
        ({"fork_length": 0.372}, "fork_length_mm is 372.0", "404.0 mm, which the other figures give"),
        ({"bottom_bracket_height": 0.300}, "bottom_bracket_height_mm is 300.0", "278.0 mm"),
        ({"effective_top_tube": 0.560}, "effective_top_tube_mm is 560.0", "573.4 mm"),
        ({"front_centre": 0.600}, "front_centre_mm is 600.0", "624.0 mm"),
    ],
)
def test_two_figures_that_contradict_are_both_named(changed: dict[str, float], one: str, other: str) -> None:
    with pytest.raises(InputError) as refused:
        solved(replace(REFERENCE, **changed))

    assert one in str(refused.value)
    assert other in str(refused.value)


def test_lengths_that_agree_are_accepted() -> None:
    measured = replace(
        REFERENCE, wheelbase=1.0500, front_centre=0.6235, trail=0.073, fork_length=0.4035,
        effective_top_tube=0.5740, bottom_bracket_height=0.2775,
    )  # fmt: skip

    assert solved(measured) == solved(REFERENCE)


def test_a_wheelbase_in_inches_is_suggested_as_such() -> None:
    """41.3 in is 1049 mm."""
    with pytest.raises(InputError, match=r"meant in inches, write 1049\.0"):
        solved(replace(REFERENCE, wheelbase=0.0413))


@pytest.mark.parametrize(
    "field", ["stack", "chain_stay", "head_tube", "seat_tube", "rear_radius", "front_radius"]
)
@pytest.mark.parametrize("value", [0.0, -0.1, math.nan, math.inf])
def test_lengths_that_cannot_be_are_refused(field: str, value: float) -> None:
    with pytest.raises(InputError, match=f"{field}_mm"):
        solved(replace(REFERENCE, **{field: value}))


@pytest.mark.parametrize(
    ("field", "degrees"), [("head_angle", 19.0), ("seat_angle", 30.0), ("head_angle", 91.0)]
)
def test_angles_that_cannot_be_are_refused(field: str, degrees: float) -> None:
    with pytest.raises(InputError, match=f"{field}_deg is {degrees}"):
        solved(replace(REFERENCE, **{field: math.radians(degrees)}))


def test_an_angle_measured_from_the_front_is_suggested_as_such() -> None:
    with pytest.raises(InputError, match=r"measured from the front, write 71"):
        solved(replace(REFERENCE, head_angle=math.radians(109)))


@pytest.mark.parametrize("kind", list(FrameKind))
def test_every_kind_of_frame_can_be_built(kind: FrameKind) -> None:
    table: GeometryTable = replace(REFERENCE, kind=kind)
    if kind is FrameKind.TANDEM:
        table = replace(table, stoker_distance=0.70)
    if kind is FrameKind.LONGTAIL:
        table = replace(table, chain_stay=0.80)
    frame = frame_of(table, bosses=())
    names = {tube.name for tube in frame.tubes}

    wanted = {
        FrameKind.FOLDING: {"main beam"},
        FrameKind.MIXTE: {"twin tubes", "down tube"},
        FrameKind.TANDEM: {"keel tube", "rear seat tube", "top tube"},
    }.get(kind, {"down tube", "top tube", "seat stays"})
    assert wanted | {"head tube", "seat tube", "chain stays"} <= names
    assert len(frame.cranks) == (2 if kind is FrameKind.TANDEM else 1)


def test_a_tandem_without_a_second_seat_is_refused() -> None:
    with pytest.raises(InputError, match="stoker_distance_mm"):
        frame_of(replace(REFERENCE, kind=FrameKind.TANDEM), bosses=())
