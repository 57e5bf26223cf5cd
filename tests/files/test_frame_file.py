"""Frame files: what they give, what is taken as usual and said so, and every kind of bad input."""

import math
from pathlib import Path

import pytest

from wattwright.errors import FileError, InputError, WattwrightError
from wattwright.files.catalogue_file import demo_folder
from wattwright.files.frame_file import read_frame, read_frame_text, usual_clearances, usual_equipment
from wattwright.frame.room import free_stretches, room_of
from wattwright.frame.survey import ClearanceKind, FrameKind, SectionShape, Side
from wattwright.parts.fixing import Insert, Material

GEOMETRY = """
[geometry]
head_angle_deg = 71
seat_angle_deg = 73
stack_mm = 600
reach_mm = 390
bottom_bracket_drop_mm = 70
chain_stay_mm = 435
head_tube_mm = 160
rear_tyre = "37-622"
seat_tube_mm = 520
"""
DIAMOND = '[frame]\ntitle = "Steel diamond"\nkind = "diamond"\n' + GEOMETRY


def frame(text: str):  # noqa: ANN201 (a Frame)
    return read_frame_text(text, "mine.toml")


def refusal(text: str) -> str:
    """What is said of a bad file: one line that names it."""
    with pytest.raises(WattwrightError) as refused:
        frame(text)
    said = str(refused.value)
    assert said.startswith("mine.toml")
    assert "\n" not in said
    return said


def test_a_short_file_is_enough(tmp_path: Path) -> None:
    path = tmp_path / "bicycle.toml"
    path.write_text(DIAMOND, encoding="utf-8")
    found = read_frame(path)

    assert found.title == "Steel diamond"
    assert math.dist(found.tube("seat tube").start, found.tube("seat tube").end) == pytest.approx(0.520)
    assert len(room_of(found).faces) == 6


def test_what_was_not_measured_is_said() -> None:
    """With the value that was taken, and nothing that was given."""
    (note,) = frame(DIAMOND + "\n[equipment]\ncrank_arm_mm = 165\n").notes

    assert note.startswith("Not measured, taken as usual for diamond:")
    assert "rake_mm 45" in note
    assert "lock_deg 60" in note
    assert "crank_arm_mm" not in note
    assert "stack_mm" not in note


def test_what_was_measured_goes_before_what_is_usual() -> None:
    joints = "top_tube_on_seat_mm = 480\ntop_tube_below_head_mm = 35\ndown_tube_above_head_mm = 40\n"
    found = frame(DIAMOND + joints + "rake_mm = 45\n")
    down = found.tube("down tube")

    assert 1000 * math.dist(down.start, down.end) == pytest.approx(648.705, abs=0.01)
    assert "top_tube_on_seat" not in found.notes[0]
    assert "rake_mm" not in found.notes[0]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("reach_mm = 390", "effective_top_tube_mm = 573.4384"),
        ("bottom_bracket_drop_mm = 70", "bottom_bracket_height_mm = 278"),
        ('rear_tyre = "37-622"', "rear_radius_mm = 348"),
        ('rear_tyre = "37-622"', 'rear_tyre = "37-622"\nfront_tyre = "37-622"'),
        ('rear_tyre = "37-622"', 'rear_tyre = "37-622"\nwheelbase_mm = 1050'),
    ],
)
def test_the_same_bicycle_said_in_other_terms(old: str, new: str) -> None:
    one, other = frame(DIAMOND), frame(DIAMOND.replace(old, new))

    assert other.wheels[1].centre == pytest.approx(one.wheels[1].centre, abs=1e-6)
    assert other.tube("down tube").end == pytest.approx(one.tube("down tube").end, abs=1e-6)


@pytest.mark.parametrize("kind", list(FrameKind))
def test_each_kind_has_what_is_usual_for_it(kind: FrameKind) -> None:
    text = DIAMOND.replace('"diamond"', f'"{kind.value}"')
    if kind is FrameKind.TANDEM:
        text = text.replace("chain_stay_mm", "stoker_distance_mm = 700\nchain_stay_mm")
    if kind is FrameKind.LONGTAIL:
        text = text.replace("chain_stay_mm = 435", "chain_stay_mm = 800")
    room = room_of(frame(text))

    assert room.frame.kind is kind
    assert room.faces
    assert usual_equipment(kind).cranks.arm == pytest.approx(0.170)


