"""Ceilings against arithmetic done by hand."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sizing_examples import catalogue, light_brief, wishing
from wattwright.sizing.brief import Brief, Place
from wattwright.sizing.build_up import added_mass, parts_list, price, stacks
from wattwright.sizing.ceilings import budget_ceiling, charge_time_ceiling, mass_ceiling, parallel_ceiling
from wattwright.sizing.limits import Aim
from wattwright.sizing.room_ceiling import room_ceiling, room_left


def placed(*lengths: float, carrier: str = "sill-rail") -> Brief:
    """A brief with places of those free lengths. [m]"""
    places = tuple(
        Place(name=f"place {number}", free_length=length, carrier=catalogue().carrier(carrier))
        for number, length in enumerate(lengths)
    )
    return replace(light_brief(), places=places)


@pytest.mark.parametrize(
    ("length", "by_hand"), [(0.104 + 0.042, 1), (0.104 + 2 * 0.042, 2), (0.360, 6), (0.103, 0), (0.900, 8)]
)
def test_a_rail_takes_what_its_free_length_holds(length: float, by_hand: int) -> None:
    """By hand: ends 64 mm, travel 40 mm, pitch 42 mm, eight slots."""
    limit = room_ceiling(placed(length), Aim())

    assert limit is not None
    assert limit.modules == by_hand


def test_room_adds_up_over_places_and_the_roomiest_is_named() -> None:
    brief = placed(0.200, 0.310)  # 2 modules and 12 mm; 4 modules and 38 mm

    limit = room_ceiling(brief, Aim())

    assert limit is not None
    assert limit.modules == 6
    assert "Most room is left at the place 1: 38 mm" in limit.because
    assert [round(1000 * room_left(place, brief)) for place in brief.places] == [12, 38]
    assert limit.loosen[0].field == "places[1].free_length_mm"  # 4 mm are nearer than 30 mm


def test_a_carrier_that_does_not_take_the_module_is_said() -> None:
    limit = room_ceiling(placed(0.400, carrier="sill-rail-wide"), Aim())

    assert limit is not None
    assert limit.modules == 0
    assert "is not made for this module" in limit.because
    assert limit.loosen == ()


def test_without_a_measured_place_room_is_no_ceiling() -> None:
    assert room_ceiling(replace(light_brief(), places=()), Aim()) is None


def test_mass_and_price_count_everything_once_and_the_charger_stays_at_home() -> None:
    """By hand, from the invented catalogue.

    Drive 3.4 kg and 460, three modules of 0.68 kg and 128, rail 0.24 + 3 × 0.05 kg and 82, 1.2 m of lead of
    0.085 kg and 4.2 each, charger 0.9 kg (at home) and 74, small parts 0.6 kg and 60.
    """
    brief = light_brief()

    assert added_mass(brief, 3) == pytest.approx(3.4 + 3 * 0.68 + 0.39 + 0.102 + 0.6)
    assert price(brief, 3) == pytest.approx(460 + 384 + 82 + 5.04 + 74 + 60)
    assert sum(line.title == brief.charger.title for line in parts_list(brief, 3)) == 1


def test_a_second_carrier_is_bought_when_the_first_is_full() -> None:
    brief = placed(0.200, 0.310)

    assert [(place.name, here) for place, here in stacks(brief, 2)] == [("place 0", 2)]
    assert [(place.name, here) for place, here in stacks(brief, 3)] == [("place 0", 2), ("place 1", 1)]
    assert price(brief, 3) - price(brief, 2) == pytest.approx(128 + 82)


@pytest.mark.parametrize("count", [1, 4, 9])
def test_mass_and_budget_end_where_the_last_module_still_fits(count: int) -> None:
    brief = wishing(
        light_brief(),
        added_mass=added_mass(light_brief(), count) + 0.01,
        budget=price(light_brief(), count) + 0.5,
    )
    mass, budget = mass_ceiling(brief, Aim()), budget_ceiling(brief, Aim())

    assert mass is not None
    assert budget is not None
    assert (mass.modules, budget.modules) == (count, count)


def test_a_budget_below_the_bare_conversion_allows_no_module() -> None:
    limit = budget_ceiling(wishing(light_brief(), budget=500.0), Aim())

    assert limit is not None
    assert limit.modules == 0
    assert limit.because.startswith("Without any module")


@pytest.mark.parametrize(("hours", "by_hand"), [(1.0, 2), (1.49, 2), (5.0, 10), (0.1, 0)])
def test_charging_time_fills_so_many_modules(hours: float, by_hand: int) -> None:
    """By hand: 4 A into modules of 2 Ah is half an hour for each."""
    limit = charge_time_ceiling(wishing(light_brief(), charge_hours=hours * 3600), Aim())

    assert limit is not None
    assert limit.modules == by_hand


def test_the_maker_says_how_many_may_stand_in_parallel() -> None:
    assert parallel_ceiling(light_brief(), Aim()).modules == 12


@given(
    base=st.floats(3.0, 14.0),
    more=st.floats(0.0, 6.0),
    money=st.floats(300.0, 4000.0),
    extra=st.floats(0.0, 900.0),
)
def test_more_mass_or_money_never_lowers_a_ceiling(
    base: float, more: float, money: float, extra: float
) -> None:
    poor = wishing(light_brief(), added_mass=base, budget=money)
    rich = wishing(light_brief(), added_mass=base + more, budget=money + extra)

    for ceiling in (mass_ceiling, budget_ceiling):
        low, high = ceiling(poor, Aim()), ceiling(rich, Aim())
        assert low is not None
        assert high is not None
        assert low.modules <= high.modules


@given(lengths=st.lists(st.floats(0.03, 1.5), min_size=1, max_size=4), more=st.floats(0.0, 0.5))
def test_more_room_never_lowers_the_ceiling(lengths: list[float], more: float) -> None:
    narrow, wide = (
        room_ceiling(placed(*lengths), Aim()),
        room_ceiling(placed(lengths[0] + more, *lengths[1:]), Aim()),
    )

    assert narrow is not None
    assert wide is not None
    assert narrow.modules <= wide.modules
