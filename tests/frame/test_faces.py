"""Faces: where they lie, their bosses, their free length, and laws these obey."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import LineString
from shapely import Point as Dot
from shapely import Polygon as Area

from frame_examples import BOTTLE_BOSSES, REFERENCE, frame_of
from wattwright.errors import InputError
from wattwright.frame.build import Deck, _check_tube
from wattwright.frame.faces import in_plane, on_face
from wattwright.frame.plane import dot
from wattwright.frame.room import Room, free_stretches, room_of
from wattwright.frame.survey import Boss, ClearanceKind, Frame, FrameKind, Section, SectionShape, Side, Tube
from wattwright.parts.fixing import Material

WIDE = Section(shape=SectionShape.ROUND, width=0.040, depth=0.040)
NARROW = Section(shape=SectionShape.ROUND, width=0.030, depth=0.030)


def beam(end: tuple[float, float], **changed: object) -> Tube:
    """One tube from the origin, with both sides."""
    usual = {
        "name": "beam", "start": (0.0, 0.0), "end": end, "start_section": WIDE, "end_section": WIDE,
        "material": Material.STEEL, "wall": 0.001, "sides": (Side.ABOVE, Side.BELOW),
    }  # fmt: skip
    return Tube(**{**usual, **changed})  # type: ignore[arg-type]


def alone(*tubes: Tube, bosses: tuple[Boss, ...] = ()) -> Frame:
    """A frame of these tubes and nothing else."""
    return Frame(
        title="beams",
        kind=FrameKind.DIAMOND,
        tubes=tubes,
        wheels=(),
        cranks=(),
        steering=None,
        clearances={ClearanceKind.TUBE: 0.003},
        bosses=bosses,
    )


def test_a_diamond_has_the_faces_a_fitter_would_look_at() -> None:
    assert list(room_of(frame_of()).faces) == [
        "above down tube", "below down tube", "front seat tube", "behind seat tube",
        "above top tube", "below top tube",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "deck", "faces"),
    [
        (FrameKind.LONGTAIL, "rack", {"above rear rack", "below rear rack"}),
        (FrameKind.CARGO, "platform", {"above front platform", "below front platform"}),
    ],
)
def test_racks_and_platforms_have_faces_on_and_under_them(
    kind: FrameKind, deck: str, faces: set[str]
) -> None:
    flat = Deck(length=0.7, width=0.15, thickness=0.016, gap=0.035, material=Material.STEEL)
    table = replace(REFERENCE, kind=kind, chain_stay=0.80 if deck == "rack" else 0.435)

    assert faces <= set(room_of(frame_of(table, bosses=(), **{deck: flat})).faces)


def test_a_face_lies_on_the_surface_and_looks_outward() -> None:
    """A level beam of 40 mm: its upper face 20 mm over the axis, its lower face 20 mm under it."""
    faces = room_of(alone(beam((0.5, 0.0)))).faces

    assert faces["above beam"].origin == pytest.approx((0.0, 0.020))
    assert faces["above beam"].outward == pytest.approx((0.0, 1.0))
    assert faces["below beam"].origin == pytest.approx((0.0, -0.020))
    assert faces["below beam"].outward == pytest.approx((0.0, -1.0))
    assert in_plane(faces["below beam"], (0.1, 0.05)) == pytest.approx((0.1, -0.070))


def test_the_face_of_a_tapered_tube_follows_its_surface() -> None:
    """From 40 to 30 mm over 500 mm the surface falls by 5 mm: atan(5/500), and is √(500² + 5²) mm long."""
    face = room_of(alone(beam((0.5, 0.0), end_section=NARROW))).faces["above beam"]

    assert math.atan2(face.along[1], face.along[0]) == pytest.approx(-math.atan(0.01))
    assert face.length == pytest.approx(math.hypot(0.5, 0.005))
    assert dot(face.along, face.outward) == pytest.approx(0.0)


def test_bosses_keep_their_place_along_the_tube() -> None:
    face = room_of(frame_of()).faces["above down tube"]

    assert [round(1000 * boss.s, 3) for boss in face.bosses] == [280.0, 344.0]
    assert room_of(frame_of()).faces["below down tube"].bosses == ()


@given(x=st.floats(-1, 1), y=st.floats(-1, 1))
def test_there_and_back_between_face_and_plane(x: float, y: float) -> None:
    face = room_of(frame_of()).faces["front seat tube"]

    assert in_plane(face, on_face(face, (x, y))) == pytest.approx((x, y), abs=1e-12)


def test_two_tubes_that_meet_end_the_usable_stretch() -> None:
    """A post of 30 mm, square to the beam at 400 mm: the surface is clear up to its side, 385 mm."""
    post = beam((0.4, 0.3), name="post", start=(0.4, 0.0), start_section=NARROW, end_section=NARROW, sides=())
    room = room_of(alone(beam((0.5, 0.0)), post))
    face = room.faces["above beam"]

    assert face.usable == pytest.approx((0.0, 0.385))
    (before, after) = free_stretches(room, face, height=0.1, half_width=0.04)
    assert before == pytest.approx((0.0, 0.382))
    assert after == pytest.approx((0.418, 0.5))


def free_length(room: Room, name: str) -> float:
    """All that is free of a face for a stack 160 mm high and 80 mm wide."""
    found = free_stretches(room, room.faces[name], height=0.16, half_width=0.04)
    return sum(end - start for start, end in found)


@settings(max_examples=30, deadline=None)
@given(
    length=st.floats(0.2, 0.6), more=st.floats(0.0, 0.3), post=st.floats(0.05, 0.55), lean=st.floats(-60, 60)
)
def test_a_longer_tube_never_loses_free_length(length: float, more: float, post: float, lean: float) -> None:
    """The tube grows at its far end; what stands in the way stays where it is."""
    angle = math.radians(lean)
    top = (post + 0.3 * math.sin(angle), 0.05 + 0.3 * math.cos(angle))
    bar = beam(top, name="bar", start=(post, 0.05), start_section=NARROW, end_section=NARROW, sides=())
    short, long = (room_of(alone(beam((reach, 0.0)), bar)) for reach in (length, length + more))

    assert free_length(long, "above beam") >= free_length(short, "above beam") - 1e-9


@settings(max_examples=30, deadline=None)
@given(kind=st.sampled_from(list(ClearanceKind)), more=st.floats(0, 0.06), name=st.sampled_from(range(6)))
def test_a_larger_clearance_never_frees_anything(kind: ClearanceKind, more: float, name: int) -> None:
    frame = frame_of()
    wider = replace(frame, clearances={**frame.clearances, kind: frame.clearances[kind] + more})
    face = list(room_of(frame).faces)[name]

    assert free_length(room_of(wider), face) <= free_length(room_of(frame), face) + 1e-9


@settings(max_examples=20, deadline=None)
@given(height=st.floats(0.02, 0.2), half=st.floats(0.01, 0.08), place=st.floats(0, 1), name=st.integers(0, 5))
def test_what_is_free_is_free_and_what_is_not_is_not(
    height: float, half: float, place: float, name: int
) -> None:
    """Sibling: distances by another library at single places."""
    room = room_of(frame_of())
    face = list(room.faces.values())[name]
    s = place * face.length
    free = free_stretches(room, face, height=height, half_width=half)
    assume(all(abs(s - edge) > 1e-6 for stretch in free for edge in stretch))
    line = LineString([in_plane(face, (s, 0.0)), in_plane(face, (s, height))])
    spare = min(
        line.distance(
            Dot(k.core[0]) if len(k.core) == 1 else LineString(k.core) if len(k.core) == 2 else Area(k.core)
        )
        - k.radius
        - k.clearance
        for k in room.keepouts
        if k.name != face.tube and not (half + k.clearance <= k.low or -half - k.clearance >= k.high)
    )

    assert any(start < s < end for start, end in free) == (spare > 0)


@pytest.mark.parametrize("position", [-0.01, 0.80])
def test_a_boss_beyond_its_tube_is_refused(position: float) -> None:
    boss = replace(BOTTLE_BOSSES[0], position=position)

    with pytest.raises(InputError, match=r"bosses\[1\].position_mm.*on the down tube, which is 649 mm long"):
        room_of(frame_of(bosses=(boss,)))


def test_a_boss_on_a_tube_there_is_not_is_refused() -> None:
    with pytest.raises(InputError, match=r"bosses\[1\].tube is 'keel tube'"):
        room_of(frame_of(bosses=(replace(BOTTLE_BOSSES[0], tube="keel tube"),)))


def test_a_vertical_tube_has_no_upper_side() -> None:
    with pytest.raises(InputError, match="side of beam is 'above'; it must be front or behind"):
        room_of(alone(beam((0.0, 0.5))))


def test_an_unknown_face_is_refused_with_those_there_are() -> None:
    with pytest.raises(InputError, match="one of above down tube, below down tube"):
        room_of(frame_of()).face("under the saddle")


def test_one_of_a_pair_carries_nothing() -> None:
    pair = beam((0.5, 0.2), spread=0.03)

    with pytest.raises(InputError, match="sides of the beam"):
        _check_tube(pair)
