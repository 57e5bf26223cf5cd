"""Every kind of placement that could be on a bicycle, with the exact stretches where it is free."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from wattwright.frame.faces import blocked_on_face, in_plane, outline_in_plane
from wattwright.frame.findings import placement_findings
from wattwright.frame.holding import raised_by
from wattwright.frame.holds import Carried, Hold, Seats, holds_of, suits
from wattwright.frame.in_the_way import blocked_line, in_the_way
from wattwright.frame.outline import OutlinePart, StackOutline, shape_of, stack_outline
from wattwright.frame.placement import Face, Fixing, Placement, Reason
from wattwright.frame.plane import Outline, convex_pieces
from wattwright.frame.room import Room
from wattwright.frame.sliding import Interval
from wattwright.frame.stretches import Stretches, both, either, outside_of
from wattwright.frame.survey import Point
from wattwright.parts.accessories import Carrier
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.fixing import FixingKind, FixingShelf, OffsetPlate
from wattwright.units import Metre

ANYWHERE: Stretches = ((-math.inf, math.inf),)
TOUCHING = 1e-9
"""[m] Rounding of an offset at the end of a stretch."""
ON_CARRIER = frozenset({
    Reason.MODULE_KIND, Reason.TOO_MANY_MODULES, Reason.LONGER_THAN_CARRIER, Reason.OUTSIDE_BAG,
})  # fmt: skip
"""Reasons that hold on every bicycle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What may be used: carriers with their shapes, one kind of module, fixings."""

    battery_module: BatteryModule
    carriers: tuple[Carrier, ...]
    fixings: FixingShelf
    kinds: frozenset[FixingKind] = frozenset(FixingKind)
    """Ways of fixing the customer agrees to."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solid:
    """A convex piece of a placement in the side plane, as it lies at offset 0."""

    outline: Outline
    low: Metre
    high: Metre
    moves: bool
    """Whether it moves with the offset; a plate on bosses does not."""
    way: int = 0
    """0 what is filled; 1, 2 … the ways off, of which one must be free."""
    is_plate: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldBy:
    """A fixing, and where along the face it holds this placement with nothing in the way."""

    fixing: Fixing
    free: Stretches


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """Placements that differ in offset and fixing alone: the same outline wherever they sit."""

    face: Face
    carrier: Carrier
    battery_module: BatteryModule
    modules: int
    dock_first: bool
    held_by: tuple[HeldBy, ...]
    free: Stretches
    """Offsets at which one of the fixings will do."""
    solids: tuple[Solid, ...]

    def placement(self, held: HeldBy, offset: Metre) -> Placement:
        """The placement with one of its fixings."""
        return Placement(
            face=self.face.name,
            carrier=self.carrier,
            battery_module=self.battery_module,
            modules=self.modules,
            offset=offset,
            dock_first=self.dock_first,
            fixing=held.fixing,
        )

    def with_free(self, free: Stretches) -> "Candidate":
        """The same at fewer offsets."""
        return replace(self, free=free)

    def holding_at(self, offset: Metre) -> tuple[HeldBy, ...]:
        """The fixings that will do at an offset."""
        return tuple(
            held
            for held in self.held_by
            if any(low - TOUCHING <= offset <= high + TOUCHING for low, high in held.free)
        )


def candidates_on(room: Room, shelf: Shelf) -> tuple[Candidate, ...]:
    """Every kind of placement that is free somewhere on the bicycle, each alone.

    Args:
        room: Of the bicycle.
        shelf: What may be used.

    Returns:
        By face, then carrier, way round, fixing and number of modules; with the stretches of offset at which
        the judge finds nothing against them. Exact: closed form, no grid.
    """
    seats = Seats()
    counts = {carrier.name: counts_on(carrier, shelf, room) for carrier in shelf.carriers}
    return tuple(
        candidate
        for face in room.faces.values()
        for way in [in_the_way(face, room.keepouts)]
        for carrier in shelf.carriers
        if counts[carrier.name] and shape_of(carrier).length <= face.length + 1e-9
        for dock_first in (True, False)
        for carried in [
            Carried(
                face=face,
                way=way,
                carrier=carrier,
                battery_module=shelf.battery_module,
                dock_first=dock_first,
            )
        ]
        for candidate in _of_carried(room, carried, shelf, seats, counts[carrier.name])
    )


def counts_on(carrier: Carrier, shelf: Shelf, room: Room) -> tuple[int, ...]:
    """The numbers of modules a carrier takes, on whatever bicycle."""
    battery_module = shelf.battery_module
    if carrier.shape is None or battery_module.name not in carrier.modules_fitting:
        return ()
    if not carrier.shape.outline:
        fits = (carrier.shape.length - carrier.base_length + 1e-9) / battery_module.pitch
        return tuple(range(1, min(carrier.maximum_modules, int(fits)) + 1))
    return tuple(
        modules
        for modules in range(1, carrier.maximum_modules + 1)
        if room.faces and _inside_bag(carrier, shelf, modules, room)
    )


