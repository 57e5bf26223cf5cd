"""Where along a face one fixing holds one carrier: intervals of offset, and the plate it takes there."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

from wattwright.frame.holding import ON_BOSSES, holding, raised_by, seat_path
from wattwright.frame.in_the_way import InTheWay, blocked_line
from wattwright.frame.outline import shape_of
from wattwright.frame.placement import Face, Fixing, Placement, Reason
from wattwright.frame.room import Room
from wattwright.frame.sections import half_width, section_at
from wattwright.frame.sliding import Interval
from wattwright.frame.stretches import Stretches, both, outside_of, where_positive, where_true
from wattwright.frame.survey import Section, Tube
from wattwright.parts.accessories import Carrier
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.fixing import FixingKind, FixingRules
from wattwright.units import Fraction, Metre

TAPER_SAMPLES: Final = 5
"""Places along a tapered tube at which the band is drawn; between two, its length and gap may turn once."""
RING_SAMPLES: Final = 65
TOUCHING: Final = 1e-9
"""[m] Kept from the tube's ends, so that rounding puts no band beyond them."""
AT_NO_PLACE: Final = frozenset({Reason.FORBIDDEN, Reason.THREAD, Reason.PLATE})
"""Reasons that hold wherever the carrier sits."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """Offsets at which a fixing holds a carrier by the same bosses or seats."""

    stretch: Interval
    """Closed."""
    plate: Interval | None
    """Where the plate begins and ends: on the face, or from the offset where it moves with the carrier."""
    plate_moves: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A carrier one way round, loaded with modules of a kind, on a face."""

    face: Face
    way: InTheWay
    """What stands in the way along that face."""
    carrier: Carrier
    battery_module: BatteryModule
    dock_first: bool

    def placement(self, fixing: Fixing, modules: int, offset: Metre) -> Placement:
        """The placement with this fixing."""
        return Placement(
            face=self.face.name,
            carrier=self.carrier,
            battery_module=self.battery_module,
            modules=modules,
            offset=offset,
            dock_first=self.dock_first,
            fixing=fixing,
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seats:
    """Where bands and straps can lie, kept for many carriers of the same cross-section."""

    seen: dict[object, Stretches] = field(default_factory=dict)
    paths: dict[object, tuple[Metre, Metre]] = field(default_factory=dict)
    """Length of a band and its distance from the modules, once for every band of the same thickness."""


def holds_of(
    room: Room, carried: Carried, fixing: Fixing, rules: FixingRules, seats: Seats
) -> tuple[Hold, ...]:
    """Where along its face the carrier is held by this fixing, by rising offset.

    Args:
        room: Of the bicycle.
        carried: Carrier, which way round, on which face.
        fixing: With all its parts.
        rules: Allowed and forbidden combinations, distances.
        seats: Kept from call to call on one bicycle.

    Returns:
        Closed intervals of offset at which the judge has nothing against the fixing. [m]

    Notes:
        Which bosses stand in slots, and which seats can take a band, changes at a few offsets only; between
        two of them spacing, overhang and plate are the same, so each stretch is judged once.
    """
    if fixing.kind in ON_BOSSES:
        if len(carried.face.bosses) < 2 or not suits(room, carried, fixing, rules):
            return ()
        return tuple(_on_bosses(carried, fixing, rules))
    material = room.frame.tube(carried.face.tube).material
    if any(rule.kind is fixing.kind and rule.material is material for rule in rules.prohibitions):
        return ()
    return tuple(_on_seats(room, carried, fixing, rules, seats))


def suits(room: Room, carried: Carried, fixing: Fixing, rules: FixingRules) -> bool:
    """Whether nothing but the place could stand against this fixing on bosses."""
    found = holding(room, carried.face, carried.placement(fixing, 1, 0.0), rules).refusals
    return not any(refusal.reason in AT_NO_PLACE for refusal in found)


def _on_bosses(carried: Carried, fixing: Fixing, rules: FixingRules) -> Iterator[Hold]:
    shape, step = shape_of(carried.carrier), fixing.step if fixing.plate is not None else 0.0
    margin = rules.slot_margin
    slots = [(slot.start + margin, slot.end - margin) for slot in shape.slots]
    if not carried.dock_first:
        slots = [(shape.length - end, shape.length - start) for start, end in slots]
    meets = [
        tuple((boss.s + step - end, boss.s + step - start) for start, end in slots if start <= end)
        for boss in carried.face.bosses
    ]
    for stretch, caught in _cells(meets):
        on_frame = [carried.face.bosses[index].s for index in caught]
        on_carrier = [s + step for s in on_frame]
        if on_carrier[-1] - on_carrier[0] < rules.minimum_spacing - 1e-9:
            continue
        most = rules.largest_overhang * shape.length
        low = max(stretch[0], on_carrier[0] - most)
        high = min(stretch[1], on_carrier[-1] + most - shape.length)
        plate = _plate(fixing, [*on_frame, *on_carrier])
        off_face = plate is not None and (plate[0] < -1e-9 or plate[1] > carried.face.length + 1e-9)
        if low <= high + 1e-9 and not off_face:
            yield Hold(stretch=(low, max(low, high)), plate=plate, plate_moves=False)


def _on_seats(
    room: Room, carried: Carried, fixing: Fixing, rules: FixingRules, seats: Seats
) -> Iterator[Hold]:
    shape = shape_of(carried.carrier)
    along = sorted(u if carried.dock_first else shape.length - u for u in shape.seats)
    good = _good_seats(room, carried, fixing, rules, seats)
    if not good or len(along) < 2:
        return
    meets = [tuple((low - u, high - u) for low, high in good) for u in along]
    most = rules.largest_overhang * shape.length + 1e-9
    for stretch, taken in _cells(meets):
        first, last = along[taken[0]], along[taken[-1]]
        if last - first < rules.minimum_spacing - 1e-9 or max(first, shape.length - last) > most:
            continue
        plate, inside = _plate(fixing, [first, last]), stretch
        if plate is not None:
            low, high = max(stretch[0], -plate[0]), min(stretch[1], carried.face.length - plate[1])
            if low > high:
                continue
            inside = (low, high)
        yield Hold(stretch=inside, plate=plate, plate_moves=True)


def _plate(fixing: Fixing, holes: Sequence[Metre]) -> Interval | None:
    if fixing.plate is None or raised_by(fixing) == 0.0:
        return None
    return min(holes) - fixing.plate.edge_distance, max(holes) + fixing.plate.edge_distance


def _cells(meets: Sequence[Stretches]) -> Iterator[tuple[Interval, tuple[int, ...]]]:
    """Stretches of offset over which the same two or more things are met; single points among them."""
    turns = sorted({end for stretches in meets for stretch in stretches for end in stretch})
    cells = [(turn, turn) for turn in turns] + list(pairwise(turns))
    for low, high in sorted(cells):
        middle = (low + high) / 2
        met = tuple(
            index
            for index, stretches in enumerate(meets)
            if any(start <= middle <= end for start, end in stretches)
        )
        if len(met) > 1:
            yield (low, high), met


def _good_seats(room: Room, carried: Carried, fixing: Fixing, rules: FixingRules, seats: Seats) -> Stretches:
    """Where on the face a band or strap can lie around this carrier."""
    key = (
        carried.face.name, fixing.kind, fixing.band, fixing.strap, fixing.plate, *_profile(carried),
    )  # fmt: skip
    if key not in seats.seen:
        seats.seen[key] = _work_out_seats(room, carried, fixing, rules, seats)
    return seats.seen[key]


def _work_out_seats(
    room: Room, carried: Carried, fixing: Fixing, rules: FixingRules, seats: Seats
) -> Stretches:
    face, tube = carried.face, room.frame.tube(carried.face.tube)
    width = fixing.band.width if fixing.band else fixing.strap.width if fixing.strap else 0.0
    if width > face.length:
        return ()
    inside = (width / 2 + TOUCHING, face.length - width / 2 - TOUCHING)

    def margin(s: Metre) -> float:
        return _margin(carried, fixing, rules, seats=seats, tube=tube, share=s / face.length)

    samples = _samples(inside, tube)
    fits: Stretches = (inside,) if len(samples) == 1 and margin(samples[0]) >= 0 else ()
    if len(samples) > 1:
        fits = where_positive(margin, samples)
    return both(fits, _ring_free(carried, tube, fixing, inside, seats)) if fits else ()


def _samples(inside: Interval, tube: Tube) -> list[Metre]:
    if tube.start_section == tube.end_section:
        return [sum(inside) / 2]
    return _evenly(inside, TAPER_SAMPLES)


def _evenly(inside: Interval, count: int) -> list[Metre]:
    share = (inside[1] - inside[0]) / (count - 1)
    return [inside[0] + share * number for number in range(count)]


def _margin(
    carried: Carried, fixing: Fixing, rules: FixingRules, *, seats: Seats, tube: Tube, share: Fraction
) -> Metre:
    """What a band or strap has to spare in length and to the modules; less than 0 where it fails."""
    band, strap = fixing.band, fixing.strap
    plate = fixing.plate if fixing.kind is FixingKind.PLATE_ON_BANDS else None
    key = (tube.name, share, plate, band.thickness if band else 0.0, *_profile(carried))
    if key not in seats.paths:
        path = seat_path(section_at(tube, share), carried.placement(fixing, 1, 0.0))
        seats.paths[key] = (path.length, path.clearance)
    length, clearance = seats.paths[key]
    longest = band.longest if band else strap.longest if strap else 0.0
    shortest = band.shortest if band else 0.0
    return min(length - shortest, longest - length, clearance - rules.band_clearance + TOUCHING)


def _profile(carried: Carried) -> tuple[object, ...]:
    """All that a band's path around carrier and modules depends on."""
    shape, kind = shape_of(carried.carrier), carried.battery_module
    return (
        shape.foot_width, shape.foot_height, shape.band_height, shape.overhang_low, shape.overhang_inner,
        bool(shape.outline), kind.width, kind.height,
    )  # fmt: skip


def _ring_free(carried: Carried, tube: Tube, fixing: Fixing, inside: Interval, seats: Seats) -> Stretches:
    """Where nothing sits on the tube in the way of a ring around it."""
    width = fixing.band.width if fixing.band else fixing.strap.width if fixing.strap else 0.0
    thickness = fixing.band.thickness if fixing.band else 0.0
    key = ("ring", carried.face.name, width, thickness)
    if key in seats.seen:
        return seats.seen[key]
    side = half_width(tube) + thickness

    def free(section: Section) -> Stretches:
        lines = blocked_line(carried.way, (-section.depth - thickness, 0.0), (-side, side), keeps=False)
        return outside_of((low - width / 2, high + width / 2) for low, high in lines)

    def is_free(s: Metre) -> bool:
        return any(low <= s <= high for low, high in free(section_at(tube, s / carried.face.length)))

    if tube.start_section.depth == tube.end_section.depth:
        found = free(tube.start_section)
    else:
        found = where_true(is_free, _evenly(inside, RING_SAMPLES))
    seats.seen[key] = both((inside,), found)
    return seats.seen[key]