def test_boss_obstacle_tube_and_clearance() -> None:
    text = (
        DIAMOND
        + """
[clearances]
pump_mm = 6

[[tubing]]
name = "down tube"
shape = "oval"
width_mm = 40
depth_mm = 52
end_depth_mm = 46
wall_mm = 1.6
material = "aluminium"

[[bosses]]
tube = "down tube"
position_mm = 280
side = "above"
insert = "riveted"
pull_out_n = 3500

[[obstacles]]
name = "frame pump"
kind = "pump"
outline_mm = [[-100, 300], [-60, 180]]
radius_mm = 14

[[tubes]]
name = "front carrier"
shape = "flat-sided"
width_mm = 180
depth_mm = 12
wall_mm = 2
material = "steel"
start_mm = [520, 560]
end_mm = [820, 560]
sides = ["above"]

[legs]
hip_mm = [-200, 750]
thigh_mm = 440
shank_mm = 520
"""
    )
    room = room_of(frame(text))
    boss, down = room.frame.bosses[0], room.frame.tube("down tube")

    assert room.frame.clearances[ClearanceKind.PUMP] == pytest.approx(0.006)
    assert (down.start_section.depth, down.end_section.depth) == pytest.approx((0.052, 0.046))
    assert down.start_section.shape is SectionShape.OVAL
    assert down.material is Material.ALUMINIUM
    assert (boss.insert, boss.pull_out, boss.side) == (Insert.RIVETED, 3500, Side.ABOVE)
    assert next(o for o in room.frame.obstacles if o.name == "frame pump").radius == pytest.approx(0.014)
    assert "above front carrier" in room.faces
    assert any(keepout.kind is ClearanceKind.KNEE for keepout in room.keepouts)


MARKS = """
[frame]
title = "From a picture"
kind = "diamond"

[marks]
bottom_bracket_px = [800, 700]
rear_axle_px = [413.602, 637]
front_axle_px = [1358.078, 637]
head_top_px = [1151, 160]
head_bottom_px = [1197.882, 296.155]
seat_top_px = [663.167, 252.449]
rear_tyre = "37-622"

[[marks.known]]
start = "bottom_bracket"
end = "rear_axle"
length_mm = 435
"""


def test_marks_in_pixels_give_the_reference_geometry() -> None:
    """The same bicycle at 900 px/m, figures of the reference sheet (topic 10) times 0.9."""
    found = frame(MARKS)

    assert 1000 * (found.wheels[1].centre[0] - found.wheels[0].centre[0]) == pytest.approx(1049.417, abs=0.02)
    assert any("One pixel of the picture is 1.11 mm" in note for note in found.notes)


# --- bad input ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("seat_tube_mm = 520", "seat_tube_mm = 20.5", "If in inches, write 520.7."),
        ("head_tube_mm = 160", "head_tube_mm = 6.3", "If in inches, write 160.02."),
        ("chain_stay_mm = 435", "chain_stay_mm = 17.1", "was meant in inches, write 434.34."),
        ("stack_mm = 600", "stack_mm = 0.6", "If 0.6 was meant in m, write 600."),
        ("chain_stay_mm = 435", "chain_stay_mm = -435", "must be 250 to 1200 mm"),
        ("chain_stay_mm = 435", "chain_stay_mm = nan", "chain_stay_mm"),
        ("chain_stay_mm = 435", "chain_stay_mm = 340", "rear_radius_mm, which is 348.0"),
        ("head_angle_deg = 71", "head_angle_deg = 19", "must be 45 to 85 °"),
        ("head_angle_deg = 71", "head_angel_deg = 71", "head_angel_deg"),
        ("stack_mm = 600", "", "stack_mm is missing"),
        ("reach_mm = 390", "", "reach_mm or effective_top_tube_mm"),
        ('rear_tyre = "37-622"', "", "rear_tyre or rear_radius_mm"),
        ('rear_tyre = "37-622"', 'rear_tyre = "28 inch"', "geometry.rear_tyre is '28 inch'"),
        ('kind = "diamond"', 'kind = "dimond"', "Nearest: diamond"),
        ('kind = "diamond"', "", "frame.kind is missing"),
        ("seat_tube_mm = 520", "seat_tube_mm = 520\nwheelbase_mm = 1100", "1049.4 mm"),
        ("seat_tube_mm = 520", "seat_tube_mm = 520\ntop_tube_on_seat_mm = 540", "which is 540.0"),
        ('kind = "diamond"', 'kind = "tandem"', "stoker_distance_mm"),
    ],
)  # fmt: skip
def test_a_slip_in_the_geometry_is_named(old: str, new: str, said: str) -> None:
    assert old in DIAMOND
    assert said in refusal(DIAMOND.replace(old, new))


BOSS = '\n[[bosses]]\ntube = "down tube"\nposition_mm = 280\nside = "above"\n'
SIZE = '\n[[tubing]]\nname = "down tube"\nwidth_mm = 31.8\nwall_mm = 0.9\nmaterial = "steel"\n'
PUMP = '\n[[obstacles]]\nname = "pump"\nkind = "pump"\noutline_mm = [[0, 100], [90, 200]]\nradius_mm = 14\n'


