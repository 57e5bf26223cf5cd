"""The best-matched set: exact against trying every set, laws, and what a mixed set gives step by step."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stated import state
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.matching import best_set
from wattwright.pack.mixing import (
    Candidate,
    Demand,
    carried,
    end_slope,
    until_first_empty,
    usable_charge,
    without_each,
)
from wattwright.pack.open_circuit import module_voltage
from wattwright.parts.battery_module import Chemistry

NICKEL = module_voltage(open_circuit_table(Chemistry.NMC532).voltage, 10)
JOB = Demand(current=6.0, highest_current=18.0, bearable_current=8.0, slope=end_slope(NICKEL))

modules = st.builds(
    lambda capacity, resistance: (capacity * 3600, resistance), st.floats(1.2, 2.6), st.floats(0.3, 1.2)
)
shelves = st.lists(modules, min_size=3, max_size=9).map(
    lambda rows: [
        Candidate(serial=f"M{number}", capacity=capacity, resistance=resistance)
        for number, (capacity, resistance) in enumerate(rows)
    ]
)
demands = st.builds(
    Demand,
    current=st.floats(0.0, 40.0),
    highest_current=st.floats(1.0, 50.0),
    bearable_current=st.just(8.0),
    slope=st.floats(5.0, 80.0),
)


def every_set(shelf: list[Candidate], count: int, demand: Demand) -> float:
    """Most charge of all sets that carry the current; −∞ where none does."""
    return max(
        (
            usable_charge(few, demand)
            for few in itertools.combinations(shelf, count)
            if carried(few, demand.bearable_current) >= demand.highest_current
        ),
        default=-np.inf,
    )


@settings(max_examples=300)
@given(shelf=shelves, demand=demands, data=st.data())
def test_no_set_beats_the_one_that_is_found(
    shelf: list[Candidate], demand: Demand, data: st.DataObject
) -> None:
    """Against trying every set there is."""
    count = data.draw(st.integers(1, len(shelf)))
    found = best_set(shelf, count, demand)
    most = every_set(shelf, count, demand)

    if most > -np.inf:
        assert found.carries_demand
        assert found.usable >= most * (1 - 1e-8)
    else:
        most_carried = max(carried(few, 8.0) for few in itertools.combinations(shelf, count))
        assert found.carried == pytest.approx(most_carried)
        assert found.carries_demand is (found.carried >= demand.highest_current * (1 - 1e-9))


@given(shelf=shelves, demand=demands, data=st.data())
def test_the_order_on_the_shelf_does_not_matter(
    shelf: list[Candidate], demand: Demand, data: st.DataObject
) -> None:
    mixed_up = data.draw(st.permutations(shelf))

    assert best_set(shelf, 2, demand).modules == best_set(mixed_up, 2, demand).modules


@given(shelf=shelves, demand=demands, other=modules)
def test_one_more_module_to_choose_from_never_worsens_the_set(
    shelf: list[Candidate], demand: Demand, other: tuple[float, float]
) -> None:
    newcomer = Candidate(serial="new", capacity=other[0], resistance=other[1])
    before, after = best_set(shelf, 3, demand), best_set([*shelf, newcomer], 3, demand)

    assert after.carries_demand >= before.carries_demand
    if before.carries_demand:
        assert after.usable >= before.usable * (1 - 1e-8)
    elif not after.carries_demand:
        assert after.carried >= before.carried * (1 - 1e-9)


def shelf_of(count: int, seed: int = 7) -> list[Candidate]:
    """Worn modules: capacity and resistance spread and drawn apart, as ageing does."""
    draw = np.random.default_rng(seed)
    wear = draw.multivariate_normal([0, 0], [[0.08**2, -0.008], [-0.008, 0.2**2]], count)
    return [
        Candidate(serial=f"M{number:03d}", capacity=9000 * 0.85 * np.exp(c), resistance=0.53 * np.exp(r))
        for number, (c, r) in enumerate(wear)
    ]


def test_six_of_two_hundred_are_proven_best_in_few_branches(capsys: pytest.CaptureFixture[str]) -> None:
    """82 thousand million sets; a greedy choice of the largest capacities cannot carry the current."""
    shelf = shelf_of(200)
    hard = replace(JOB, highest_current=5.9 * 8.0)
    found = best_set(shelf, 6, hard)
    greedy = sorted(shelf, key=lambda each: -each.capacity)[:6]
    state(
        capsys,
        f"6 of 200: {found.looked_at} branches, {found.usable / 3600:.2f} Ah, {found.carried:.1f} A; "
        f"the six largest carry {carried(greedy, 8.0):.1f} A of {hard.highest_current:.1f} A",
    )

    assert found.carries_demand
    assert carried(greedy, 8.0) < hard.highest_current
    assert found.looked_at < 100_000


def test_equal_modules_lose_nothing() -> None:
    equal = [Candidate(serial=name, capacity=9000.0, resistance=0.5) for name in "abc"]

    assert usable_charge(equal, JOB) == pytest.approx(27000.0)
    assert carried(equal, 8.0) == pytest.approx(24.0)
    assert until_first_empty(equal, NICKEL, 6.0).share == pytest.approx(1.0, abs=1e-6)


def test_modules_of_equal_product_are_empty_together_however_unequal() -> None:
    """Half the capacity behind twice the resistance: R C is the same, so nothing is left anywhere."""
    mixed = [
        Candidate(serial="large", capacity=9000.0, resistance=0.4),
        Candidate(serial="small", capacity=4500.0, resistance=0.8),
    ]

    assert usable_charge(mixed, JOB) == pytest.approx(13500.0)
    assert until_first_empty(mixed, NICKEL, 6.0).share == pytest.approx(1.0, abs=1e-6)
    assert carried(mixed, 8.0) == pytest.approx(12.0)  # 8 A and 4 A: the small one's protection lies idle


@pytest.mark.parametrize("seed", range(4))
def test_the_closed_form_is_near_a_discharge_step_by_step(
    seed: int, capsys: pytest.CaptureFixture[str]
) -> None:
    few = shelf_of(6, seed)
    for current in (6.0, 15.0):
        closed = usable_charge(few, replace(JOB, current=current))
        stepped = until_first_empty(few, NICKEL, current)
        state(
            capsys,
            f"six worn modules, {current:.0f} A: closed form {closed / stepped.whole:.4f} of the sum, "
            f"step by step {stepped.share:.4f}; busiest at {stepped.highest_share:.2f} of an even share",
        )
        assert closed == pytest.approx(stepped.given, rel=0.01)


def test_the_steps_are_small_enough() -> None:
    few = shelf_of(6)
    coarse, fine = (
        until_first_empty(few, NICKEL, 15.0, steps=2000),
        until_first_empty(few, NICKEL, 15.0, steps=8000),
    )

    assert coarse.given == pytest.approx(fine.given, rel=1e-3)


def test_the_odd_one_is_missed_least() -> None:
    """A tired module of high resistance holds the set back; one of low resistance trips it."""
    sound = [Candidate(serial=name, capacity=9000.0, resistance=0.5) for name in "abc"]
    tired = Candidate(serial="tired", capacity=5000.0, resistance=1.2)
    strong = Candidate(serial="strong", capacity=9000.0, resistance=0.2)

    assert without_each([*sound, tired], JOB)[0].serial == "tired"
    assert without_each([*sound, strong], replace(JOB, highest_current=24.0))[0].serial == "strong"


def test_four_of_which_none_carries_the_current_are_named_as_such() -> None:
    found = best_set(shelf_of(5), 2, replace(JOB, highest_current=30.0))

    assert not found.carries_demand
    assert found.carried < 16.0


@pytest.mark.parametrize(("count", "named"), [(0, "count"), (6, "from 1 to 5"), (2, "twice")])
def test_what_cannot_be_chosen_is_refused_by_name(count: int, named: str) -> None:
    shelf = shelf_of(5)
    if named == "twice":
        shelf.append(shelf[0])
    with pytest.raises(InputError, match=named):
        best_set(shelf, count, JOB)


def test_a_set_of_none_and_a_retirement_of_one_are_refused() -> None:
    with pytest.raises(InputError, match="modules"):
        until_first_empty([], NICKEL, 5.0)
    with pytest.raises(InputError, match="current_a"):
        until_first_empty(shelf_of(2), NICKEL, 0.0)
    with pytest.raises(InputError, match="two"):
        without_each(shelf_of(1), JOB)
