"""Other arrangements: the most modules where a wish is kept, each searched exactly, ranked by the wishes."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from wattwright.frame.candidates import Candidate, HeldBy, Shelf, candidates_on
from wattwright.frame.cores import Grid, row_start
from wattwright.frame.faces import in_plane
from wattwright.frame.holding import raised_by
from wattwright.frame.outline import shape_of
from wattwright.frame.room import Room
from wattwright.frame.search import MOST_STACKS, Found, best_of, ready_of
from wattwright.frame.sections import tube_outline
from wattwright.frame.slide import Placed, slide_of
from wattwright.frame.sliding import Interval, blocked_offsets
from wattwright.frame.stretches import both
from wattwright.frame.survey import ClearanceKind, Point
from wattwright.parts.fixing import FixingKind
from wattwright.units import Metre

CLAMPED = frozenset({FixingKind.BANDS, FixingKind.PLATE_ON_BANDS})


class Wish(Enum):
    """What a customer may wish besides many modules."""

    LOW = "low"
    CENTRAL = "central"
    HIDDEN = "hidden"
    QUICK = "quick"
    NO_CLAMPS = "no-clamps"
    ONE_STACK = "one-stack"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """A stack where it sits, what holds it, and how far it could slide."""

    placed: Placed
    slide: Interval
    """Offsets it can take with the others where they are. [m]"""
    centre: Point
    """Middle of its row of modules, in the side plane. [m]"""

    @property
    def modules(self) -> int:
        """Its modules."""
        return self.placed.candidate.modules


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One way to put stacks on a bicycle, proven to be the most under what it keeps to."""

    keeps: str
    """What it keeps to, in words; "" for the most modules without any condition."""
    stacks: tuple[Stack, ...]
    candidates: int
    places: int
    looked: int
    """Kinds of placement, their offsets, and branches followed to prove it."""

    @property
    def modules(self) -> int:
        """All modules together."""
        return sum(stack.modules for stack in self.stacks)


def fits_on(
    room: Room,
    shelf: Shelf,
    wishes: Sequence[Wish] = (),
    *,
    most_stacks: int = MOST_STACKS,
    grid: Grid | None = None,
    report: Callable[[str, float], None] = lambda _what, _share: None,
) -> tuple[Fit, ...]:
    """The most modules that fit, and the most under each condition that gives another arrangement.

    Args:
        room: Of the bicycle.
        shelf: What may be used.
        wishes: By falling weight; they rank fits of equal count.
        most_stacks: On the whole bicycle.
        grid: Offsets to try.
        report: Told what is being searched and the share done.

    Returns:
        First a fit with the most modules (of those found, the one that keeps the wishes best); then the
        others by falling count and wishes. Each is the proven most under what it keeps to.
    """
    spare, steps = room.frame.clearances.get(ClearanceKind.STACK, 0.0), grid or Grid()
    candidates = candidates_on(room, shelf)
    first = best_of(ready_of(candidates, spare, steps), most_stacks)
    found = [("", first)]
    conditions = list(_conditions(room, candidates, first, most_stacks))
    for number, (keeps, kept, stacks) in enumerate(conditions, start=1):
        report(keeps, number / (len(conditions) + 1))
        found.append((keeps, best_of(ready_of(kept, spare, steps), stacks)))
    fits = [_fit(keeps, one, spare, candidates) for keeps, one in found if one.best.stacks or not keeps]
    return tuple(_distinct(sorted(fits, key=lambda fit: (-fit.modules, *_measures(room, fit, wishes)))))


def _conditions(
    room: Room, candidates: Sequence[Candidate], first: Found, most_stacks: int
) -> Iterator[tuple[str, list[Candidate], int]]:
    """What other fits keep to: words, the candidates left, stacks allowed."""
    if len(first.best.stacks) > 1:
        yield "one stack", list(candidates), 1
    yield "no clamps", list(_without_clamps(candidates)), most_stacks
    yield "hidden between the tubes", list(_hidden(room, candidates)), most_stacks
    yield "low", list(_low(room, candidates)), most_stacks
    for face in dict.fromkeys(candidate.face.name for candidate, _ in first.best.stacks):
        left = [candidate for candidate in candidates if candidate.face.name != face]
        yield f"nothing {face}", left, most_stacks


def _without_clamps(candidates: Sequence[Candidate]) -> Iterator[Candidate]:
    for candidate in candidates:
        held = tuple(held for held in candidate.held_by if held.fixing.kind not in CLAMPED)
        if held:
            free = tuple(sorted(interval for one in held for interval in one.free))
            yield replace(candidate, held_by=held, free=free)


def _hidden(room: Room, candidates: Sequence[Candidate]) -> Iterator[Candidate]:
    """Placements whose row has its middle between the frame's tubes, racks and platforms aside."""
    from shapely import MultiPoint, get_coordinates  # noqa: PLC0415 (start-up)

    main = [tube for tube in room.frame.tubes if "rack" not in tube.name and "platform" not in tube.name]
    corners = [corner for tube in main for corner in tube_outline(tube)]
    hull = tuple((float(x), float(y)) for x, y in get_coordinates(MultiPoint(corners).convex_hull)[:-1])
    for candidate in candidates:
        inside = blocked_offsets((centre_at(candidate, 0.0),), candidate.face.along, hull, 0.0)
        yield from _only(candidate, inside)


