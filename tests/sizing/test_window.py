"""The window joins limits whatever their order, and the sentence says it in good English."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.errors import InputError
from wattwright.sizing.limits import Aim, Limit, Side, window
from wattwright.sizing.search import MOST_MODULES, smallest
from wattwright.sizing.sentence import answer_sentence
from wattwright.working import Quantity, Source, Standing, Working

NOTHING = Working(
    title="",
    formula="",
    values=(),
    result=Quantity(symbol="n", meaning="", value=0, unit=""),
    source=Source(text="", standing=Standing.ASSUMPTION),
)


def limit(side: Side, modules: int, subject: str = "", *, reachable: bool = True) -> Limit:
    return Limit(
        subject=subject or side.value,
        side=side,
        modules=modules,
        because="Even so, hardly any finish.",
        working=NOTHING,
        reachable=reachable,
    )


floors = st.builds(lambda n: limit(Side.FLOOR, n), st.integers(1, 25))
ceilings = st.builds(lambda n: limit(Side.CEILING, n), st.integers(0, 25))


@given(st.lists(floors, min_size=1, max_size=6), st.lists(ceilings, min_size=1, max_size=6), st.randoms())
def test_the_window_runs_from_the_highest_floor_to_the_lowest_ceiling_in_any_order(
    low: list[Limit], high: list[Limit], chance: object
) -> None:
    limits = [*low, *high]
    chance.shuffle(limits)  # type: ignore[attr-defined]

    joined = window(limits)

    assert joined.floor.modules == max(one.modules for one in low)
    assert joined.ceiling.modules == min(one.modules for one in high)
    assert list(joined.counts) == [
        count
        for count in range(1, 26)
        if all(count >= one.modules for one in low) and all(count <= one.modules for one in high)
    ]


def test_of_two_that_tie_the_first_decides() -> None:
    joined = window([limit(Side.FLOOR, 3, "a"), limit(Side.FLOOR, 3, "b"), limit(Side.CEILING, 9)])

    assert joined.floor.subject == "a"


@pytest.mark.parametrize("only", [Side.FLOOR, Side.CEILING])
def test_a_window_needs_both_sides(only: Side) -> None:
    with pytest.raises(InputError, match="at least one floor and one ceiling"):
        window([limit(only, 3)])


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (4, 7, "Four to seven modules. Hill round, January, asks for four; the down tube allows seven."),
        (5, 6, "Five or six modules. Hill round, January, asks for five; the down tube allows six."),
        (4, 4, "Just four modules. Hill round, January, asks for four; the down tube allows four."),
        (1, 1, "Just one module. Hill round, January, asks for one; the down tube allows one."),
        (4, 2, "No count will do yet. Hill round, January, asks for four; the down tube allows two."),
        (1, 0, "No count will do yet. Hill round, January, asks for one; the down tube allows none."),
        (13, 15, "13 to 15 modules. Hill round, January, asks for 13; the down tube allows 15."),
    ],
)
def test_the_answer_is_said_in_one_or_two_sentences(low: int, high: int, said: str) -> None:
    joined = window([limit(Side.FLOOR, low, "hill round, January"), limit(Side.CEILING, high, "down tube")])

    assert answer_sentence(joined) == said


@pytest.mark.parametrize(
    ("subject", "said"),
    [
        ("one module off", "Riding on with one module off asks for three"),
        ("current as drawn, one module off", "The current as drawn with one module off asks for three"),
        ("controller current", "The controller current asks for three"),
    ],
)
def test_subjects_that_are_no_rides_read_well(subject: str, said: str) -> None:
    joined = window([limit(Side.FLOOR, 3, subject), limit(Side.CEILING, 5, "the basket")])

    assert answer_sentence(joined) == f"Three to five modules. {said}; the basket allows five."


def test_an_unreachable_floor_says_what_the_most_modules_come_to() -> None:
    joined = window([limit(Side.FLOOR, 25, "tour, May", reachable=False), limit(Side.CEILING, 30)])

    assert not joined.is_open
    assert answer_sentence(joined) == "No count up to 24 will do. Even so, hardly any finish."


@given(threshold=st.integers(1, MOST_MODULES + 3), guess=st.integers(-2, 40))
def test_the_search_finds_the_smallest_count_from_any_guess(threshold: int, guess: int) -> None:
    asked: list[int] = []

    def does(count: int) -> bool:
        asked.append(count)
        return count >= threshold

    assert smallest(does, guess=guess) == (threshold if threshold <= MOST_MODULES else None)
    assert len(asked) == len(set(asked))


def test_a_good_guess_costs_two_rides() -> None:
    asked: list[int] = []

    def does(count: int) -> bool:
        asked.append(count)
        return count >= 5

    smallest(does, guess=5)

    assert asked == [5, 4]


def test_an_aim_counts_its_neighbours_and_the_count_shown() -> None:
    assert Aim(shown=9).counts(1) == (1, 2, 9)
    assert Aim().counts(4, least=4) == (4, 5)
    assert (Aim().below(4), Aim(target=2).below(4), Aim().above(4)) == (3, 2, 5)
