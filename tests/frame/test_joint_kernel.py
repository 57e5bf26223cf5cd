"""The table of two stacks' offsets, and three stacks tried by it: against the judge, and trying all."""

import random
from itertools import product

import numpy as np
import pytest

from search_examples import small_frame, small_shelf
from wattwright.frame.candidates import candidates_on
from wattwright.frame.cores import Grid
from wattwright.frame.findings import arrangement_findings
from wattwright.frame.joint import Together
from wattwright.frame.joint_kernel import CORNERS, allowed_pairs, offset_by_offset, pair_sets
from wattwright.frame.room import Room, room_of
from wattwright.frame.search import Ready, ready_of
from wattwright.frame.survey import ClearanceKind


def ready(seed: int, step: float) -> tuple[Room, Ready, object]:
    """A frame by chance with its candidates on a grid."""
    chance = random.Random(seed)  # noqa: S311 (not for secrets)
    frame, shelf = small_frame(chance), small_shelf(chance)
    room, spare = room_of(frame), frame.clearances[ClearanceKind.STACK]
    grid = Grid(step=step, ends=False)
    return room, ready_of(candidates_on(room, shelf), spare, grid), shelf.fixings.rules


def offsets(arrays: Together, number: int) -> np.ndarray:
    """All offsets of one candidate."""
    return arrays.places[arrays.place_first[number] : arrays.place_first[number + 1]]


def placed_ones(arrays: Together) -> list[int]:
    """Candidates with an offset on the grid: the search asks for no other."""
    return np.flatnonzero(np.diff(arrays.place_first) > 0).tolist()


def sets_of(arrays: Together, a: int, b: int) -> tuple[np.ndarray, np.ndarray, int]:
    """The sets of offsets at which two candidates are in each other's way."""
    most = int(np.diff(arrays.first).max())
    sets, facts = np.zeros((most * most, CORNERS, 2)), np.zeros((most * most, 5))
    count = pair_sets(a, b, arrays.quads, arrays.across, arrays.role, arrays.first, arrays.spare, sets, facts)
    return sets, facts, count


def table_of(arrays: Together, a: int, b: int) -> np.ndarray:
    """Which offsets of two candidates go together."""
    sets, facts, count = sets_of(arrays, a, b)
    ways = np.array([arrays.ways[a], arrays.ways[b]], dtype=float)
    along = np.array([arrays.along[a], arrays.along[b]])
    return allowed_pairs(sets, facts, count, ways, along, offsets(arrays, a), offsets(arrays, b))


@pytest.mark.parametrize("seed", range(12))
def test_a_table_of_two_stacks_says_what_the_judge_says_of_each_pair(seed: int) -> None:
    room, made, rules = ready(seed, 0.02)
    arrays, chance = made.arrays[-1], random.Random(seed)  # noqa: S311
    placed = placed_ones(arrays)
    for _ in range(8 if len(placed) > 1 else 0):
        a, b = chance.sample(placed, 2)
        table = table_of(arrays, a, b)
        rows, columns = offsets(arrays, a), offsets(arrays, b)
        for i, j in chance.sample(list(product(range(len(rows)), range(len(columns)))), min(6, table.size)):
            pair = [
                one.placement(one.holding_at(float(offset))[0], float(offset))
                for one, offset in ((made.candidates[a], rows[i]), (made.candidates[b], columns[j]))
            ]
            assert bool(table[i, j]) is (not arrangement_findings(room, pair, rules))


@pytest.mark.parametrize("seed", range(12))
def test_three_stacks_are_placed_where_trying_all_offsets_places_them(seed: int) -> None:
    _, made, _ = ready(seed, 0.03)
    arrays, chance = made.arrays[-1], random.Random(seed)  # noqa: S311
    placed = placed_ones(arrays)
    for _ in range(40 if len(placed) > 2 else 0):
        chosen = sorted(chance.sample(placed, 3))
        tables = {(i, j): table_of(arrays, chosen[i], chosen[j]) for i, j in ((0, 1), (0, 2), (1, 2))}
        tried = bool(
            np.einsum("ij,ik,jk->", *(tables[pair].astype(np.int64) for pair in ((0, 1), (0, 2), (1, 2))))
        )
        answer = _offset_by_offset(arrays, chosen)

        assert (answer is not None) is tried
        assert (arrays.go(chosen) is not None) is tried
        if answer is not None:
            assert all(table[answer[i], answer[j]] for (i, j), table in tables.items())


def _offset_by_offset(arrays: Together, chosen: list[int]) -> list[int] | None:
    most = int(np.diff(arrays.first).max())
    pairs = ((0, 1), (0, 2), (1, 2))
    sets, facts = np.zeros((3, most * most, CORNERS, 2)), np.zeros((3, most * most, 5))
    counts, ways, along = np.zeros(3, dtype=np.int64), np.zeros((3, 2)), np.zeros((3, 2, 2))
    for number, (i, j) in enumerate(pairs):
        a, b = chosen[i], chosen[j]
        sets[number], facts[number], counts[number] = sets_of(arrays, a, b)
        ways[number], along[number] = (arrays.ways[a], arrays.ways[b]), (arrays.along[a], arrays.along[b])
    answer = np.zeros(3, dtype=np.int64)
    numbers = np.array(chosen, dtype=np.int64)
    good = offset_by_offset(
        numbers, sets, facts, counts, ways, along, arrays.places, arrays.place_first, answer
    )
    return answer.tolist() if good else None