def _low(room: Room, candidates: Sequence[Candidate]) -> Iterator[Candidate]:
    """Placements whose row has its middle no higher than the middle of the head tube, or of all tubes."""
    tubes = [tube for tube in room.frame.tubes if tube.name == "head tube"] or list(room.frame.tubes)
    ends = [end[1] for tube in tubes for end in (tube.start, tube.end)]
    limit = (min(ends) + max(ends)) / 2
    for candidate in candidates:
        rise, height = candidate.face.along[1], centre_at(candidate, 0.0)[1]
        if abs(rise) < 1e-12:
            span: Interval = (-math.inf, math.inf) if height <= limit else (math.inf, math.inf)
        else:
            turn = (limit - height) / rise
            span = (-math.inf, turn) if rise > 0 else (turn, math.inf)
        yield from _only(candidate, (span,))


def _only(candidate: Candidate, where: tuple[Interval, ...]) -> Iterator[Candidate]:
    held = tuple(
        HeldBy(fixing=one.fixing, free=free) for one in candidate.held_by if (free := both(one.free, where))
    )
    free = both(candidate.free, where)
    if held and free:
        yield replace(candidate, held_by=held, free=free)


def centre_at(candidate: Candidate, offset: Metre) -> Point:
    """Middle of a candidate's row of modules in the side plane, at an offset. [m]."""
    shape, kind = shape_of(candidate.carrier), candidate.battery_module
    s = offset + row_start(candidate) + candidate.modules * kind.pitch / 2
    raised = raised_by(candidate.held_by[0].fixing)
    return in_plane(candidate.face, (s, raised + shape.foot_height + kind.height / 2))


def _fit(keeps: str, found: Found, spare: Metre, candidates: Sequence[Candidate]) -> Fit:
    placed = [
        Placed(candidate=candidate, held=simplest(candidate.holding_at(offset)), offset=offset)
        for candidate, offset in found.best.stacks
    ]
    for number, one in enumerate(placed):
        low, high = slide_of(one, placed[:number] + placed[number + 1 :], spare, candidates)
        placed[number] = replace(one, offset=_settled(low, high))
    stacks = tuple(
        Stack(
            placed=one,
            slide=slide_of(one, placed[:number] + placed[number + 1 :], spare, candidates),
            centre=centre_at(one.candidate, one.offset),
        )
        for number, one in enumerate(placed)
    )
    return Fit(
        keeps=keeps, stacks=stacks, candidates=found.candidates, places=found.places, looked=found.looked
    )


def simplest(held: Sequence[HeldBy]) -> HeldBy:
    """Of several fixings the one with fewest parts: bosses before plates before bands; the lowest price."""
    order = [
        FixingKind.BOSSES,
        FixingKind.PLATE_ON_BOSSES,
        FixingKind.STRAPS,
        FixingKind.BANDS,
        FixingKind.PLATE_ON_BANDS,
    ]

    def key(one: HeldBy) -> tuple[int, float, float]:
        fixing = one.fixing
        price = sum(part.price for part in (fixing.screw, fixing.band, fixing.plate, fixing.strap) if part)
        return order.index(fixing.kind), abs(fixing.step), price

    return min(held, key=key)


def _settled(low: Metre, high: Metre) -> Metre:
    """The middle of what is free, at a whole millimetre where there is one."""
    middle = (low + high) / 2
    whole = round(middle, 3)
    return whole if low <= whole <= high else middle


def _measures(room: Room, fit: Fit, wishes: Sequence[Wish]) -> tuple[float, ...]:
    """What the wishes make of a fit, less is better."""
    return (*(_measure(room, fit, wish) for wish in wishes), float(len(fit.stacks)))


def _measure(room: Room, fit: Fit, wish: Wish) -> float:
    total = max(1, fit.modules)
    if wish is Wish.LOW:
        return sum(stack.modules * stack.centre[1] for stack in fit.stacks) / total
    if wish is Wish.CENTRAL:
        axles = [wheel.centre[0] for wheel in room.frame.wheels] or [0.0]
        middle = sum(axles) / len(axles)
        return sum(stack.modules * abs(stack.centre[0] - middle) for stack in fit.stacks) / total
    if wish is Wish.HIDDEN:
        kept = list(_hidden(room, [stack.placed.candidate for stack in fit.stacks]))
        return float(len(fit.stacks) - len(kept))
    if wish is Wish.QUICK:
        return max((stack.placed.candidate.carrier.removal_travel for stack in fit.stacks), default=0.0)
    if wish is Wish.NO_CLAMPS:
        return float(sum(stack.placed.held.fixing.kind in CLAMPED for stack in fit.stacks))
    return float(len(fit.stacks))


def _distinct(fits: Sequence[Fit]) -> Iterator[Fit]:
    """Fits less those whose stacks are those of one before."""
    seen = set()
    for fit in fits:
        key = frozenset(
            (one.placed.candidate.face.name, one.modules, one.placed.held.fixing.kind) for one in fit.stacks
        )
        if key not in seen:
            seen.add(key)
            yield fit
