"""What is marked out full size: a stack's outline, its carrier from above, its offset plate with holes."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from wattwright.documents.bicycle_drawing_stacks import PlacedStack, module_outlines
from wattwright.frame.findings import plate_stretch
from wattwright.frame.holding import along_face, raised_by, thread_diameter
from wattwright.frame.outline import shape_of, stack_outline
from wattwright.frame.plane import Outline
from wattwright.frame.sections import section_at
from wattwright.frame.survey import Frame
from wattwright.parts.fixing import FixingKind
from wattwright.units import Metre, mm_from_metres

CLEARANCE: Final = 1.1
"""Clearance hole over thread diameter: 5.5 mm for M5, medium series of ISO 273:1979. (memory)"""
CORE: Final = 0.84
"""Tapping drill over thread diameter: 4.2 mm for M5x0.8, diameter less pitch; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A round hole, on the middle line."""

    s: Metre
    """Along the face."""
    diameter: Metre
    purpose: str
    """"to frame", "to carrier", "to frame and carrier"."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """An offset plate, cut to length."""

    name: str
    start: Metre
    """s of its ends on the face."""
    end: Metre
    width: Metre
    thickness: Metre
    holes: tuple[Hole, ...]
    bands: tuple[Metre, ...]
    """s of bands around it."""
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FullSize:
    """One placement laid out on its face: s along, h or z across. [m]."""

    title: str
    tube: str
    tube_ends: tuple[Metre, Metre]
    """Of the face, s."""
    tube_widths: tuple[Metre, Metre]
    side: tuple[tuple[str, Outline], ...]
    """Named outlines in (s, h)."""
    plan: tuple[tuple[str, Outline], ...]
    """Foot and slots from above, in (s, z)."""
    bosses: tuple[Metre, ...]
    seats: tuple[Metre, ...]
    """Where bands or straps go round."""
    plate: Plate | None


def full_size(frame: Frame, stack: PlacedStack) -> FullSize:
    """A stack laid out for marking out. [m].

    Args:
        frame: It sits on.
        stack: With what holds it.

    Returns:
        Outlines in face coordinates: s from the start of the tube.
    """
    placement, face = stack.placement, stack.face
    tube, shape = frame.tube(face.tube), shape_of(placement.carrier)
    raised = raised_by(placement.fixing)
    bare = stack_outline(placement.carrier, placement.battery_module, placement.modules)
    side = [
        (part.name, tuple((along_face(placement, u), h + raised) for u, h in part.outline))
        for part in bare.parts
        if part.name != "modules"
    ]
    side += [(f"{n}", outline) for n, outline in enumerate(module_outlines(placement), start=1)]
    half, end = shape.foot_width / 2, placement.offset + shape.length
    plan = [("foot", _box(placement.offset, end, half))]
    for slot in shape.slots:
        ends = sorted((along_face(placement, slot.start), along_face(placement, slot.end)))
        plan.append(("slot", _box(ends[0], ends[1], _slot_half(frame))))
    return FullSize(
        title=f"{placement.modules} modules {face.name}, {placement.carrier.title}",
        tube=face.tube,
        tube_ends=(0.0, face.length),
        tube_widths=(section_at(tube, 0.0).width, section_at(tube, 1.0).width),
        side=tuple(side),
        plan=tuple(plan),
        bosses=tuple(boss.s for boss in face.bosses),
        seats=tuple(point.s for point in stack.held.points if point.boss is None),
        plate=plate_of(stack),
    )


def plate_of(stack: PlacedStack) -> Plate | None:
    """The placement's offset plate with its holes; None where it has none. [m]."""
    placement, points = stack.placement, stack.held.points
    stretch, plate = plate_stretch(placement, points), placement.fixing.plate
    if stretch is None or plate is None:
        return None
    on_bosses = placement.fixing.kind is FixingKind.PLATE_ON_BOSSES
    thread = placement.fixing.screw.thread if placement.fixing.screw else "M5x0.8"
    holes = _boss_holes(stack, thread) if on_bosses else _slot_holes(stack, thread)
    return Plate(
        name=plate.title,
        start=stretch[0],
        end=stretch[1],
        width=plate.width,
        thickness=plate.thickness,
        holes=holes,
        bands=tuple(point.s for point in points if point.boss is None),
        warnings=_warnings(holes),
    )


def _boss_holes(stack: PlacedStack, thread: str) -> tuple[Hole, ...]:
    diameter = thread_diameter(thread)
    holes = []
    for point in stack.held.points:
        if abs(point.carrier_s - point.s) < 1e-6:
            holes.append(Hole(s=point.s, diameter=CLEARANCE * diameter, purpose="to frame and carrier"))
        else:
            holes.append(Hole(s=point.s, diameter=CLEARANCE * diameter, purpose="to frame"))
            holes.append(Hole(s=point.carrier_s, diameter=CORE * diameter, purpose="to carrier"))
    return tuple(sorted(holes, key=lambda hole: hole.s))


def _slot_holes(stack: PlacedStack, thread: str) -> tuple[Hole, ...]:
    """In the middle of the carrier's first and last slot: bands hold the plate, screws the carrier on it."""
    slots = shape_of(stack.placement.carrier).slots
    middles = sorted(along_face(stack.placement, (slot.start + slot.end) / 2) for slot in slots)
    return tuple(
        Hole(s=s, diameter=CORE * thread_diameter(thread), purpose="to carrier")
        for s in dict.fromkeys((*middles[:1], *middles[-1:]))
    )


def _warnings(holes: tuple[Hole, ...]) -> tuple[str, ...]:
    """Holes that run into each other, or leave less than half a diameter of metal between them."""
    found = []
    for one, other in pairwise(holes):
        bridge = other.s - one.s - (one.diameter + other.diameter) / 2
        if bridge < max(one.diameter, other.diameter) / 2:
            found.append(
                f"Holes at {mm_from_metres(one.s):.1f} and {mm_from_metres(other.s):.1f} mm leave "
                f"{mm_from_metres(bridge):.1f} mm between them: choose a larger step, or none."
            )
    return tuple(found)


def _box(start: Metre, end: Metre, half: Metre) -> Outline:
    return (start, -half), (end, -half), (end, half), (start, half)


def _slot_half(frame: Frame) -> Metre:
    """Half a slot's width: for the widest thread on the frame (a carrier's drawing states no width)."""
    widest = max((thread_diameter(boss.thread) for boss in frame.bosses), default=0.005)
    return CLEARANCE * widest / 2
