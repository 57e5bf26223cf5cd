"""Modules that let go under load: their time curve kept, the cascade, the current limit against it."""

import math
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.branches import PlacedModule, Stack, pack_of
from wattwright.pack.cascade import (
    cascade_safe_count,
    holding_limit,
    mixed_yield,
    uneven_share,
    without,
)
from wattwright.pack.guarding import Cause, conditions_of, current_conditions
from wattwright.pack.network import Ask, Happening, PackCourse, pack_course
from wattwright.pack.protection import bearable_current
from wattwright.pack.supply import supply_of
from wattwright.parts.battery_module import ProtectionPoint, WayBack

if TYPE_CHECKING:
    from wattwright.units import FloatArray

SUPPLY = supply_of(NICKEL_MODULE, 1, open_circuit_table(NICKEL_MODULE.chemistry).voltage)
POINTS = NICKEL_MODULE.discharge_protection
CURRENTS = current_conditions(POINTS)


def three(charge: float = 0.9, own: float | None = None) -> Stack:
    """Three modules alike, the first with another charge where one is given."""
    rest = PlacedModule(charge=charge)
    return Stack(modules=(PlacedModule(charge=charge if own is None else own), rest, rest))


def test_two_of_three_ten_ampere_modules_trip_on_thirty() -> None:
    """Common practice, no source: one of n off lifts the others by n/(n − 1), here from 10 to 15 A.

    At 29.9 A the three hold for good. With one off from the start the two carry 15 A nearly each, which is
    above their continuous 10 A, and both let go after its 60 s.
    """
    time = np.arange(0.0, 121.0)
    load = np.full(len(time), 29.9)
    pack = pack_of(SUPPLY, NICKEL_MODULE, [three()])
    held = pack_course(pack, time, load, conditions=CURRENTS)
    fallen = pack_course(without(pack, 0), time, load, conditions=CURRENTS)

    assert held.let_go() == ()
    assert fallen.current[10].tolist() == pytest.approx([0.0, 14.95, 14.95], abs=1e-9)
    assert [event.module for event in fallen.let_go()] == [1, 2]
    assert [event.time for event in fallen.let_go()] == pytest.approx([60.0, 60.0], abs=1e-6)
    assert not fallen.served[-1]
    assert fallen.voltage[-1] == 0.0


def test_a_weak_module_lets_go_and_the_rest_follow() -> None:
    """A fuller module carries more, lets go first, and lifts the others over their own limit."""
    time = np.arange(0.0, 301.0)
    pack = pack_of(SUPPLY, NICKEL_MODULE, [three(charge=0.5, own=0.75)])
    course = pack_course(pack, time, np.full(len(time), 26.0), conditions=CURRENTS)
    events = course.let_go()

    assert [event.module for event in events[:1]] == [0]
    assert events[0].cause is not None
    assert events[0].cause.cause is Cause.DISCHARGE_CURRENT
    assert events[0].currents_after.tolist() == pytest.approx([0.0, 13.0, 13.0], abs=0.01)
    assert events[0].load == pytest.approx(26.0)
    assert len(events) == 3
    # The others were already above 10 A for a while or not; none bore more than a minute above it.
    assert events[1].time - events[0].time <= 60.0 + 1e-6


def test_events_know_their_place_on_the_ride() -> None:
    time = np.arange(0.0, 121.0)
    pack = without(pack_of(SUPPLY, NICKEL_MODULE, [three()]), 2)
    course = pack_course(pack, time, np.full(121, 25.0), conditions=CURRENTS, distance=5.0 * time)

    assert course.let_go()[0].distance == pytest.approx(300.0, abs=1e-3)