def fixings_for(face: Face, shelf: Shelf, room: Room, carried: Carried) -> Iterator[Fixing]:
    """Every fixing on the shelf for a carrier on a face; of screws the first that catches enough thread."""
    bands = tuple(shelf.fixings.bands.values())
    plates = tuple(shelf.fixings.plates.values())
    if len(face.bosses) > 1:
        yield from _screwed(shelf, room, carried, None)
        for plate in plates:
            yield from _screwed(shelf, room, carried, plate)
    if FixingKind.BANDS in shelf.kinds:
        yield from (Fixing(kind=FixingKind.BANDS, band=band) for band in bands)
    if FixingKind.PLATE_ON_BANDS in shelf.kinds:
        for plate in plates:
            yield from (Fixing(kind=FixingKind.PLATE_ON_BANDS, band=band, plate=plate) for band in bands)
    if FixingKind.STRAPS in shelf.kinds:
        yield from (Fixing(kind=FixingKind.STRAPS, strap=strap) for strap in shelf.fixings.straps.values())


def _screwed(shelf: Shelf, room: Room, carried: Carried, plate: OffsetPlate | None) -> Iterator[Fixing]:
    kind = FixingKind.BOSSES if plate is None else FixingKind.PLATE_ON_BOSSES
    if kind not in shelf.kinds:
        return
    for screw in shelf.fixings.screws.values():
        steps = (0.0,) if plate is None else plate.steps
        fixing = Fixing(kind=kind, screw=screw, plate=plate, step=steps[0])
        if suits(room, carried, fixing, shelf.fixings.rules):
            yield from (replace(fixing, step=step) for step in steps)
            return


def _inside_bag(carrier: Carrier, shelf: Shelf, modules: int, room: Room) -> bool:
    """Whether the row lies inside the bag: asked of the judge, on a bicycle with nothing in the way."""
    bare = replace(room, keepouts=())
    probe = Placement(
        face=next(iter(room.faces)),
        carrier=carrier,
        battery_module=shelf.battery_module,
        modules=modules,
        offset=0.0,
        dock_first=True,
        fixing=Fixing(kind=FixingKind.STRAPS),
    )
    found = placement_findings(bare, probe, shelf.fixings.rules)
    return not any(refusal.reason in ON_CARRIER for refusal in found)


def _of_carried(
    room: Room, carried: Carried, shelf: Shelf, seats: Seats, counts: Sequence[int]
) -> Iterator[Candidate]:
    """Candidates of one carrier one way round, those of one outline together."""
    groups: dict[tuple[Metre, OffsetPlate | None, Interval | None, bool], list[tuple[Fixing, Hold]]] = {}
    for fixing in fixings_for(carried.face, shelf, room, carried):
        for hold in holds_of(room, carried, fixing, shelf.fixings.rules, seats):
            plate = fixing.plate if hold.plate is not None else None
            key = (raised_by(fixing), plate, hold.plate, hold.plate_moves)
            groups.setdefault(key, []).append((fixing, hold))
    stacks: dict[tuple[Metre, int], tuple[Stretches, tuple[Solid, ...]]] = {}
    for (raised, plate, stretch, moves), held in groups.items():
        plate_box = _plate_box(plate, stretch)
        plate_solids = tuple(_plate_solids(carried.face, plate_box, moves=moves))
        room_of_plate = ANYWHERE if plate_box is None else _plate_clear(carried, plate_box, moves=moves)
        holds = [(fixing, free) for fixing, hold in held if (free := both((hold.stretch,), room_of_plate))]
        for modules in counts if holds else ():
            if (raised, modules) not in stacks:
                stacks[raised, modules] = _stack(room, carried, raised, modules)
            clear, solids = stacks[raised, modules]
            found = [(fixing, free) for fixing, where in holds if (free := both(where, clear))]
            if found:
                yield _candidate(carried, modules, found, solids + plate_solids)


def _stack(room: Room, carried: Carried, raised: Metre, modules: int) -> tuple[Stretches, tuple[Solid, ...]]:
    """Where a stack is clear of everything, and its pieces."""
    outline = stack_outline(carried.carrier, carried.battery_module, modules)
    clear = _clear(room, carried, raised, outline.parts, outline.release)
    return clear, tuple(_solids(carried, raised, outline)) if clear else ()


