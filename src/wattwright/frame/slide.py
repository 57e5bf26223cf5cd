"""How far a stack can still slide while the others stay where they are."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wattwright.frame.candidates import Candidate, HeldBy, Solid
from wattwright.frame.plane import added
from wattwright.frame.sliding import Interval, blocked_offsets
from wattwright.frame.stretches import Stretches, both, either, outside_of
from wattwright.units import Metre

ROUNDING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A candidate at an offset, by one of its fixings."""

    candidate: Candidate
    held: HeldBy
    offset: Metre


def slide_of(
    placed: Placed, others: Sequence[Placed], spare: Metre, candidates: Sequence[Candidate]
) -> Interval:
    """The offsets a stack can take without being lifted over anything, the others staying where they are.

    Args:
        placed: The stack.
        others: The other stacks.
        spare: Distance two stacks keep. [m]
        candidates: Of the bicycle: on its way the same stack may pass from one plate's length to the next.

    Returns:
        Least and greatest offset; inside them the judge has nothing against it, just outside it has. [m]
    """
    free = either(_free(one, held, others, spare) for one, held in _same(placed, candidates))
    for low, high in free:
        if low - ROUNDING <= placed.offset <= high + ROUNDING:
            return low, high
    return placed.offset, placed.offset


def _same(placed: Placed, candidates: Sequence[Candidate]) -> Iterator[tuple[Candidate, HeldBy]]:
    """The same stack by the same fixing, wherever it is free."""
    mine = placed.candidate
    yield mine, placed.held
    for one in candidates:
        if (
            one.face is mine.face
            and one.carrier is mine.carrier
            and one.modules == mine.modules
            and one.dock_first is mine.dock_first
        ):
            yield from ((one, held) for held in one.held_by if held.fixing == placed.held.fixing)


def _free(candidate: Candidate, held: HeldBy, others: Sequence[Placed], spare: Metre) -> Stretches:
    free = held.free
    for other in others:
        free = both(free, _clear_of(candidate, other, spare))
    return free


def _clear_of(candidate: Candidate, other: Placed, spare: Metre) -> Stretches:
    """Offsets at which neither stack is in the other's way."""
    there = [_moved(solid, other) for solid in other.candidate.solids]
    solid = outside_of(
        interval
        for own in candidate.solids
        for it in there
        if not own.way and not it.way
        for interval in _blocked(candidate, own, it, spare)
    )
    own_ways = {own.way for own in candidate.solids if own.way}
    its_ways = {it.way for it in there if it.way}
    off = [
        outside_of(
            interval
            for own in candidate.solids
            for it in there
            if own.way == way and not it.way
            for interval in _blocked(candidate, own, it, 0.0)
        )
        for way in sorted(own_ways)
    ]
    its_off = [
        outside_of(
            interval
            for own in candidate.solids
            for it in there
            if it.way == way and not own.way
            for interval in _blocked(candidate, own, it, 0.0)
        )
        for way in sorted(its_ways)
    ]
    for ways in (off, its_off):
        if ways:
            solid = both(solid, either(ways))
    return solid


def _moved(solid: Solid, placed: Placed) -> Solid:
    if not solid.moves:
        return solid
    along = placed.candidate.face.along
    return Solid(
        outline=tuple(added(corner, along, placed.offset) for corner in solid.outline),
        low=solid.low,
        high=solid.high,
        moves=False,
        way=solid.way,
        is_plate=solid.is_plate,
    )


def _blocked(candidate: Candidate, own: Solid, it: Solid, keep: Metre) -> tuple[Interval, ...]:
    if own.low - keep >= it.high or own.high + keep <= it.low:
        return ()
    if own.moves:
        return blocked_offsets(own.outline, candidate.face.along, it.outline, keep)
    # What stands still either meets it at every offset or at none: the search chose it clear.
    return ()
