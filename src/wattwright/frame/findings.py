"""The judge: every reason why a placement cannot be, each with the millimetres by which it fails."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from wattwright.frame.faces import in_plane, outline_in_plane
from wattwright.frame.holding import FixingPoint, Holding, holding, raised_by
from wattwright.frame.keepouts import stands_beside
from wattwright.frame.outline import OutlinePart, StackOutline, module_row, shape_of, stack_outline
from wattwright.frame.placement import Face, Keepout, Placement, Reason, Refusal
from wattwright.frame.plane import Outline, gap
from wattwright.frame.room import Room
from wattwright.frame.survey import ClearanceKind, Point
from wattwright.parts.fixing import FixingKind, FixingRules
from wattwright.units import Metre, mm_from_metres

TOUCHING = 1e-9
"""[m] Less than this is no shortage."""


def placement_findings(room: Room, placement: Placement, rules: FixingRules) -> tuple[Refusal, ...]:
    """Every reason why a placement cannot be; none where it can.

    Args:
        room: Of the bicycle.
        placement: A carrier (with its shape) and n modules on a face, with their fixing.
        rules: Allowed and forbidden combinations, distances.

    Returns:
        Refusals: of the stack on its carrier, of the face, of room, of the way off, of the fixing.

    Raises:
        InputError: If the frame has no face of that name.

    Notes:
        Distances are exact (straight outlines against discs, rounded lines and outlines). A part is apart
        from a keepout if it keeps the clearance in the side plane or across the bicycle.
    """
    face = room.face(placement.face)
    held = holding(room, face, placement, rules)
    outline = _in_plane(face, placement, held)
    return (
        *_on_carrier(placement),
        *_on_face(face, placement, held),
        *_overlaps(room.keepouts, face.tube, outline),
        *_ways_off(room.keepouts, face.tube, outline),
        *held.refusals,
    )


def arrangement_findings(
    room: Room, placements: Sequence[Placement], rules: FixingRules
) -> tuple[Refusal, ...]:
    """Every reason why several stacks cannot be together: each alone, and each two with each other.

    Each stack must come off while the others stay on.
    """
    alone = [refusal for placement in placements for refusal in placement_findings(room, placement, rules)]
    outlines = [placed_outline(room, placement, rules) for placement in placements]
    spare = room.frame.clearances.get(ClearanceKind.STACK, 0.0)
    together = [
        refusal
        for (one, first), (other, second) in combinations(zip(placements, outlines, strict=True), 2)
        for refusal in _between(f"{other.carrier.title} {other.face}", first, second, spare)
        or _between(f"{one.carrier.title} {one.face}", second, first, spare)
    ]
    return (*alone, *together)


def placed_outline(room: Room, placement: Placement, rules: FixingRules) -> StackOutline:
    """A placement's outline and ways off in the side plane, with its plate where it has one. [m].

    Raises:
        InputError: If the frame has no face of that name.
    """
    face = room.face(placement.face)
    return _in_plane(face, placement, holding(room, face, placement, rules))


def _in_plane(face: Face, placement: Placement, held: Holding) -> StackOutline:
    bare = stack_outline(placement.carrier, placement.battery_module, placement.modules)
    parts = [_moved(face, placement, part) for part in bare.parts]
    plate = _plate(face, placement, held.points)
    return StackOutline(
        parts=(*parts, *((plate,) if plate else ())),
        release=tuple(_moved(face, placement, part) for part in bare.release),
    )


def _moved(face: Face, placement: Placement, part: OutlinePart) -> OutlinePart:
    """A part from carrier coordinates to the side plane."""
    raised, length = raised_by(placement.fixing), shape_of(placement.carrier).length
    on_face = [
        (placement.offset + (u if placement.dock_first else length - u), h + raised) for u, h in part.outline
    ]
    return replace(part, outline=tuple(in_plane(face, point) for point in on_face))


def plate_stretch(placement: Placement, points: Sequence[FixingPoint]) -> tuple[Metre, Metre] | None:
    """Where the placement's plate begins and ends on the face; None without a plate or holes for it."""
    plate = placement.fixing.plate
    kinds = (FixingKind.PLATE_ON_BOSSES, FixingKind.PLATE_ON_BANDS)
    if plate is None or placement.fixing.kind not in kinds or not points:
        return None
    holes = [place for point in points for place in (point.s, point.carrier_s)]
    return min(holes) - plate.edge_distance, max(holes) + plate.edge_distance


def _plate(face: Face, placement: Placement, points: Sequence[FixingPoint]) -> OutlinePart | None:
    stretch, plate = plate_stretch(placement, points), placement.fixing.plate
    if stretch is None or plate is None:
        return None
    (start, end), top = stretch, plate.thickness
    box = ((start, 0.0), (end, 0.0), (end, top), (start, top))
    half = plate.width / 2
    return OutlinePart(name="plate", outline=outline_in_plane(face, box), low=-half, high=half)


def _on_carrier(placement: Placement) -> Iterator[Refusal]:
    carrier, kind = placement.carrier, placement.battery_module
    shape = shape_of(carrier)
    if kind.name not in carrier.modules_fitting:
        because = f"{carrier.title} does not take {kind.title}."
        yield Refusal(reason=Reason.MODULE_KIND, where=carrier.name, short_by=0.0, because=because)
    if placement.modules > carrier.maximum_modules:
        because = f"{carrier.title} takes {carrier.maximum_modules} modules, not {placement.modules}."
        yield Refusal(reason=Reason.TOO_MANY_MODULES, where=carrier.name, short_by=0.0, because=because)
    if shape.outline:
        yield from _in_bag(placement)
        return
    wanted = carrier.base_length + placement.modules * kind.pitch
    if wanted > shape.length + TOUCHING:
        because = (
            f"{placement.modules} modules make a stack of {mm_from_metres(wanted):.0f} mm; "
            f"the carrier is {mm_from_metres(shape.length):.0f} mm long."
        )
        short = wanted - shape.length
        yield Refusal(reason=Reason.LONGER_THAN_CARRIER, where=carrier.name, short_by=short, because=because)


