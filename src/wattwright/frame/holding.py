"""Where a carrier is held: bosses through its slots, bands and straps on its seats; or why it cannot be."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, product

from wattwright.frame.clamp import BandPath, band_path, cross_section
from wattwright.frame.faces import blocked_on_face, in_plane, outline_in_plane
from wattwright.frame.outline import OutlinePart, shape_of
from wattwright.frame.placement import Face, Fixing, Placement, Reason, Refusal
from wattwright.frame.room import Room
from wattwright.frame.sections import half_width, section_at
from wattwright.frame.sliding import Interval, joined
from wattwright.frame.survey import Section
from wattwright.parts.accessories import Carrier
from wattwright.parts.carrier import CarrierShape
from wattwright.parts.fixing import FixingKind, FixingRules
from wattwright.units import Metre, mm_from_metres

ON_BOSSES = frozenset({FixingKind.BOSSES, FixingKind.PLATE_ON_BOSSES})
ON_PLATE = frozenset({FixingKind.PLATE_ON_BOSSES, FixingKind.PLATE_ON_BANDS})


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingPoint:
    """One place at which a carrier is held."""

    s: Metre
    """On the face, where it grips the frame."""
    carrier_s: Metre
    """On the face, where it grips the carrier: apart from ``s`` on a shifted plate."""
    boss: int | None
    """Index in ``Frame.bosses``; None for bands and straps."""
    path: BandPath | None
    """Of a band or strap; None for a boss."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Holding:
    """What holds a carrier, and what stands against it."""

    points: tuple[FixingPoint, ...]
    """By rising s; may be () where it cannot be held."""
    refusals: tuple[Refusal, ...]


def raised_by(fixing: Fixing) -> Metre:
    """How far the fixing lifts the carrier off the surface."""
    return fixing.plate.thickness if fixing.plate is not None and fixing.kind in ON_PLATE else 0.0


def along_face(placement: Placement, u: Metre) -> Metre:
    """Place on the face of a place along the carrier."""
    length = shape_of(placement.carrier).length
    return placement.offset + (u if placement.dock_first else length - u)


def boss_offsets(
    face: Face, carrier: Carrier, *, dock_first: bool, step: Metre, rules: FixingRules
) -> tuple[Interval, ...]:
    """Offsets at which two bosses, far enough apart, stand in the carrier's slots.

    Args:
        face: With its bosses.
        carrier: With its slots.
        dock_first: Which way round it sits.
        step: Shift of the carrier by an offset plate. [m]
        rules: For the margin at the ends of a slot and the least spacing.

    Returns:
        Closed intervals of ``Placement.offset``, joined, by rising offset. [m]
    """
    shape = shape_of(carrier)
    found = []
    for one, other in combinations(face.bosses, 2):
        if other.s - one.s < rules.minimum_spacing - 1e-9:
            continue
        for first, second in product(_slots(shape, rules, dock_first=dock_first), repeat=2):
            low = max(one.s + step - first[1], other.s + step - second[1])
            high = min(one.s + step - first[0], other.s + step - second[0])
            if low <= high + 1e-9:
                found.append((low, max(low, high)))
    return joined(found)


def holding(room: Room, face: Face, placement: Placement, rules: FixingRules) -> Holding:
    """Where a placement is held, and every reason against that fixing.

    Args:
        room: Of the bicycle.
        face: The placement's face.
        placement: What is to be held.
        rules: Allowed and forbidden combinations, distances.

    Returns:
        All bosses in slots, or all seats a band or strap can take; fewer than two are refused.
    """
    refusals = list(_forbidden(room, face, placement, rules))
    if placement.fixing.kind in ON_BOSSES:
        points, more = _on_bosses(room, face, placement, rules)
    else:
        points, more = _on_seats(room, face, placement, rules)
    refusals += more
    if len(points) > 1:
        refusals += _too_close_or_overhanging(face, placement, points, rules)
    return Holding(points=points, refusals=tuple(refusals))


def thread_diameter(thread: str) -> Metre:
    """Nominal diameter of a metric thread.

    >>> thread_diameter("M5x0.8")
    0.005
    """
    found = re.fullmatch(r"M(\d+(?:\.\d+)?)(?:x[\d.]+)?", thread)
    if found is None:
        raise ValueError(f"{thread!r} is no metric thread")
    return float(found[1]) / 1000.0


def _slots(shape: CarrierShape, rules: FixingRules, *, dock_first: bool) -> tuple[Interval, ...]:
    """Slots as stretches from the end of the foot with the smaller s, margins taken off."""
    inner = [(slot.start + rules.slot_margin, slot.end - rules.slot_margin) for slot in shape.slots]
    turned = inner if dock_first else [(shape.length - end, shape.length - start) for start, end in inner]
    return tuple((start, end) for start, end in turned if start <= end)


