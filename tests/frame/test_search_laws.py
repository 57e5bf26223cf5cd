"""Laws of the fit, an independent painted checker, and common practice of down-tube rails."""

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from frame_designs import designs
from painted_checker import faults
from search_examples import MODULE, SHELF, rail, small_frame, small_shelf, tube
from wattwright.frame.alternatives import fits_on
from wattwright.frame.candidates import Shelf
from wattwright.frame.findings import arrangement_findings
from wattwright.frame.nearest_change import nearest_changes, one_more
from wattwright.frame.placement import Reason
from wattwright.frame.room import room_of
from wattwright.frame.search import most_modules
from wattwright.frame.survey import Boss, ClearanceKind, Frame, FrameKind, Section, SectionShape, Side
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.carrier import Release
from wattwright.parts.fixing import FixingKind

SEEDS = st.integers(0, 10_000)


def chance_of(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 (not for secrets)


def bare_frame(length: float, *, between: float | None = None, clearance: float = 0.003) -> Frame:
    """One level tube with a post at its end, and perhaps a tube above it so far away."""
    tubes = [
        tube("down tube", (0.0, 0.0), (length, 0.0), Side.ABOVE),
        tube("head tube", (length + 0.02, -0.2), (length + 0.02, 0.4)),
    ]
    if between is not None:
        tubes.append(tube("top tube", (0.0, between), (length, between), Side.BELOW))
    return Frame(
        title="made by hand", kind=FrameKind.DIAMOND, tubes=tuple(tubes), wheels=(), cranks=(), steering=None,
        clearances={ClearanceKind.TUBE: clearance, ClearanceKind.STACK: clearance},
    )  # fmt: skip


def most(frame: Frame, shelf: Shelf) -> int:
    return most_modules(room_of(frame), shelf, most_stacks=2).best.modules


def rails(*counts: int, kinds: frozenset[FixingKind] = frozenset({FixingKind.BANDS})) -> Shelf:
    return Shelf(
        battery_module=MODULE, carriers=tuple(rail(one) for one in counts), fixings=SHELF, kinds=kinds
    )


@settings(max_examples=15, deadline=None)
@given(length=st.floats(0.2, 0.7), more=st.floats(0.0, 0.2), between=st.none() | st.floats(0.15, 0.5))
def test_a_longer_tube_never_fits_fewer(length: float, more: float, between: float | None) -> None:
    shelf = rails(1, 3, 5)

    assert most(bare_frame(length + more, between=between), shelf) >= most(
        bare_frame(length, between=between), shelf
    )


@settings(max_examples=15, deadline=None)
@given(
    seed=SEEDS,
    kind=st.sampled_from([ClearanceKind.TUBE, ClearanceKind.WHEEL, ClearanceKind.PUMP, ClearanceKind.STACK]),
    more=st.floats(0.0, 0.03),
)
def test_a_larger_clearance_never_fits_more(seed: int, kind: ClearanceKind, more: float) -> None:
    chance = chance_of(seed)
    frame, shelf = small_frame(chance), small_shelf(chance)
    wider = replace(frame, clearances={**frame.clearances, kind: frame.clearances[kind] + more})

    assert most(wider, shelf) <= most(frame, shelf)


def mirrored(frame: Frame) -> Frame:
    """Front and rear changed."""
    turned = {Side.FRONT: Side.BEHIND, Side.BEHIND: Side.FRONT}
    return replace(
        frame,
        tubes=tuple(
            replace(
                one, start=(-one.start[0], one.start[1]), end=(-one.end[0], one.end[1]),
                sides=tuple(turned.get(side, side) for side in one.sides),
            )
            for one in frame.tubes
        ),
        bosses=tuple(replace(one, side=turned.get(one.side, one.side)) for one in frame.bosses),
        obstacles=tuple(
            replace(one, outline=tuple((-x, y) for x, y in one.outline)) for one in frame.obstacles
        ),
        wheels=tuple(replace(one, centre=(-one.centre[0], one.centre[1])) for one in frame.wheels),
    )  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(seed=SEEDS)
def test_a_mirrored_frame_takes_as_many(seed: int) -> None:
    chance = chance_of(seed)
    frame, shelf = small_frame(chance), small_shelf(chance)

    assert most(mirrored(frame), shelf) == most(frame, shelf)


@pytest.mark.parametrize("seed", range(12))
def test_a_stack_may_slide_as_far_as_is_said_and_no_further(seed: int) -> None:
    chance = chance_of(seed)
    room, shelf = room_of(small_frame(chance)), small_shelf(chance)
    stacks = fits_on(room, shelf, most_stacks=2)[0].stacks

    def against(number: int, offset: float) -> bool:
        placements = [
            one.placed.candidate.placement(one.placed.held, offset if place == number else one.placed.offset)
            for place, one in enumerate(stacks)
        ]
        return bool(arrangement_findings(room, placements, shelf.fixings.rules))

    for number, stack in enumerate(stacks):
        low, high = stack.slide
        assert low - 1e-9 <= stack.placed.offset <= high + 1e-9
        assert not against(number, stack.placed.offset)
        for share in (0.001, 0.25, 0.75, 0.999):
            assert not against(number, low + share * (high - low))
        assert against(number, low - 2e-5)
        assert against(number, high + 2e-5)


@pytest.mark.parametrize("seed", range(15))
def test_a_painted_checker_finds_no_overlap_and_no_blocked_way_off(seed: int) -> None:
    chance = chance_of(500 + seed)
    frame, shelf = small_frame(chance), small_shelf(chance)
    for fit in fits_on(room_of(frame), shelf, most_stacks=2):
        placements = [
            one.placed.candidate.placement(one.placed.held, one.placed.offset) for one in fit.stacks
        ]
        assert faults(frame, placements) == []


def test_the_painted_checker_does_find_a_stack_pushed_into_something() -> None:
    frame, shelf = bare_frame(0.5), rails(4)
    (stack,) = fits_on(room_of(frame), shelf, most_stacks=1)[0].stacks
    candidate, held = stack.placed.candidate, stack.placed.held

    assert faults(frame, [candidate.placement(held, stack.placed.offset)]) == []
    assert faults(frame, [candidate.placement(held, stack.slide[1] + 0.003)])


def test_real_frames_with_the_common_two_bosses_pass_the_painted_checker(shared_data) -> None:  # noqa: ANN001
    """Every hundredth of the research frames."""
    frames = [one.frame for number, one in enumerate(designs(shared_data)) if number % 100 == 0 and one.frame]
    shelf = rails(2, 4, 6, kinds=frozenset({FixingKind.BANDS}))
    counts = []
    for frame in frames:
        placements = most_modules(room_of(frame), shelf).best.placements()
        counts.append(sum(one.modules for one in placements))
        assert faults(frame, placements) == []

    assert len(frames) > 20
    assert max(counts) > min(counts)


def real_module() -> BatteryModule:
    """A module as long along the stack as the common ones."""
    return replace(MODULE, pitch=0.045)


def test_a_down_tube_rail_holds_three_to_six_modules(shared_data) -> None:  # noqa: ANN001
    """Common practice, no source: three to six on the down tube; larger packs continue elsewhere."""
    module = real_module()
    shelf = Shelf(
        battery_module=module, fixings=SHELF,
        carriers=tuple(rail(count, module) for count in (3, 4, 5, 6, 8)),
        kinds=frozenset({FixingKind.BANDS}),
    )  # fmt: skip
    counts = []
    for number, design in enumerate(designs(shared_data)):
        if number % 60 or design.frame is None or design.stack is None or not 0.5 < design.stack < 0.65:
            continue
        tubes = tuple(
            replace(one, sides=(Side.ABOVE,) if one.name == "down tube" else ()) for one in design.frame.tubes
        )
        counts.append(
            most_modules(room_of(replace(design.frame, tubes=tubes)), shelf, most_stacks=1).best.modules
        )

    middle = sorted(counts)[len(counts) // 4 : 3 * len(counts) // 4]
    assert middle[0] >= 3
    assert middle[-1] <= 8


def offset_frame() -> Frame:
    """Two bosses that hold a rail so far back that its way off ends at the head tube."""
    frame = bare_frame(0.44)
    bosses = tuple(
        Boss(tube="down tube", position=0.19 + 0.064 * number, side=Side.ABOVE) for number in (0, 1)
    )
    return replace(frame, bosses=bosses)


def test_a_plate_that_shifts_the_carrier_can_win_one_module() -> None:
    """Common practice, no source: two to three centimetres on an offset plate win one module."""
    carriers = tuple(
        replace(one, shape=replace(one.shape, slots=one.shape.slots[1:2]))
        for one in [rail(5), rail(6)]
        if one.shape
    )
    bosses = Shelf(
        battery_module=MODULE, carriers=carriers, fixings=SHELF, kinds=frozenset({FixingKind.BOSSES})
    )
    shelf = replace(
        bosses, fixings=replace(SHELF, rules=replace(SHELF.rules, minimum_spacing=0.03, largest_overhang=0.9))
    )
    plates = replace(shelf, kinds=frozenset({FixingKind.BOSSES, FixingKind.PLATE_ON_BOSSES}))
    gains = []
    for first in range(120, 260, 4):
        frame = bare_frame(0.44)
        bosses_here = tuple(
            Boss(tube="down tube", position=first / 1000 + 0.04 * number, side=Side.ABOVE)
            for number in (0, 1)
        )
        room = room_of(replace(frame, bosses=bosses_here))
        gains.append(most_modules(room, plates).best.modules - most_modules(room, shelf).best.modules)

    assert min(gains) >= 0
    assert 1 in gains


def test_on_a_wide_flat_tube_a_band_fouls_and_a_plate_between_cures_it() -> None:
    """Common practice, no source."""
    frame = bare_frame(0.40)
    wide = Section(shape=SectionShape.FLAT_SIDED, width=0.066, depth=0.045, corner=0.006)
    flat = replace(
        frame, tubes=(replace(frame.tubes[0], start_section=wide, end_section=wide), *frame.tubes[1:])
    )
    carrier = rail(4)
    assert carrier.shape is not None
    hanging = replace(carrier, shape=replace(carrier.shape, overhang_low=0.003))
    bands = replace(rails(4), carriers=(hanging,))
    plates = replace(bands, kinds=frozenset({FixingKind.BANDS, FixingKind.PLATE_ON_BANDS}))

    assert most(frame, bands) == 4
    assert most(flat, bands) == 0
    assert most(flat, plates) == 4


def test_a_stack_needs_free_travel_the_way_it_comes_off() -> None:
    """Common practice, no source: it comes off as one, so its travel must be free."""
    short = bare_frame(0.29)
    along = Shelf(
        battery_module=MODULE, carriers=(rail(4),), fixings=SHELF, kinds=frozenset({FixingKind.BANDS})
    )
    upward = replace(along, carriers=(rail(4, release=Release.OUTWARD),))
    both_ends = replace(
        short, tubes=(*short.tubes, tube("seat tube", (-0.02, -0.2), (-0.02, 0.4))),
    )  # fmt: skip

    assert most(both_ends, along) < most(both_ends, upward)


def test_one_more_is_refused_with_its_millimetres_and_the_nearest_change_does_let_it_in() -> None:
    frame = bare_frame(0.40, clearance=0.012)
    room, shelf = room_of(frame), rails(2, 3, 4, 5, 6)
    fit = fits_on(room, shelf)[0]
    refused = one_more(room, shelf, fit)
    changes = nearest_changes(room, shelf, fit, refused)

    assert refused
    assert all(one.refusals for one in refused)
    assert {refusal.reason for one in refused for refusal in one.refusals} & {
        Reason.OVERLAP,
        Reason.RELEASE,
        Reason.OFF_THE_FACE,
    }
    for change in changes:
        assert change.modules > fit.modules
        if change.field == "clearances.tube_mm":
            closer = replace(frame, clearances={**frame.clearances, ClearanceKind.TUBE: change.after / 1000})
            assert most(closer, shelf) == change.modules
