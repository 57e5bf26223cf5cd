"""Stacks in side view: chosen ones inked and numbered, ghosts dashed, refused ones framed and hatched."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from wattwright.documents.bicycle_drawing_view import BicycleView, Plane
from wattwright.documents.drawing import Mark, Pen, Point, circle, lettering, line, polygon
from wattwright.documents.lettering import SMALLEST, Face, text_width
from wattwright.documents.palette import Palette
from wattwright.documents.turned import hatched, hatched_outline
from wattwright.frame.faces import in_plane, outline_in_plane
from wattwright.frame.findings import placed_outline
from wattwright.frame.holding import Holding, along_face, holding, raised_by
from wattwright.frame.outline import OutlinePart, module_row, shape_of
from wattwright.frame.placement import Face as TubeFace
from wattwright.frame.placement import Placement
from wattwright.frame.plane import Outline
from wattwright.frame.sections import section_at
from wattwright.parts.fixing import FixingKind
from wattwright.units import Metre

MODULE_GAP: Final = 0.0008
"""[m] Drawn between modules."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedStack:
    """A placement with its face, what holds it, and its outlines in the side plane."""

    placement: Placement
    face: TubeFace
    held: Holding
    parts: tuple[OutlinePart, ...]
    release: tuple[OutlinePart, ...]

    @property
    def height(self) -> Metre:
        """Of the whole over the surface it sits on."""
        shape, kind = shape_of(self.placement.carrier), self.placement.battery_module
        tops = [h for _, h in shape.outline] or [
            shape.foot_height + kind.height * bool(self.placement.modules)
        ]
        return raised_by(self.placement.fixing) + max(*tops, shape.dock_height)


def placed_stack(view: BicycleView, placement: Placement) -> PlacedStack:
    """A placement worked out on the view's bicycle.

    Raises:
        InputError: If the bicycle has no face of that name.
    """
    face = view.room.face(placement.face)
    outline = placed_outline(view.room, placement, view.rules)
    return PlacedStack(
        placement=placement,
        face=face,
        held=holding(view.room, face, placement, view.rules),
        parts=outline.parts,
        release=outline.release,
    )


def module_outlines(placement: Placement) -> tuple[Outline, ...]:
    """Each module as it lies on the face, in (s, h), the one beside the dock first. [m]."""
    kind, shape = placement.battery_module, shape_of(placement.carrier)
    start, low = module_row(placement.carrier, kind, placement.modules)[0], raised_by(placement.fixing)
    foot, top = low + shape.foot_height, low + shape.foot_height + kind.height
    if not shape.outline:
        foot = low + min(shape.overhang_low, shape.foot_height)
    return tuple(
        tuple(
            (along_face(placement, u), h)
            for u, h in (
                (start + n * kind.pitch + MODULE_GAP, foot),
                (start + (n + 1) * kind.pitch - MODULE_GAP, foot),
                (start + (n + 1) * kind.pitch - MODULE_GAP, top), (start + n * kind.pitch + MODULE_GAP, top),
            )
        )
        for n in range(placement.modules)
    )  # fmt: skip


def chosen(stack: PlacedStack, view: BicycleView, plane: Plane, palette: Palette) -> tuple[Mark, ...]:
    """Carrier, modules and fixing of a stack that is meant to be there; hatched: room to take it off."""
    open_pen = Pen(stroke=palette.ink, width=1.25, fill=palette.sheet)
    plate_pen = Pen(stroke=palette.ink, width=1.25, fill=palette.line)
    marks: list[Mark] = []
    for way in stack.release[:1]:
        marks += _way_off(way, stack, plane, palette)
    for part in stack.parts:
        if part.name != "modules":
            marks.append(polygon(plane.all(part.outline), plate_pen if part.name == "plate" else open_pen))
    in_bag = bool(shape_of(stack.placement.carrier).outline)
    for number, outline in enumerate(module_outlines(stack.placement), start=1):
        marks += _module(number, outline_in_plane(stack.face, outline), plane, palette, in_bag=in_bag)
    return (*marks, *fixings(stack, view, plane, palette))