def _forbidden(room: Room, face: Face, placement: Placement, rules: FixingRules) -> Iterator[Refusal]:
    material = room.frame.tube(face.tube).material
    for rule in rules.prohibitions:
        if rule.kind is placement.fixing.kind and rule.material is material:
            yield Refusal(
                reason=Reason.FORBIDDEN, where=face.tube, short_by=0.0, because=rule.because, spot=None
            )


def _on_bosses(
    room: Room, face: Face, placement: Placement, rules: FixingRules
) -> tuple[tuple[FixingPoint, ...], list[Refusal]]:
    fixing, shape = placement.fixing, shape_of(placement.carrier)
    step = fixing.step if fixing.kind is FixingKind.PLATE_ON_BOSSES else 0.0
    slots = _slots(shape, rules, dock_first=placement.dock_first)
    points = tuple(
        FixingPoint(s=boss.s, carrier_s=boss.s + step, boss=boss.index, path=None)
        for boss in face.bosses
        if any(low - 1e-9 <= boss.s + step - placement.offset <= high + 1e-9 for low, high in slots)
    )
    refusals = [*_wrong_step(face, placement), *_threads(room, face, placement, rules)]
    if len(points) < 2:
        refusals.append(_bosses_missed(face, placement, step, rules))
    return points, refusals


def _wrong_step(face: Face, placement: Placement) -> Iterator[Refusal]:
    fixing = placement.fixing
    if fixing.kind is not FixingKind.PLATE_ON_BOSSES or fixing.plate is None:
        return
    nearest = min(fixing.plate.steps, key=lambda step: abs(step - fixing.step))
    if abs(nearest - fixing.step) > 1e-9:
        yield Refusal(
            reason=Reason.PLATE,
            where=face.name,
            short_by=abs(nearest - fixing.step),
            because=f"Plate {fixing.plate.name} has no step of {mm_from_metres(fixing.step):.1f} mm; "
            f"the nearest is {mm_from_metres(nearest):.1f} mm.",
        )


def _threads(room: Room, face: Face, placement: Placement, rules: FixingRules) -> Iterator[Refusal]:
    screw = placement.fixing.screw
    if screw is None:
        return
    under_head = raised_by(placement.fixing) or shape_of(placement.carrier).web
    wanted = rules.engagement * thread_diameter(screw.thread)
    for boss in (room.frame.bosses[seen.index] for seen in face.bosses):
        if boss.thread != screw.thread:
            yield _thread(face, f"The boss takes {boss.thread}, the screw is {screw.thread}.", 0.0)
            return
        caught = min(screw.length - under_head, boss.depth)
        if caught < wanted - 1e-9:
            has = mm_from_metres(max(0.0, caught))
            text = (
                f"A {mm_from_metres(screw.length):.0f} mm screw catches {has:.1f} mm of thread; "
                f"{mm_from_metres(wanted):.1f} mm are wanted."
            )
            yield _thread(face, text, wanted - caught)
            return


def _thread(face: Face, because: str, short_by: Metre) -> Refusal:
    return Refusal(reason=Reason.THREAD, where=face.name, short_by=short_by, because=because)


def _bosses_missed(face: Face, placement: Placement, step: Metre, rules: FixingRules) -> Refusal:
    """Fewer than two bosses in slots: how far the carrier would have to slide for two."""
    ways = boss_offsets(face, placement.carrier, dock_first=placement.dock_first, step=step, rules=rules)
    if len(face.bosses) < 2:
        text, short_by = f"There are {len(face.bosses)} bosses {face.name}; two are needed.", 0.0
    elif not ways:
        text, short_by = "At no place do two bosses meet the slots of this carrier.", 0.0
    else:
        short_by = min(max(low - placement.offset, placement.offset - high, 0.0) for low, high in ways)
        text = f"Two bosses meet the slots {mm_from_metres(short_by):.1f} mm from here."
    return Refusal(reason=Reason.BOSSES, where=face.name, short_by=short_by, because=text)


def _on_seats(
    room: Room, face: Face, placement: Placement, rules: FixingRules
) -> tuple[tuple[FixingPoint, ...], list[Refusal]]:
    shape = shape_of(placement.carrier)
    points, against = [], []
    for s in sorted(along_face(placement, u) for u in shape.seats):
        path, refusal = _at_seat(room, face, placement, rules, s)
        if refusal is None:
            points.append(FixingPoint(s=s, carrier_s=s, boss=None, path=path))
        else:
            against.append(refusal)
    if len(points) > 1:
        return tuple(points), []
    if not against:
        because = f"The carrier has {len(shape.seats)} seats for bands; two are needed."
        against = [Refusal(reason=Reason.SPACING, where=face.name, short_by=0.0, because=because)]
    return tuple(points), against


