"""Floors that need no ride, against arithmetic done by hand on invented data sheets."""

from dataclasses import replace

import numpy as np
import pytest

from sizing_examples import catalogue, light_brief, wishing, with_limit, with_module
from wattwright.sizing.current_floors import charge_floor, nameplate_floor, one_off_floor, whole
from wattwright.sizing.limits import Aim, Side
from wattwright.sizing.regeneration import (
    OVERVOLTAGE_PER_CELL,
    borne_by_each,
    cold_resistance,
    regeneration_floor,
    roomy_start,
)
from wattwright.sizing.trials import Trials


@pytest.mark.parametrize(
    ("controller", "each", "by_hand"),
    [(15, 10, 2), (20, 10, 2), (20.1, 10, 3), (30, 10, 3), (40, 10, 4), (7, 10, 1)],
)
def test_the_nameplate_asks_for_its_current_over_that_of_one_module(
    controller: float, each: float, by_hand: int
) -> None:
    brief = with_module(with_limit(light_brief(), controller), continuous_discharge_current=each)

    limit = nameplate_floor(brief, Aim())

    assert (limit.side, limit.modules) == (Side.FLOOR, by_hand)
    assert dict(limit.at_count)[by_hand].value == pytest.approx(controller / by_hand)
    assert dict(limit.at_count)[by_hand].value <= each + 1e-9


def test_a_hair_over_a_whole_number_is_that_number() -> None:
    assert whole(3.0000000000001) == 3
    assert whole(0.1 + 0.2 + 2.7) == 3


@pytest.mark.parametrize(("controller", "by_hand"), [(15, 3), (20, 3), (28, 4), (5, 2)])
def test_with_one_module_off_the_rest_carry_the_limit(controller: float, by_hand: int) -> None:
    brief = wishing(with_limit(light_brief(), controller), one_module_off=True)

    limit = one_off_floor(brief, Aim())

    assert limit is not None
    assert limit.modules == by_hand
    each = brief.battery_module.continuous_discharge_current
    assert (by_hand - 1) * each >= controller > (by_hand - 2) * each


def test_one_module_off_is_no_floor_where_nobody_wishes_it() -> None:
    assert one_off_floor(wishing(light_brief(), one_module_off=False), Aim()) is None


@pytest.mark.parametrize(("charger", "by_hand"), [(2.0, 1), (4.0, 2), (4.1, 3), (8.0, 4)])
def test_a_charger_wants_modules_that_take_its_current(charger: float, by_hand: int) -> None:
    brief = light_brief()
    brief = replace(brief, charger=replace(brief.charger, current=charger))

    assert charge_floor(brief, Aim()).modules == by_hand


def test_a_margin_stands_at_the_count_shown() -> None:
    limit = nameplate_floor(light_brief(), Aim(shown=9))

    assert dict(limit.at_count)[9].value == pytest.approx(15 / 9)


def test_the_changes_lower_the_limit_to_the_count_aimed_at() -> None:
    limit = nameplate_floor(with_limit(light_brief(), 38.0), Aim(target=2))

    assert [(change.after, change.modules) for change in limit.loosen] == [(20.0, 2)]


def test_a_drive_that_freewheels_asks_nothing_of_a_full_pack() -> None:
    assert regeneration_floor(light_brief(), Aim()) is None


def test_regeneration_is_shared_until_a_full_module_bears_it() -> None:
    """By hand: 8 A; a module takes 4 A, and rises 13 × 0.05 V = 0.65 V over its cold R0 + R1."""
    brief = replace(light_brief(), drive=catalogue().drive("lee-direct-400"))
    resistance = cold_resistance(brief)

    limit = regeneration_floor(brief, Aim())

    assert limit is not None
    assert borne_by_each(brief) == pytest.approx(min(4.0, OVERVOLTAGE_PER_CELL * 13 / resistance))
    assert (limit.modules - 1) * borne_by_each(brief) < 8.0 <= limit.modules * borne_by_each(brief)


def test_a_module_that_forbids_regeneration_makes_the_floor_unreachable_until_it_is_off() -> None:
    brief = with_module(
        replace(light_brief(), drive=catalogue().drive("lee-direct-400")), regeneration_current=0.0
    )

    limit = regeneration_floor(brief, Aim())

    assert limit is not None
    assert not limit.reachable
    assert [change.after for change in limit.loosen] == [0.0]


def test_a_start_uphill_needs_no_room_in_the_pack_and_a_start_downhill_does() -> None:
    brief = replace(light_brief(ascent=300.0), drive=catalogue().drive("lee-direct-400"))
    ride = brief.rides[0]
    down = replace(ride, name="down", path=replace(ride.path, grade=np.full(ride.path.segments, -0.1)))
    up = replace(ride, name="up", path=replace(ride.path, grade=np.full(ride.path.segments, 0.02)))
    trials = Trials(brief)

    assert roomy_start(trials, up, 4) == pytest.approx(1.0, abs=0.005)
    assert roomy_start(trials, down, 4) < 0.99
    assert roomy_start(trials, down, 8) > roomy_start(trials, down, 4)