def longest_above(course: PackCourse, module: int, limit: float) -> float:
    """Longest unbroken time above a current, of straight lines between samples, before it let go."""
    gone = [event.time for event in course.let_go() if event.module == module]
    current: FloatArray = course.current[:, module]
    longest, run = 0.0, 0.0
    for k in range(1, len(course.time)):
        begin, end = course.time[k - 1], course.time[k]
        if gone and begin < gone[0] < end:
            end = gone[0]
        i0, i1 = current[k - 1], current[k] if not (gone and gone[0] <= course.time[k]) else current[k - 1]
        if i0 > limit and i1 > limit:
            run += end - begin
        elif i1 > limit:
            run = (end - begin) * (i1 - limit) / (i1 - i0)
        elif i0 > limit:
            run += (end - begin) * (i0 - limit) / (i0 - i1)
            longest = max(longest, run)
            run = 0.0
        else:
            run = 0.0
        longest = max(longest, run)
        if gone and course.time[k] >= gone[0]:
            break
    return longest


@given(
    loads=st.lists(st.floats(0.0, 90.0), min_size=3, max_size=40),
    charges=st.lists(st.floats(0.4, 0.95), min_size=2, max_size=4),
    step=st.sampled_from([0.5, 1.0, 7.0, 31.0]),
)
@settings(max_examples=60, deadline=None)
def test_no_module_passes_a_limit_for_longer_than_its_curve(
    loads: list[float], charges: list[float], step: float
) -> None:
    """Whatever the load and however coarse the samples, a step longer than the curve's times included."""
    time = step * np.arange(len(loads))
    stack = Stack(modules=tuple(PlacedModule(charge=charge) for charge in charges), contact=0.003)
    course = pack_course(pack_of(SUPPLY, NICKEL_MODULE, [stack]), time, np.array(loads), conditions=CURRENTS)
    first = min((event.time for event in course.let_go()), default=math.inf)
    for module in range(len(charges)):
        # Up to the first event, the courses of all are straight lines between the samples.
        before = course.time <= first
        part = replace(course, time=course.time[before], current=course.current[before], events=())
        for point in POINTS:
            assert longest_above(part, module, point.current) <= point.duration + 1e-6


def test_a_protection_acts_between_two_samples() -> None:
    """A tenth of a second above 30 A lets go at 0.1 s, although the samples stand 10 s apart."""
    pack = pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(charge=0.9),))])
    course = pack_course(pack, np.array([0.0, 10.0]), np.array([31.0, 31.0]), conditions=CURRENTS)

    assert course.let_go()[0].time == pytest.approx(0.1, abs=1e-6)


@pytest.mark.parametrize(
    ("way", "load_after", "returns"),
    [
        (WayBack.BY_ITSELF, 5.0, True),
        (WayBack.AFTER_REST, 5.0, False),
        (WayBack.AFTER_REST, 0.0, True),
        (WayBack.BY_CHARGER, 0.0, False),
        (WayBack.BY_CHARGER, -1.0, True),
    ],
)
def test_a_module_comes_back_as_its_sheet_says(way: WayBack, load_after: float, *, returns: bool) -> None:
    """After 60 s above 10 A it goes; what follows decides, after the rest of 30 s."""
    time = np.arange(0.0, 181.0)
    load = np.where(time < 70.0, 12.0, load_after)
    pack = pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(charge=0.8),))])
    course = pack_course(
        pack, time, load, conditions=current_conditions((ProtectionPoint(current=10.0, duration=60.0),), way)
    )
    back = [event.time for event in course.events if event.happening is Happening.CAME_BACK]

    assert course.let_go()[0].time == pytest.approx(60.0, abs=1e-6)
    assert bool(back) is returns
    if returns:
        assert back[0] >= 60.0 + 30.0 - 1e-6


def test_a_module_at_its_lowest_voltage_lets_go() -> None:
    """39 V for a second, after which nothing of the load can be given."""
    pack = pack_of(SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(charge=0.06),))])
    time = np.arange(0.0, 601.0)
    course = pack_course(pack, time, np.full(601, 4.0), conditions=conditions_of(NICKEL_MODULE))
    event = course.let_go()[0]

    assert event.cause is not None
    assert event.cause.cause is Cause.LOW_VOLTAGE
    before = course.module_voltage[course.time < event.time, 0]
    assert (before[:-2] >= 39.0 - 1e-9).all()