def _in_bag(placement: Placement) -> Iterator[Refusal]:
    """Whether the row of modules lies inside the bag."""
    if not placement.modules:
        return
    shape, kind = shape_of(placement.carrier), placement.battery_module
    along = module_row(placement.carrier, kind, placement.modules)
    upward = (shape.foot_height, shape.foot_height + kind.height)
    short = max(_outside(along, upward, shape.outline), kind.width - shape.thickness)
    if short > TOUCHING:
        because = f"{placement.modules} modules stand {mm_from_metres(short):.0f} mm out of the bag."
        yield Refusal(
            reason=Reason.OUTSIDE_BAG, where=placement.carrier.name, short_by=short, because=because
        )


def _outside(along: tuple[Metre, Metre], upward: tuple[Metre, Metre], outline: Outline) -> Metre:
    """How far a row of modules stands out of a bag's outline, or the outline into the row."""
    from shapely import Point as Dot  # noqa: PLC0415 (start-up)
    from shapely import Polygon, box  # noqa: PLC0415

    row, bag = box(along[0], upward[0], along[1], upward[1]), Polygon(outline)
    out = [float(bag.distance(Dot(u, h))) for u in along for h in upward]
    dents = [float(row.boundary.distance(Dot(*corner))) for corner in outline if row.contains(Dot(*corner))]
    return max(*out, *dents)


def _on_face(face: Face, placement: Placement, held: Holding) -> Iterator[Refusal]:
    stretches = [("carrier", placement.offset, placement.offset + shape_of(placement.carrier).length)]
    if (plate := plate_stretch(placement, held.points)) is not None:
        stretches.append(("plate", *plate))
    for name, start, end in stretches:
        beyond = max(-start, end - face.length)
        if beyond > TOUCHING:
            because = (
                f"The {name} stands {mm_from_metres(beyond):.1f} mm over the end; "
                f"{face.name} it is {mm_from_metres(face.length):.0f} mm."
            )
            yield Refusal(reason=Reason.OFF_THE_FACE, where=face.name, short_by=beyond, because=because)


def _overlaps(keepouts: Sequence[Keepout], own_tube: str, outline: StackOutline) -> Iterator[Refusal]:
    for keepout in keepouts:
        worst = max(
            ((_shortage(part, keepout, own_tube), part) for part in outline.parts),
            key=lambda found: found[0],
            default=None,
        )
        if worst is not None and worst[0] > TOUCHING:
            yield _met(Reason.OVERLAP, keepout, worst[0], worst[1])


def _ways_off(keepouts: Sequence[Keepout], own_tube: str, outline: StackOutline) -> Iterator[Refusal]:
    """Refused where every way off is blocked: what blocks the least blocked one."""
    least: list[tuple[Metre, Keepout, OutlinePart]] = []
    for way in outline.release:
        met = [
            (short, keepout, way)
            for keepout in keepouts
            if (short := _shortage(way, replace(keepout, clearance=0.0), own_tube)) > TOUCHING
        ]
        if not met:
            return
        least.append(max(met, key=lambda found: found[0]))
    if least:
        short, keepout, way = min(least, key=lambda found: found[0])
        yield _met(Reason.RELEASE, keepout, short, way)


def _met(reason: Reason, keepout: Keepout, short: Metre, part: OutlinePart) -> Refusal:
    figure = f"{mm_from_metres(short):.1f} mm"
    because = (
        f"{figure} are wanting between the {part.name} and the {keepout.name}."
        if reason is Reason.OVERLAP
        else f"The {keepout.name} is {figure} in the way of taking the stack off."
    )
    return Refusal(
        reason=reason, where=keepout.name, short_by=short, because=because, spot=_middle(part.outline)
    )


def _shortage(part: OutlinePart, keepout: Keepout, own_tube: str) -> Metre:
    """How much the part would have to move away from the keepout, in the side plane; 0 or less: free."""
    if keepout.name == own_tube or stands_beside(part, keepout) or _boxes_apart(part.outline, keepout):
        return 0.0
    return keepout.clearance - gap(part.outline, keepout.core, keepout.radius)


def _boxes_apart(outline: Outline, keepout: Keepout) -> bool:
    grown = keepout.radius + keepout.clearance
    return any(
        min(point[axis] for point in outline) - grown > max(point[axis] for point in keepout.core)
        or max(point[axis] for point in outline) + grown < min(point[axis] for point in keepout.core)
        for axis in (0, 1)
    )


def _between(name: str, outline: StackOutline, other: StackOutline, spare: Metre) -> list[Refusal]:
    """A stack against another that stays where it is."""
    fixed = [
        Keepout(
            name=name,
            kind=ClearanceKind.STACK,
            core=part.outline,
            radius=0.0,
            low=part.low,
            high=part.high,
            clearance=spare,
        )
        for part in other.parts
    ]
    found = [*_overlaps(fixed, "", outline), *_ways_off(fixed, "", outline)]
    worst = max(found, key=lambda refusal: refusal.short_by, default=None)
    return [] if worst is None else [replace(worst, reason=Reason.STACKS)]


def _middle(outline: Outline) -> Point:
    return sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
