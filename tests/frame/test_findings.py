"""The judge: each refusal for its reason, by as many millimetres as worked out by hand; and laws."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from frame_examples import (
    BAG,
    CATALOGUE,
    MODULE,
    ON_BANDS,
    ON_BOSSES,
    RAIL,
    REFERENCE,
    RULES,
    SHELF,
    frame_of,
    placed,
    reshaped,
)
from wattwright.errors import InputError
from wattwright.frame.build import Deck, TubeSize
from wattwright.frame.findings import arrangement_findings, placed_outline, placement_findings
from wattwright.frame.holding import boss_offsets
from wattwright.frame.placement import Fixing, Placement, Reason, Refusal
from wattwright.frame.room import Room, room_of
from wattwright.frame.survey import (
    Boss,
    ClearanceKind,
    Frame,
    FrameKind,
    Obstacle,
    Section,
    SectionShape,
    Side,
    Tube,
)
from wattwright.parts.carrier import Release
from wattwright.parts.fixing import FixingKind, Material

ROUND = Section(shape=SectionShape.ROUND, width=0.0318, depth=0.0318)
WIDE_FLAT = Section(shape=SectionShape.FLAT_SIDED, width=0.062, depth=0.040, corner=0.006)
PLATED = Fixing(
    kind=FixingKind.PLATE_ON_BOSSES, screw=SHELF.screws["m5x16-a2"], plate=SHELF.plates["shim-5"], step=0.0
)


def level(
    *, length: float = 1.0, section: Section = ROUND, material: Material = Material.STEEL,
    bosses: tuple[float, ...] = (0.280, 0.344), obstacles: tuple[Obstacle, ...] = (),
    clearance: float = 0.003,
) -> Room:  # fmt: skip
    """One level beam with a face above and below, and bosses on top."""
    beam = Tube(
        name="beam", start=(0.0, 0.0), end=(length, 0.0), start_section=section, end_section=section,
        material=material, wall=0.001, sides=(Side.ABOVE, Side.BELOW),
    )  # fmt: skip
    frame = Frame(
        title="beam", kind=FrameKind.DIAMOND, tubes=(beam,), wheels=(), cranks=(), steering=None,
        clearances={ClearanceKind.OTHER: clearance, ClearanceKind.STACK: 0.004, ClearanceKind.CABLE: 0.002},
        bosses=tuple(Boss(tube="beam", position=place, side=Side.ABOVE) for place in bosses),
        obstacles=obstacles,
    )  # fmt: skip
    return room_of(frame)


def wall(x: float, *, low: float = -0.05, high: float = 0.05, name: str = "wall") -> Obstacle:
    """Something upright that begins at x and stands on the beam."""
    outline = ((x, 0.0), (x + 0.02, 0.0), (x + 0.02, 0.5), (x, 0.5))
    return Obstacle(name=name, kind=ClearanceKind.OTHER, outline=outline, radius=0.0, low=low, high=high)


def on_beam(**changed: object) -> Placement:
    return placed(**{"face": "above beam", "offset": 0.200, **changed})


def reasons(found: tuple[Refusal, ...]) -> list[Reason]:
    return [refusal.reason for refusal in found]


def only(found: tuple[Refusal, ...]) -> Refusal:
    assert len(found) == 1, [refusal.because for refusal in found]
    return found[0]


def test_a_rail_on_its_bosses_with_room_around_is_not_refused() -> None:
    assert placement_findings(level(), on_beam(), RULES) == ()
    assert placement_findings(room_of(frame_of()), placed(), RULES) == ()


# --- room ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("gap_mm", [20.0, 2.9, 1.0, -5.0])
def test_what_is_wanting_to_a_wall_is_the_gap_by_hand(gap_mm: float) -> None:
    """The stack ends at 200 + 46 + 4 · 42 + 18 = 432 mm; 3 mm are to be kept from the wall."""
    room = level(obstacles=(wall(0.432 + gap_mm / 1000),))
    carrier = reshaped(RAIL, release=Release.OUTWARD)
    found = placement_findings(room, on_beam(carrier=carrier), RULES)
    overlaps = [refusal for refusal in found if refusal.reason is Reason.OVERLAP]

    if gap_mm >= 3:
        assert overlaps == []
    else:
        (refusal,) = overlaps
        assert 1000 * refusal.short_by == pytest.approx(3.0 - gap_mm)
        assert refusal.where == "wall"


def test_the_way_off_needs_travel_and_a_hand() -> None:
    """Slides 40 mm away from the dock, 20 mm for the hand: free to 492 mm, a wall at 482 is 10 mm in it."""
    found = placement_findings(level(obstacles=(wall(0.482),)), on_beam(), RULES)

    assert only(found).reason is Reason.RELEASE
    assert 1000 * only(found).short_by == pytest.approx(10.0)
    assert placement_findings(level(obstacles=(wall(0.4921),)), on_beam(), RULES) == ()


def test_turned_round_it_slides_the_other_way() -> None:
    """Dock at the far end: the stack slides towards smaller s, and a wall beyond the dock is no matter."""
    turned = on_beam(dock_first=False)

    assert placement_findings(level(obstacles=(wall(0.482),)), turned, RULES) == ()
    before = placement_findings(level(obstacles=(wall(0.130),)), turned, RULES)
    assert Reason.RELEASE in reasons(before)


@pytest.mark.parametrize(
    ("release", "x", "y", "free"),
    [
        (Release.OUTWARD, 0.30, 0.16, False),  # a bar over the stack
        (Release.TOWARDS_DOCK, 0.19, 0.05, False),  # a bar before the dock
        (Release.AWAY_FROM_DOCK, 0.19, 0.05, True),
        (Release.SIDEWAYS, 0.30, 0.18, True),
    ],
)
def test_each_way_off_is_barred_by_what_lies_in_it(release: Release, x: float, y: float, free: bool) -> None:  # noqa: FBT001
    bar = Obstacle(
        name="bar", kind=ClearanceKind.OTHER, outline=((x, 0.0159 + y),), radius=0.0005, low=-0.05, high=0.05
    )
    found = placement_findings(
        level(obstacles=(bar,)), on_beam(carrier=reshaped(RAIL, release=release, dock_height=0.02)), RULES
    )

    assert (Reason.RELEASE not in reasons(found)) is free


def test_off_to_one_side_is_enough() -> None:
    """Sideways: 37 mm half width, 40 mm travel, 20 mm for the hand; a plate on one side leaves the other."""
    carrier = reshaped(RAIL, release=Release.SIDEWAYS)
    left, right = wall(0.3, low=-0.09, high=-0.05), wall(0.3, low=0.05, high=0.09, name="other wall")

    assert placement_findings(level(obstacles=(left,)), on_beam(carrier=carrier), RULES) == ()
    both = placement_findings(level(obstacles=(left, right)), on_beam(carrier=carrier), RULES)
    assert reasons(both) == [Reason.RELEASE]


def test_what_stands_beside_is_not_in_the_way() -> None:
    """Modules are 74 mm wide; with 3 mm kept a wall may begin 40 mm from the middle."""
    assert placement_findings(level(obstacles=(wall(0.3, low=0.0401, high=0.06),)), on_beam(), RULES) == ()
    near = placement_findings(level(obstacles=(wall(0.3, low=0.0399, high=0.06),)), on_beam(), RULES)
    assert Reason.OVERLAP in reasons(near)


def test_a_carrier_over_the_end_of_its_face() -> None:
    found = placement_findings(level(length=0.420), on_beam(), RULES)

    assert only(found).reason is Reason.OFF_THE_FACE
    assert 1000 * only(found).short_by == pytest.approx(12.0)


# --- the stack on its carrier -------------------------------------------------------------------------------


def test_a_stack_may_be_shorter_than_its_carrier_but_not_longer() -> None:
    """Base 64 mm and five of 42 mm make 274 mm on a rail of 232 mm."""
    more = replace(RAIL, maximum_modules=9)

    assert placement_findings(level(), on_beam(modules=2), RULES) == ()
    assert placement_findings(level(), on_beam(modules=0), RULES) == ()
    long = only(placement_findings(level(), on_beam(carrier=more, modules=5), RULES))
    assert long.reason is Reason.LONGER_THAN_CARRIER
    assert 1000 * long.short_by == pytest.approx(42.0)


def test_more_modules_than_the_carrier_takes() -> None:
    carrier = replace(reshaped(RAIL, length=0.400), maximum_modules=4)

    found = placement_findings(level(), on_beam(carrier=carrier, modules=5), RULES)
    assert Reason.TOO_MANY_MODULES in reasons(found)


def test_a_module_the_carrier_does_not_take() -> None:
    other = CATALOGUE.module("moor-lfp-38")

    assert Reason.MODULE_KIND in reasons(placement_findings(level(), on_beam(battery_module=other), RULES))


def test_modules_must_stand_inside_their_bag() -> None:
    """Six of 42 mm from 60 mm end at 312 mm; a bag cut off at 300 mm leaves 12 mm out."""
    strap = Fixing(kind=FixingKind.STRAPS, strap=SHELF.straps["webbing-25"])
    whole = on_beam(carrier=BAG, modules=6, fixing=strap)
    short = ((0.0, 0.0), (0.300, 0.0), (0.300, 0.192), (0.020, 0.192))
    cut = on_beam(carrier=reshaped(BAG, outline=short), modules=6, fixing=strap)

    assert placement_findings(level(), whole, RULES) == ()
    found = only(placement_findings(level(), cut, RULES))
    assert found.reason is Reason.OUTSIDE_BAG
    assert 1000 * found.short_by == pytest.approx(12.0)


def test_a_bag_too_thin_for_the_module() -> None:
    strap = Fixing(kind=FixingKind.STRAPS, strap=SHELF.straps["webbing-25"])
    thin = on_beam(carrier=reshaped(BAG, thickness=0.070), modules=2, fixing=strap)

    assert 1000 * only(placement_findings(level(), thin, RULES)).short_by == pytest.approx(4.0)


# --- bosses -------------------------------------------------------------------------------------------------


def test_bosses_beside_the_slots_are_refused_by_the_way_to_the_next_two() -> None:
    """Slots 24 to 100 and 132 to 224 mm; at offset 300 the bosses lie at −20 and 44: 44.5 mm with margin."""
    found = placement_findings(level(), on_beam(offset=0.300), RULES)

    assert only(found).reason is Reason.BOSSES
    assert 1000 * only(found).short_by == pytest.approx(44.5)


@settings(max_examples=60, deadline=None)
@given(offset=st.floats(0.0, 0.7), turned=st.booleans(), third=st.floats(0.05, 0.9))
def test_bosses_are_refused_exactly_outside_the_offsets_that_take_them(
    offset: float,
    turned: bool,  # noqa: FBT001
    third: float,
) -> None:
    room = level(bosses=(0.280, 0.344, third))
    ways = boss_offsets(room.faces["above beam"], RAIL, dock_first=not turned, step=0.0, rules=RULES)
    at_edge = any(abs(offset - edge) < 1e-8 for way in ways for edge in way)
    found = placement_findings(room, on_beam(offset=offset, dock_first=not turned), RULES)
    held = not {Reason.BOSSES, Reason.SPACING} & set(reasons(found))

    assert at_edge or held == any(low <= offset <= high for low, high in ways)


def test_one_boss_is_not_enough() -> None:
    found = only(placement_findings(level(bosses=(0.280,)), on_beam(), RULES))

    assert found.reason is Reason.BOSSES
    assert "There are 1 bosses" in found.because


def test_bosses_that_stand_too_close() -> None:
    """30 mm apart where 50 mm are wanted."""
    found = placement_findings(level(bosses=(0.250, 0.280)), on_beam(), RULES)
    spacing = next(refusal for refusal in found if refusal.reason is Reason.SPACING)

    assert 1000 * spacing.short_by == pytest.approx(20.0)


def test_a_carrier_far_beyond_its_last_fixing() -> None:
    """Held at 24.5 and 88.5 mm of 400 mm: 311.5 mm beyond, 240 mm allowed."""
    rail = CATALOGUE.carrier("sill-rail")
    found = placement_findings(level(), on_beam(carrier=rail, offset=0.280 - 0.0245), RULES)

    assert only(found).reason is Reason.OVERHANG
    assert 1000 * only(found).short_by == pytest.approx(71.5)


def test_a_screw_too_short_for_the_thread() -> None:
    """8 mm under the head less 4 mm of rail catches 4 mm where one diameter, 5 mm, is wanted."""
    short = replace(SHELF.screws["m5x12-a2"], length=0.008)
    found = only(placement_findings(level(), on_beam(fixing=replace(ON_BOSSES, screw=short)), RULES))

    assert found.reason is Reason.THREAD
    assert 1000 * found.short_by == pytest.approx(1.0)


def test_a_screw_of_another_thread() -> None:
    fixing = replace(ON_BOSSES, screw=SHELF.screws["m6x16-a2"])

    assert only(placement_findings(level(), on_beam(fixing=fixing), RULES)).reason is Reason.THREAD


# --- plates -------------------------------------------------------------------------------------------------


def test_a_plate_shifts_the_carrier_by_its_step() -> None:
    """At offset 150 the first boss lies at 130, 2.5 mm before its slot; 5 mm forward cures it."""
    assert only(placement_findings(level(), on_beam(offset=0.150), RULES)).reason is Reason.BOSSES
    stepped = replace(PLATED, step=0.005)
    assert placement_findings(level(), on_beam(offset=0.150, fixing=stepped), RULES) == ()


def test_a_step_the_plate_does_not_have() -> None:
    found = only(placement_findings(level(), on_beam(fixing=replace(PLATED, step=0.007)), RULES))

    assert found.reason is Reason.PLATE
    assert 1000 * found.short_by == pytest.approx(2.0)


def test_a_plate_raises_the_stack_and_is_there_itself() -> None:
    """5 mm up; from the holes 10 mm to both ends: with a shift of 20 mm from 270 to 374 mm."""
    room, placement = level(), on_beam(offset=0.220, fixing=replace(PLATED, step=0.020))
    parts = {part.name: part.outline for part in placed_outline(room, placement, RULES).parts}

    assert min(y for _, y in parts["foot"]) == pytest.approx(0.0159 + 0.005)
    assert sorted({round(1000 * x, 6) for x, _ in parts["plate"]}) == [270.0, 374.0]


def test_a_bar_over_the_stack_that_just_clears_does_not_clear_on_a_plate() -> None:
    """Top at 15.9 + 16 + 142 = 173.9 mm, 3 mm kept; a bar at 179 mm is 5.1 mm off, on a plate 0.1 mm."""
    bar = Obstacle(
        name="bar", kind=ClearanceKind.OTHER, outline=((0.3, 0.1791),), radius=0.0001, low=-0.05, high=0.05
    )
    room = level(obstacles=(bar,))
    plated = placement_findings(room, on_beam(fixing=PLATED), RULES)

    assert placement_findings(room, on_beam(), RULES) == ()
    assert 1000 * next(r for r in plated if r.reason is Reason.OVERLAP).short_by == pytest.approx(2.9)


# --- bands and straps ---------------------------------------------------------------------------------------


def test_bands_hold_anywhere_on_a_round_tube() -> None:
    assert placement_findings(level(bosses=()), on_beam(offset=0.55, fixing=ON_BANDS), RULES) == ()


def test_a_wide_flat_tube_makes_the_band_foul_and_a_plate_cures_it() -> None:
    """Common practice, no source; with the band that is long enough."""
    band = SHELF.bands["hoop-large"]
    direct = on_beam(fixing=replace(ON_BANDS, band=band))
    plated = replace(
        direct, fixing=replace(direct.fixing, kind=FixingKind.PLATE_ON_BANDS, plate=SHELF.plates["shim-5"])
    )
    room = level(section=WIDE_FLAT)

    assert set(reasons(placement_findings(room, direct, RULES))) == {Reason.BAND_FOULS}
    assert placement_findings(room, plated, RULES) == ()


def test_a_band_too_short_for_the_tube_names_both_lengths() -> None:
    found = placement_findings(level(section=WIDE_FLAT), on_beam(fixing=ON_BANDS), RULES)

    assert {refusal.reason for refusal in found} == {Reason.BAND_LENGTH}
    assert "this one takes 95 to 150 mm" in found[0].because
    assert found[0].short_by > 0.04


def test_no_band_on_carbon_but_straps() -> None:
    """Common practice, no source: no clamps on carbon."""
    room = level(material=Material.CARBON)
    strap = Fixing(kind=FixingKind.STRAPS, strap=SHELF.straps["webbing-25"])

    assert only(placement_findings(room, on_beam(fixing=ON_BANDS), RULES)).reason is Reason.FORBIDDEN
    assert placement_findings(room, on_beam(carrier=BAG, modules=3, fixing=strap), RULES) == ()


def test_a_cable_under_every_band_bars_them_but_not_bosses() -> None:
    cable = Obstacle(
        name="gear cable", kind=ClearanceKind.CABLE, outline=((0.0, -0.018), (1.0, -0.018)), radius=0.0025,
        low=-0.003, high=0.003,
    )  # fmt: skip
    room = level(obstacles=(cable,))

    assert set(reasons(placement_findings(room, on_beam(fixing=ON_BANDS), RULES))) == {Reason.BAND_BLOCKED}
    assert placement_findings(room, on_beam(), RULES) == ()


def test_a_band_beyond_the_end_of_the_tube() -> None:
    """Seats at 14, 116, 218 mm; at offset −12 the first lies 2 mm on, half its band over: two are left."""
    placement = on_beam(offset=-0.012, fixing=ON_BANDS)

    assert reasons(placement_findings(level(), placement, RULES)) == [Reason.OFF_THE_FACE]


def test_a_carrier_without_seats_takes_no_bands() -> None:
    found = only(
        placement_findings(level(), on_beam(carrier=reshaped(RAIL, seats=(0.1,)), fixing=ON_BANDS), RULES)
    )

    assert "1 seats" in found.because


# --- several stacks -----------------------------------------------------------------------------------------


def test_two_stacks_keep_apart_and_out_of_each_others_way() -> None:
    """The first ends at 432 mm and slides to 492: a second from 492.1 is free of it.

    From 440 mm its dock, 44 mm high, stands 52 mm deep in the way of modules that hang down to 6 mm: 38 mm up
    would part them, the shorter of the two.
    """
    room = level(bosses=(0.280, 0.344, 0.565, 0.629))
    one, other = on_beam(), on_beam(offset=0.4921)
    near = on_beam(offset=0.440, fixing=ON_BANDS)

    assert arrangement_findings(room, [one, other], RULES) == ()
    found = arrangement_findings(room, [one, near], RULES)
    assert reasons(found) == [Reason.STACKS]
    assert 1000 * found[0].short_by == pytest.approx(38.0)


def test_stacks_on_both_sides_of_a_tube_do_not_meet() -> None:
    under = on_beam(face="below beam", fixing=ON_BANDS)

    assert arrangement_findings(level(), [on_beam(), under], RULES) == ()


def test_the_same_place_twice_is_refused() -> None:
    assert Reason.STACKS in reasons(arrangement_findings(level(), [on_beam(), on_beam()], RULES))


# --- laws ---------------------------------------------------------------------------------------------------


def mirrored_sideways(room: Room) -> Room:
    """The bicycle in a mirror: left for right. The chainring changes sides with everything else."""
    frame = room.frame
    obstacles = tuple(replace(one, low=-one.high, high=-one.low) for one in frame.obstacles)
    return room_of(replace(frame, obstacles=obstacles))


def mirrored_lengthwise(frame: Frame) -> Frame:
    """Rear for front: every x the other way round; tubes keep their ends, FRONT and BEHIND change places."""

    def flip(point: tuple[float, float]) -> tuple[float, float]:
        return -point[0], point[1]

    swap = {Side.FRONT: Side.BEHIND, Side.BEHIND: Side.FRONT}
    return replace(
        frame,
        tubes=tuple(
            replace(t, start=flip(t.start), end=flip(t.end), sides=tuple(swap.get(s, s) for s in t.sides))
            for t in frame.tubes
        ),
        wheels=tuple(replace(wheel, centre=flip(wheel.centre)) for wheel in frame.wheels),
        bosses=tuple(replace(boss, side=swap.get(boss.side, boss.side)) for boss in frame.bosses),
        obstacles=tuple(replace(o, outline=tuple(map(flip, o.outline))) for o in frame.obstacles),
    )


def figures(found: tuple[Refusal, ...]) -> list[tuple[Reason, float]]:
    return sorted(
        ((r.reason, round(r.short_by, 9)) for r in found), key=lambda pair: (pair[0].value, pair[1])
    )


places = st.builds(
    placed,
    face=st.sampled_from(
        ["above down tube", "below down tube", "front seat tube", "above top tube", "below top tube"]
    ),
    offset=st.floats(0.0, 0.4),
    modules=st.integers(0, 4),
    dock_first=st.booleans(),
    fixing=st.sampled_from([ON_BANDS, ON_BOSSES]),
)


def pump(low: float, high: float) -> Obstacle:
    line = ((0.05, 0.12), (0.20, 0.30))
    return Obstacle(name="pump", kind=ClearanceKind.PUMP, outline=line, radius=0.015, low=low, high=high)


@settings(max_examples=40, deadline=None)
@given(placement=places, low=st.floats(-0.08, 0.02), width=st.floats(0.01, 0.06))
def test_a_frame_mirrored_left_to_right_gives_the_same_answer(
    placement: Placement, low: float, width: float
) -> None:
    room = room_of(replace(frame_of(obstacles=(pump(low, low + width),)), cranks=()))

    assert figures(placement_findings(room, placement, RULES)) == figures(
        placement_findings(mirrored_sideways(room), placement, RULES)
    )


@settings(max_examples=40, deadline=None)
@given(placement=places)
def test_a_frame_mirrored_front_to_back_gives_the_same_answer(placement: Placement) -> None:
    frame = replace(frame_of(obstacles=(pump(-0.03, 0.03),)), cranks=(), steering=None)
    swap = {"front seat tube": "behind seat tube"}
    turned = replace(placement, face=swap.get(placement.face, placement.face))

    assert figures(placement_findings(room_of(frame), placement, RULES)) == figures(
        placement_findings(room_of(mirrored_lengthwise(frame)), turned, RULES)
    )


@settings(max_examples=40, deadline=None)
@given(placement=places, kind=st.sampled_from(list(ClearanceKind)), more=st.floats(0, 0.05))
def test_a_larger_clearance_frees_no_placement(
    placement: Placement, kind: ClearanceKind, more: float
) -> None:
    frame = frame_of(obstacles=(pump(-0.03, 0.03),))
    wider = replace(frame, clearances={**frame.clearances, kind: frame.clearances[kind] + more})
    before = placement_findings(room_of(frame), placement, RULES)
    after = placement_findings(room_of(wider), placement, RULES)

    assert len(after) >= len(before)
    assert sum(r.short_by for r in after) >= sum(r.short_by for r in before) - 1e-9


@settings(max_examples=40, deadline=None)
@given(placement=places, fewer=st.integers(0, 3))
def test_fewer_modules_on_the_same_carrier_are_never_refused_for_more_room(
    placement: Placement, fewer: int
) -> None:
    room = room_of(frame_of())
    less = replace(placement, modules=max(0, placement.modules - fewer))
    wanting = {
        r.where: r.short_by for r in placement_findings(room, placement, RULES) if r.reason is Reason.OVERLAP
    }

    for refusal in placement_findings(room, less, RULES):
        if refusal.reason is Reason.OVERLAP:
            assert refusal.short_by <= wanting.get(refusal.where, 0.0) + 1e-9


# --- other frames -------------------------------------------------------------------------------------------


def test_a_box_under_a_longtails_rack_slides_out_behind() -> None:
    """Twelve modules under a rack, nothing below it but the wheel: refused by that; on it they fit."""
    rack = Deck(length=0.80, width=0.15, thickness=0.016, gap=0.035, material=Material.STEEL)
    room = room_of(
        frame_of(replace(REFERENCE, kind=FrameKind.LONGTAIL, chain_stay=0.80), bosses=(), rack=rack)
    )
    box = CATALOGUE.carrier("crate-box")
    strap = Fixing(kind=FixingKind.STRAPS, strap=SHELF.straps["webbing-25"])
    usual = {"carrier": box, "battery_module": MODULE, "modules": 12, "fixing": strap, "dock_first": False}
    under = placement_findings(room, placed(face="below rear rack", offset=0.0, **usual), RULES)
    on_top = placement_findings(room, placed(face="above rear rack", offset=0.02, **usual), RULES)

    assert any(refusal.where == "rear wheel" for refusal in under)
    assert not any(refusal.where == "rear wheel" for refusal in on_top)


def test_a_folding_beam_of_60_mm_takes_a_large_band_and_refuses_a_small_one() -> None:
    oval = Section(shape=SectionShape.OVAL, width=0.042, depth=0.060)
    beam = TubeSize(start=oval, end=oval, material=Material.ALUMINIUM, wall=0.002)
    table = replace(
        REFERENCE, kind=FrameKind.FOLDING, rear_radius=0.25, front_radius=0.25, bottom_bracket_drop=-0.035,
        head_tube=0.30, down_tube_above_head=0.10,
    )  # fmt: skip
    frame = frame_of(table, bosses=(), beam_on_seat=0.18)
    frame = replace(
        frame,
        tubes=tuple(
            replace(tube, start_section=beam.start, end_section=beam.end)
            if tube.name == "main beam"
            else tube
            for tube in frame.tubes
        ),
    )
    room = room_of(frame)
    small = placed(face="above main beam", offset=0.15, modules=2, fixing=ON_BANDS)
    large = replace(small, fixing=replace(ON_BANDS, band=SHELF.bands["hoop-medium"]))

    assert Reason.BAND_LENGTH in reasons(placement_findings(room, small, RULES))
    assert Reason.BAND_LENGTH not in reasons(placement_findings(room, large, RULES))


def test_an_unknown_face_is_refused() -> None:
    with pytest.raises(InputError, match="one of above beam, below beam"):
        placement_findings(level(), placed(face="above keel"), RULES)


def test_every_refusal_says_so_in_one_sentence_with_its_figure() -> None:
    room = room_of(frame_of())
    for offset in (0.0, 0.3, 0.5):
        for refusal in placement_findings(room, placed(offset=offset), RULES):
            assert refusal.because.endswith(".")
            assert math.isfinite(refusal.short_by)
            assert refusal.short_by >= 0