@pytest.mark.parametrize(
    ("temperature", "load", "cause"),
    [(250.0, 2.0, Cause.COLD_DISCHARGE), (340.0, 2.0, Cause.HOT_DISCHARGE), (270.0, -1.0, Cause.COLD_CHARGE),
     (320.0, -1.0, Cause.HOT_CHARGE)],
)  # fmt: skip
def test_temperatures_outside_the_sheet_let_go(temperature: float, load: float, cause: Cause) -> None:
    """-20 to 60 °C for discharging and 0 to 45 °C for charging, by the example's sheet."""
    pack = pack_of(
        SUPPLY, NICKEL_MODULE, [Stack(modules=(PlacedModule(charge=0.5, temperature=temperature),))]
    )
    course = pack_course(
        pack, np.arange(0.0, 30.0), np.full(30, load), conditions=conditions_of(NICKEL_MODULE)
    )
    found = course.let_go()

    assert found
    assert found[0].cause is not None
    assert found[0].cause.cause is cause
    assert found[0].time == pytest.approx(5.0, abs=1e-6)


def test_the_limit_found_holds_and_a_tenth_more_does_not() -> None:
    """Bisection to 0.1 A: at the limit nothing lets go, at one tenth above something does."""
    time = np.arange(0.0, 601.0)
    power = np.where((time > 100) & (time < 300), 1600.0, 200.0)
    pack = pack_of(
        SUPPLY, NICKEL_MODULE, [Stack(modules=tuple(PlacedModule(charge=z) for z in (0.9, 0.7, 0.7)))]
    )
    found = holding_limit(pack, time, power, 35.0, conditions=CURRENTS)
    above = pack_course(
        pack, time, power, ask=Ask.POWER, conditions=CURRENTS, current_limit=found.limit + 0.1
    )

    assert found.was_needed
    assert 15.0 < found.limit < 30.0
    assert found.course.let_go() == ()
    assert above.let_go() != ()


def test_a_limit_that_holds_is_left_alone() -> None:
    time = np.arange(0.0, 61.0)
    pack = pack_of(SUPPLY, NICKEL_MODULE, [three()])
    found = holding_limit(pack, time, np.full(61, 300.0), 20.0, conditions=CURRENTS)

    assert not found.was_needed
    assert found.limit == 20.0


def test_the_cascade_safe_count_is_that_of_common_practice() -> None:
    """(n − 1) modules of 10 A must carry 30 A: four; with one fifth of unevenness five."""

    def bears(duration: float) -> float:
        return bearable_current(NICKEL_MODULE, duration)

    assert cascade_safe_count(30.0, math.inf, bears) == 4
    assert cascade_safe_count(30.0, math.inf, bears, spread=0.2) == 5
    assert cascade_safe_count(30.0, 20.0, bears) == 3  # for 20 s each bears 15 A
    with pytest.raises(InputError, match="current_a"):
        cascade_safe_count(-1.0, 5.0, bears)


def test_unequal_branches_load_one_more() -> None:
    """Check row C9: 13.25 A of 20 A on two is 32.5 % above the mean."""
    assert uneven_share(np.array([37.5, 37.0]), np.array([0.16, 0.24]), 20.0) == pytest.approx(0.325)


def test_equal_modules_yield_all_and_a_worn_one_nearly_its_own() -> None:
    equal = mixed_yield(pack_of(SUPPLY, NICKEL_MODULE, [three(charge=1.0)]), 6.0, 39.0)
    worn = Stack(
        modules=(
            PlacedModule(capacity_left=0.6, resistance_risen=2.0), PlacedModule(), PlacedModule()
        )
    )  # fmt: skip
    mixed = mixed_yield(pack_of(SUPPLY, NICKEL_MODULE, [worn]), 6.0, 39.0)

    assert equal.share == pytest.approx(1.0, abs=1e-4)
    assert mixed.apart < equal.apart
    assert 0.97 < mixed.share < 1.1