def _candidate(
    carried: Carried,
    modules: int,
    found: Sequence[tuple[Fixing, Stretches]],
    solids: tuple[Solid, ...],
) -> Candidate:
    by_fixing: dict[Fixing, list[Stretches]] = {}
    for fixing, free in found:
        by_fixing.setdefault(fixing, []).append(free)
    return Candidate(
        face=carried.face,
        carrier=carried.carrier,
        battery_module=carried.battery_module,
        modules=modules,
        dock_first=carried.dock_first,
        held_by=tuple(HeldBy(fixing=fixing, free=either(sets)) for fixing, sets in by_fixing.items()),
        free=either(free for _, free in found),
        solids=solids,
    )


def _clear(
    room: Room,
    carried: Carried,
    raised: Metre,
    parts: Sequence[OutlinePart],
    ways: Sequence[OutlinePart],
) -> Stretches:
    """Offsets at which the stack has room, and a way off."""
    end = carried.face.length - shape_of(carried.carrier).length
    blocked = [interval for part in parts for interval in _blocked(room, carried, raised, part, keeps=True)]
    off = either(outside_of(_blocked(room, carried, raised, way, keeps=False)) for way in ways)
    return both(both(((0.0, max(0.0, end)),), outside_of(blocked)), off)


def _plate_clear(carried: Carried, plate: OutlinePart, *, moves: bool) -> Stretches:
    start, end = plate.outline[0][0], plate.outline[1][0]
    lines = blocked_line(carried.way, (0.0, plate.outline[2][1]), (plate.low, plate.high), keeps=True)
    free = outside_of((low - end, high - start) for low, high in lines)
    if moves:
        return free
    stands = any(low <= 0.0 <= high for low, high in free)
    return ANYWHERE if stands else ()


def _blocked(
    room: Room, carried: Carried, raised: Metre, part: OutlinePart, *, keeps: bool
) -> tuple[Interval, ...]:
    """Offsets at which one part meets something."""
    turned = _on_face(carried, raised, part)
    if _is_box(turned):
        (start, low), (end, high) = min(turned), max(turned)
        lines = blocked_line(carried.way, (low, high), (part.low, part.high), keeps=keeps)
        return tuple((one - end, other - start) for one, other in lines)
    key = (turned, part.low, part.high, keeps)
    kept = carried.way.outlines
    if key not in kept:
        keepouts = room.keepouts if keeps else [replace(one, clearance=0.0) for one in room.keepouts]
        plane = replace(part, outline=outline_in_plane(carried.face, turned))
        kept[key] = blocked_on_face(carried.face, plane, keepouts)
    return kept[key]


def _on_face(carried: Carried, raised: Metre, part: OutlinePart) -> Outline:
    """A part from carrier coordinates to face coordinates at offset 0."""
    length = shape_of(carried.carrier).length
    return tuple((u if carried.dock_first else length - u, h + raised) for u, h in part.outline)


def _is_box(outline: Outline) -> bool:
    return len(outline) == 4 and len({s for s, _ in outline}) == 2 and len({h for _, h in outline}) == 2


def _plate_box(plate: OffsetPlate | None, stretch: Interval | None) -> OutlinePart | None:
    if plate is None or stretch is None:
        return None
    (start, end), top, half = stretch, plate.thickness, plate.width / 2
    box = ((start, 0.0), (end, 0.0), (end, top), (start, top))
    return OutlinePart(name="plate", outline=box, low=-half, high=half)


def _solids(carried: Carried, raised: Metre, outline: StackOutline) -> Iterator[Solid]:
    ways = [(0, part) for part in outline.parts] + list(enumerate(outline.release, start=1))
    for way, part in ways:
        yield from pieces_of(carried.face, _on_face(carried, raised, part), (part.low, part.high), way=way)


def _plate_solids(face: Face, box: OutlinePart | None, *, moves: bool) -> Iterator[Solid]:
    if box is not None:
        for piece in pieces_of(face, box.outline, (box.low, box.high), way=0, moves=moves):
            yield replace(piece, is_plate=True)


def pieces_of(
    face: Face, outline: Outline, across: Interval, *, way: int, moves: bool = True
) -> Iterator[Solid]:
    """Convex pieces of an outline on a face, of four corners at most, counter-clockwise in the side plane."""
    for piece in convex_pieces(tuple(in_plane(face, point) for point in outline)):
        turned = piece if _turns_left(piece) else piece[::-1]
        for number in range(1, len(turned) - 1, 2):
            corners = (turned[0], *turned[number : number + 3])
            yield Solid(outline=corners, low=across[0], high=across[1], moves=moves, way=way)


def _turns_left(outline: Sequence[Point]) -> bool:
    after = (*outline[1:], outline[0])
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outline, after, strict=True)) > 0