def _way_off(way: OutlinePart, stack: PlacedStack, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """The room that must stay free, without what the stack itself fills."""
    from shapely import Polygon, get_coordinates, get_parts, union_all  # noqa: PLC0415 (start-up)

    filled = union_all([Polygon(part.outline).buffer(1e-6) for part in stack.parts])
    for piece in get_parts(Polygon(way.outline).difference(filled)):
        if piece.area > 1e-5:
            outline = plane.all([(float(x), float(y)) for x, y in get_coordinates(piece.exterior)[:-1]])
            border = Pen(stroke=palette.line, width=1.0, dash=(3.0, 3.0))
            yield from hatched_outline(outline, border, Pen(stroke=palette.line), leans_right=False)


def _module(number: int, outline: Outline, plane: Plane, palette: Palette, *, in_bag: bool) -> Iterator[Mark]:
    drawn = plane.all(outline)
    fill, ink = (palette.steel, palette.ink) if in_bag else (palette.ink, palette.sheet)
    yield polygon(drawn, Pen(stroke=palette.ink, width=1.0, fill=fill))
    narrow = min(_length(drawn[0], drawn[1]), _length(drawn[1], drawn[2]))
    if narrow > text_width(str(number), SMALLEST, Face.FIGURES) + 1.0:
        x, y = (sum(point[axis] for point in drawn) / 4 for axis in (0, 1))
        yield lettering(str(number), (x, y + 4.5), ink, face=Face.FIGURES, anchor="middle")


def _length(start: Point, end: Point) -> float:
    return float(((start[0] - end[0]) ** 2 + (start[1] - end[1]) ** 2) ** 0.5)


def fixings(stack: PlacedStack, view: BicycleView, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """Bands and straps around tube and carrier; screws as a line through the foot."""
    placement, face = stack.placement, stack.face
    fixing, shape = placement.fixing, shape_of(placement.carrier)
    width = fixing.band.width if fixing.band else fixing.strap.width if fixing.strap else 0.0
    on_plate = fixing.kind is FixingKind.PLATE_ON_BANDS and fixing.plate is not None
    top = raised_by(fixing) if on_plate else shape.band_height
    for point in stack.held.points:
        if point.boss is None:
            depth = section_at(view.room.frame.tube(face.tube), point.s / face.length).depth
            low, half = -depth - 0.001, width / 2
            box = ((point.s - half, low), (point.s + half, low), (point.s + half, top), (point.s - half, top))
            pen = Pen(stroke=palette.ink, width=1.0, fill=palette.soft)
            yield polygon(plane.all(outline_in_plane(face, box)), pen)
        else:
            for s, low in ((point.s, -0.004), (point.carrier_s, raised_by(fixing) - 0.002)):
                ends = [plane.at(in_plane(face, (s, h))) for h in (low, low + 0.004 + shape.foot_height)]
                yield line(ends[0], ends[1], Pen(stroke=palette.accent, width=1.75))


def ghost(stack: PlacedStack, plane: Plane, palette: Palette) -> tuple[Mark, ...]:
    """What would also fit, dashed."""
    pen = Pen(stroke=palette.soft, width=1.25, dash=(4.0, 3.0))
    whole = [part.outline for part in stack.parts if part.name != "modules"]
    modules = [outline_in_plane(stack.face, outline) for outline in module_outlines(stack.placement)]
    return tuple(polygon(plane.all(outline), pen) for outline in (*whole, *modules))


def refused(stack: PlacedStack, spot: Point | None, plane: Plane, palette: Palette) -> tuple[Mark, ...]:
    """What cannot be: framed and hatched in the colour of what decides; a ring where it fails."""
    border = Pen(stroke=palette.accent, width=palette.heavy * 0.6)
    marks = [polygon(plane.all(part.outline), border) for part in stack.parts]
    marks += [
        hatched(plane.all(part.outline), Pen(stroke=palette.accent))
        for part in stack.parts
        if part.name in {"modules", "bag", "foot"}
    ]
    if spot is not None:
        marks.append(circle(plane.at(spot), 7.0, Pen(stroke=palette.accent, width=palette.heavy)))
    return tuple(marks)
