"""Why not one more module, in millimetres; and the nearest change that lets one more in, searched again."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from wattwright.frame.alternatives import Fit
from wattwright.frame.candidates import Shelf, counts_on, fixings_for
from wattwright.frame.findings import arrangement_findings, placement_findings
from wattwright.frame.holds import Carried, Seats, holds_of
from wattwright.frame.in_the_way import in_the_way
from wattwright.frame.outline import shape_of
from wattwright.frame.placement import Face, Placement, Refusal
from wattwright.frame.room import Room, room_of
from wattwright.frame.search import MOST_STACKS, most_modules
from wattwright.frame.survey import ClearanceKind
from wattwright.parts.fixing import FixingKind
from wattwright.units import Metre, mm_from_metres

TRIED_CARRIERS = 2
"""The shortest that take one more: a longer one only needs more room."""
TRUE_TO = 0.0005
"""[m] How near a clearance that would do is found."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """One more module on a face, at the offset where least is wanting; why it cannot be."""

    placement: Placement
    refusals: tuple[Refusal, ...]

    @property
    def short_by(self) -> Metre:
        """The most of what is wanting."""
        return max((refusal.short_by for refusal in self.refusals), default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loosening:
    """A change that lets more modules in: searched again with it, not guessed."""

    what: str
    field: str
    """Dotted key of the frame file it edits; "" if none does."""
    before: float
    after: float
    unit: str
    modules: int
    """The most that fit with it."""


def one_more(room: Room, shelf: Shelf, fit: Fit) -> tuple[Refused, ...]:
    """One more module in each stack or on each empty face: what stands against it, least wanting first.

    Args:
        room: Of the bicycle.
        shelf: What may be used.
        fit: The most modules that fit.

    Returns:
        One more in each stack, and one on each face without a stack, where a carrier takes so many and can be
        held: the try with the least wanting, with every reason the judge gives, the other stacks staying.
    """
    seats = Seats()
    found = []
    for face, modules, others, grown in _targets(room, fit):
        placements = list(_tries(room, shelf, face, modules, seats)) or grown
        tries = [
            Refused(placement=placement, refusals=placement_findings(room, placement, shelf.fixings.rules))
            for placement in placements
        ]
        if tries:
            best = min(tries, key=lambda one: (one.short_by, len(one.refusals)))
            refusals = arrangement_findings(room, [best.placement, *others], shelf.fixings.rules)
            if refusals:
                found.append(Refused(placement=best.placement, refusals=refusals))
    return tuple(sorted(found, key=lambda one: (one.short_by, len(one.refusals))))


def _targets(room: Room, fit: Fit) -> Iterator[tuple[Face, int, list[Placement], list[Placement]]]:
    """One more in each stack, and one on each face without a stack; with the stacks that stay.

    The last is the stack as it stands with one more, for where no carrier takes so many.
    """
    placements = [one.placed.candidate.placement(one.placed.held, one.placed.offset) for one in fit.stacks]
    for number, placement in enumerate(placements):
        others = placements[:number] + placements[number + 1 :]
        grown = replace(placement, modules=placement.modules + 1)
        yield room.face(placement.face), grown.modules, others, [grown]
    taken = {placement.face for placement in placements}
    for face in room.faces.values():
        if face.name not in taken:
            yield face, 1, placements, []


def _tries(room: Room, shelf: Shelf, face: Face, modules: int, seats: Seats) -> Iterator[Placement]:
    """Placements of so many modules where a fixing holds: both ends and the middle of each stretch."""
    able = [one for one in shelf.carriers if modules in counts_on(one, shelf, room)]
    way = in_the_way(face, room.keepouts)
    for carrier in sorted(able, key=lambda one: shape_of(one).length)[:TRIED_CARRIERS]:
        for dock_first in (True, False):
            carried = Carried(
                face=face,
                way=way,
                carrier=carrier,
                battery_module=shelf.battery_module,
                dock_first=dock_first,
            )
            yield from _held_tries(room, shelf, carried, modules, seats)


def _held_tries(
    room: Room, shelf: Shelf, carried: Carried, modules: int, seats: Seats
) -> Iterator[Placement]:
    end = max(0.0, carried.face.length - shape_of(carried.carrier).length)
    seen: set[FixingKind] = set()
    for fixing in fixings_for(carried.face, shelf, room, carried):
        if fixing.kind in seen:
            continue
        holds = holds_of(room, carried, fixing, shelf.fixings.rules, seats)
        if not holds:
            continue
        seen.add(fixing.kind)
        low, high = max(0.0, holds[0].stretch[0]), min(end, holds[-1].stretch[1])
        inside = [
            offset
            for offset in (low, (low + high) / 2, high)
            if any(hold.stretch[0] <= offset <= hold.stretch[1] for hold in holds)
        ]
        for offset in dict.fromkeys(inside):
            yield carried.placement(fixing, modules, offset)


def nearest_changes(
    room: Room,
    shelf: Shelf,
    fit: Fit,
    refused: Sequence[Refused],
    *,
    most_stacks: int = MOST_STACKS,
    report: Callable[[str, float], None] = lambda _what, _share: None,
) -> tuple[Loosening, ...]:
    """Changes that let at least one more module in, the smallest first; each searched again.

    Args:
        room: Of the bicycle.
        shelf: What may be used.
        fit: The most modules that fit as it is.
        refused: From ``one_more``: what it says is in the way is what is loosened.
        most_stacks: On the whole bicycle.
        report: Told what is being tried and the share done.
    """
    tries = list(_changes(room, shelf, refused))
    found = []
    for number, (loosening, other_room, other_shelf) in enumerate(tries):
        report(loosening.what, number / max(1, len(tries)))
        most = most_modules(other_room, other_shelf, most_stacks=most_stacks).best.modules
        if most > fit.modules:
            found.append(_least(room, shelf, replace(loosening, modules=most), fit.modules, most_stacks))
    return tuple(sorted(found, key=lambda one: abs(one.before - one.after)))


def _changes(room: Room, shelf: Shelf, refused: Sequence[Refused]) -> Iterator[tuple[Loosening, Room, Shelf]]:
    names = {refusal.where for one in refused for refusal in one.refusals}
    kinds = [keepout.kind for keepout in room.keepouts if keepout.name in names]
    for kind in dict.fromkeys([*kinds, ClearanceKind.STACK]):
        kept = room.frame.clearances.get(kind, 0.0)
        if kept > 0:
            yield _clearance(kind, kept, 0.0), _with_clearance(room, kind, 0.0), shelf
    for obstacle in room.frame.obstacles:
        if obstacle.name in names and obstacle.kind is not ClearanceKind.TUBE:
            left = tuple(one for one in room.frame.obstacles if one is not obstacle)
            change = Loosening(
                what=f"move the {obstacle.name} elsewhere",
                field="",
                before=1.0,
                after=0.0,
                unit="",
                modules=0,
            )
            yield change, room_of(replace(room.frame, obstacles=left)), shelf
    if shelf.kinds != frozenset(FixingKind):
        change = Loosening(
            what="allow every way of fixing", field="", before=0.0, after=1.0, unit="", modules=0
        )
        yield change, room, replace(shelf, kinds=frozenset(FixingKind))
    yield from _plate_steps(room, shelf)


def _plate_steps(room: Room, shelf: Shelf) -> Iterator[tuple[Loosening, Room, Shelf]]:
    """Plates that reach one to three centimetres further than those on the shelf."""
    for name, plate in shelf.fixings.plates.items():
        reach = max(plate.steps)
        for further in (0.010, 0.020, 0.030):
            more = replace(plate, steps=(*plate.steps, reach + further, -reach - further))
            change = Loosening(
                what=f"have “{plate.title}” made with a step of {mm_from_metres(reach + further):.0f} mm",
                field="",
                before=mm_from_metres(reach),
                after=mm_from_metres(reach + further),
                unit="mm",
                modules=0,
            )
            plates = {**shelf.fixings.plates, name: more}
            yield change, room, replace(shelf, fixings=replace(shelf.fixings, plates=plates))


def _clearance(kind: ClearanceKind, before: Metre, after: Metre) -> Loosening:
    return Loosening(
        what=f"keep {mm_from_metres(after):.1f} mm instead of {mm_from_metres(before):.1f} mm ({kind.value})",
        field=f"clearances.{kind.value}_mm",
        before=mm_from_metres(before),
        after=mm_from_metres(after),
        unit="mm",
        modules=0,
    )


def _with_clearance(room: Room, kind: ClearanceKind, clearance: Metre) -> Room:
    return room_of(replace(room.frame, clearances={**room.frame.clearances, kind: clearance}))


def _least(room: Room, shelf: Shelf, found: Loosening, have: int, most_stacks: int) -> Loosening:
    """A clearance that would do, as large as can be; other changes are what they are."""
    if not found.field.startswith("clearances."):
        return found
    kind = ClearanceKind(found.field.removeprefix("clearances.").removesuffix("_mm"))
    before = room.frame.clearances[kind]
    does, does_not = 0.0, before
    while does_not - does > TRUE_TO:
        middle = (does + does_not) / 2
        most = most_modules(_with_clearance(room, kind, middle), shelf, most_stacks=most_stacks).best.modules
        does, does_not = (middle, does_not) if most > have else (does, middle)
    most = most_modules(_with_clearance(room, kind, does), shelf, most_stacks=most_stacks).best.modules
    return replace(_clearance(kind, before, does), modules=most)