def _at_seat(
    room: Room, face: Face, placement: Placement, rules: FixingRules, s: Metre
) -> tuple[BandPath | None, Refusal | None]:
    """The path of a band or strap at s, or what stands against it."""
    width = _band_width(placement.fixing)
    outside = max(width / 2 - s, s + width / 2 - face.length)
    name = seat_name(face, s)
    if outside > 0:
        because = f"The {name} would lie {mm_from_metres(outside):.1f} mm beyond the tube."
        return None, _seat_refusal(Reason.BAND_BLOCKED, s, face, outside, because)
    tube = room.frame.tube(face.tube)
    section = section_at(tube, s / face.length)
    if (blocked := _ring_blocked(room, face, section, s, placement.fixing)) is not None:
        return None, blocked
    path = seat_path(section, placement)
    if (refusal := _band_unfit(placement, rules, path)) is not None:
        return None, replace(refusal, where=name, spot=in_plane(face, (s, 0.0)))
    return path, None


def seat_path(section: Section, placement: Placement) -> BandPath:
    """The path of the placement's band or strap around a tube section, under its modules."""
    fixing = placement.fixing
    plate = fixing.plate if fixing.kind is FixingKind.PLATE_ON_BANDS else None
    over = placement.battery_module if placement.modules else None
    cut = cross_section(section, shape_of(placement.carrier), over, plate)
    return band_path(cut, fixing.band.thickness if fixing.band else 0.0)


def _band_width(fixing: Fixing) -> Metre:
    if fixing.band is not None:
        return fixing.band.width
    return fixing.strap.width if fixing.strap is not None else 0.0


def _ring_blocked(room: Room, face: Face, section: Section, s: Metre, fixing: Fixing) -> Refusal | None:
    """Whether something sits on the tube where the band goes round it."""
    thickness = fixing.band.thickness if fixing.band else 0.0
    half, low = _band_width(fixing) / 2, -section.depth - thickness
    box = outline_in_plane(face, ((-half, low), (half, low), (half, 0.0), (-half, 0.0)))
    side = half_width(room.frame.tube(face.tube)) + thickness
    ring = OutlinePart(name="band", outline=box, low=-side, high=side)
    for keepout in room.keepouts:
        bare = replace(keepout, clearance=0.0)
        for start, end in blocked_on_face(face, ring, [bare]):
            if start + 1e-9 < s < end - 1e-9:
                short_by = min(s - start, end - s)
                because = f"The {keepout.name} is in the way of the {seat_name(face, s)}."
                return _seat_refusal(Reason.BAND_BLOCKED, s, face, short_by, because)
    return None


def _seat_refusal(reason: Reason, s: Metre, face: Face, short_by: Metre, because: str) -> Refusal:
    return Refusal(
        reason=reason,
        where=seat_name(face, s),
        short_by=short_by,
        because=because,
        spot=in_plane(face, (s, 0.0)),
    )


def seat_name(face: Face, s: Metre) -> str:
    """What a band at s is called."""
    return f"band at {mm_from_metres(s):.0f} mm {face.name}"


def _band_unfit(placement: Placement, rules: FixingRules, path: BandPath) -> Refusal | None:
    band, strap = placement.fixing.band, placement.fixing.strap
    shortest = band.shortest if band else 0.0
    longest = band.longest if band else strap.longest if strap else 0.0
    wrong = max(shortest - path.length, path.length - longest)
    if wrong > 0:
        because = (
            f"Around tube and carrier it is {mm_from_metres(path.length):.0f} mm; this one takes "
            f"{mm_from_metres(shortest):.0f} to {mm_from_metres(longest):.0f} mm."
        )
        return Refusal(reason=Reason.BAND_LENGTH, where="", short_by=wrong, because=because)
    if path.clearance < rules.band_clearance - 1e-9:
        because = (
            f"The band leaves {mm_from_metres(path.clearance):.1f} mm to the module's flank; "
            f"{mm_from_metres(rules.band_clearance):.1f} mm are wanted. A plate between raises the module."
        )
        short = rules.band_clearance - path.clearance
        return Refusal(reason=Reason.BAND_FOULS, where="", short_by=short, because=because)
    return None


def _too_close_or_overhanging(
    face: Face, placement: Placement, points: tuple[FixingPoint, ...], rules: FixingRules
) -> Iterator[Refusal]:
    first, last = points[0].carrier_s, points[-1].carrier_s
    if last - first < rules.minimum_spacing - 1e-9:
        because = (
            f"The outermost fixings stand {mm_from_metres(last - first):.0f} mm apart; "
            f"{mm_from_metres(rules.minimum_spacing):.0f} mm are wanted."
        )
        short = rules.minimum_spacing - (last - first)
        yield Refusal(reason=Reason.SPACING, where=face.name, short_by=short, because=because)
    length = shape_of(placement.carrier).length
    beyond = max(first - placement.offset, placement.offset + length - last)
    most = rules.largest_overhang * length
    if beyond > most + 1e-9:
        because = (
            f"{mm_from_metres(beyond):.0f} mm of the carrier stand beyond its last fixing; "
            f"{mm_from_metres(most):.0f} mm are allowed."
        )
        yield Refusal(reason=Reason.OVERHANG, where=face.name, short_by=beyond - most, because=because)