@pytest.mark.parametrize(
    ("part", "old", "new", "said"),
    [
        (SIZE, "width_mm = 31.8", "width_mm = 1.25", "If in inches, write 31.75."),
        (SIZE, "width_mm = 31.8", "width_mm = 0", "must be 8 to 200 mm"),
        (SIZE, "wall_mm = 0.9", "wall_mm = 17", "no more than half the width, which is 31.8 mm"),
        (SIZE, "wall_mm", "depth_mm = 40\nwall_mm", 'If it is oval, write shape = "oval".'),
        (SIZE, '"steel"', '"steal"', "Nearest: steel"),
        (PUMP, "[[0, 100], [90, 200]]", "[]", "outline_mm"),
        (PUMP, "radius_mm = 14", "", "more than 0 mm for a point or line"),
        (PUMP, "[[0, 100], [90, 200]]", "[[0, 0], [90, 90], [90, 0], [0, 90]]", "does not cross itself"),
        (PUMP, "radius_mm = 14", "radius_mm = 14\nlow_mm = 40", "more than low_mm, which is 40"),
        (PUMP, "[90, 200]", "[90, 200, 5]", "outline_mm"),
        (PUMP, "[90, 200]", '[90, "up"]', "outline_mm"),
    ],
)
def test_a_slip_in_a_part_is_named(part: str, old: str, new: str, said: str) -> None:
    assert old in part
    assert said in refusal(DIAMOND + part.replace(old, new))


@pytest.mark.parametrize(
    ("position", "said"), [(680, "on the down tube"), (-5, "0 to 3000 mm"), (9000, "0 to 3000 mm")]
)
def test_a_boss_off_its_tube_is_refused(position: float, said: str) -> None:
    with pytest.raises(InputError, match=said):
        room_of(frame(DIAMOND + BOSS.replace("280", str(position))))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[frame]\ntitle = "x"\nkind = "diamond"\n', "either [geometry] or [marks]"),
        (DIAMOND + MARKS.split('kind = "diamond"\n')[1], "either [geometry] or [marks]"),
        ("", "frame is missing"),
        ("frame = 3\n", "frame"),
        ('frame = { title = "x", kind = 3 }\n', "kind"),
        (DIAMOND + "equipment = 5\n", "equipment"),
        (DIAMOND + "\n[equipment]\nfoot_inner_mm = 190\n", "below foot_outer_mm"),
        (DIAMOND + "\n[clearances]\nknees_mm = 10\n", "Nearest: knee_mm"),
        (DIAMOND + "\n[clearances]\nwheel_mm = -3\n", "0 to 100 mm"),
        (DIAMOND + "\ntubing = 3\n", "tubing"),
        (DIAMOND + "\n[legs]\nhip_mm = [0, 750]\nthigh_mm = 17\nshank_mm = 520\n", "in inches, write 431.8."),
        ("[frame\n", "not valid TOML"),
    ],
)  # fmt: skip
def test_what_is_no_survey_is_refused_in_one_line(text: str, said: str) -> None:
    assert said in refusal(text)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("rear_axle_px = [413.602, 637]\n", "", "rear_axle_px is missing"),
        ("[800, 700]", "[800]", "bottom_bracket_px"),
        ("length_mm = 435", "length_mm = 17.1", "write 434.34"),
        ('end = "rear_axle"', 'end = "saddle"', "end"),
        ("[663.167, 252.449]", "[800, 700]", "apart from bottom_bracket"),
        ('rear_tyre = "37-622"', 'rear_tyre = "700C"', "47-622"),
    ],
)
def test_a_slip_in_the_marks_is_named(old: str, new: str, said: str) -> None:
    assert old in MARKS
    assert said in refusal(MARKS.replace(old, new))


def test_a_missing_file_is_said() -> None:
    with pytest.raises(FileError, match="there is no such file"):
        read_frame(Path("nowhere.toml"))


def test_every_kind_of_clearance_has_a_usual_figure() -> None:
    assert set(usual_clearances()) == set(ClearanceKind)
    assert all(0 < clearance < 0.05 for clearance in usual_clearances().values())


@pytest.mark.parametrize(
    "path", sorted((demo_folder() / "frames").glob("*.toml")), ids=lambda path: path.stem
)
def test_the_demo_surveys_read_and_have_room_somewhere(path: Path) -> None:
    room = room_of(read_frame(path))
    free = [
        end - start
        for face in room.faces.values()
        for start, end in free_stretches(room, face, height=0.158, half_width=0.037)
    ]

    assert room.frame.bosses
    assert max(free) > 0.15
