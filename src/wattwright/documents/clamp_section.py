"""Cross-sections where a carrier is held, to scale: tube, foot, modules, band, the gap that decides."""

import math
from collections.abc import Iterator
from typing import Final

from wattwright.documents.bicycle_drawing_stacks import PlacedStack, placed_stack
from wattwright.documents.bicycle_drawing_view import BicycleView, Plane
from wattwright.documents.drawing import (
    Drawing,
    Mark,
    Pen,
    Point,
    dimension,
    lettering,
    line,
    polygon,
    render,
)
from wattwright.documents.lettering import SMALLEST, Face, wrapped
from wattwright.documents.palette import LIGHT, Palette
from wattwright.documents.turned import around, hatched
from wattwright.frame.clamp import CrossSection, cross_section
from wattwright.frame.holding import FixingPoint, raised_by
from wattwright.frame.outline import shape_of
from wattwright.frame.plane import Outline
from wattwright.frame.sections import section_at, section_outline
from wattwright.frame.survey import Section
from wattwright.parts.fixing import FixingKind
from wattwright.units import Metre, mm_from_metres

MARGIN: Final = 12.0
ROW: Final = 17.0
STEP: Final = 24.0
TALLEST: Final = 330.0
"""[px] Of the section itself."""


def clamp_drawings(view: BicycleView, *, palette: Palette = LIGHT, width: float = 400.0) -> tuple[str, ...]:
    """The sections as SVG texts; see ``clamp_pictures``."""
    pictures = clamp_pictures(view, palette=palette, width=width)
    return tuple(render(picture, ground=palette.sheet) for picture in pictures)


def clamp_pictures(
    view: BicycleView, *, palette: Palette = LIGHT, width: float = 400.0
) -> tuple[Drawing, ...]:
    """One section for each place at which a chosen stack is held, by stack and rising s.

    Looking along the tube; h away from the tube is up. At a boss there is no band: the screw's axis is drawn.
    """
    return tuple(
        _picture(view, stack, point, palette, width)
        for stack in (placed_stack(view, placement) for placement in view.placements)
        for point in stack.held.points
    )


def _picture(
    view: BicycleView, stack: PlacedStack, point: FixingPoint, palette: Palette, width: float
) -> Drawing:
    tube = section_at(view.room.frame.tube(stack.face.tube), point.s / stack.face.length)
    cut = _cut(stack, tube)
    foot = _foot(stack)
    left, low, right, high = _extent(tube, cut, foot)
    title = wrapped(_title(stack, point), width, SMALLEST, Face.TEXT_BOLD)
    above = ROW * len(title) + 8.0
    scale = min((width - 2 * MARGIN) / (right - left), TALLEST / (high - low))
    plane = Plane(per_metre=scale, left=(left + right) / 2 - width / 2 / scale, top=high + above / scale)
    marks = [
        lettering(row, (0.0, ROW * (number + 0.8)), palette.ink, face=Face.TEXT_BOLD)
        for number, row in enumerate(title)
    ]
    marks += _body(tube, cut, foot, plane, palette)
    if point.path is not None:
        marks += _band(stack, cut, point, plane, palette)
    else:
        marks += _screw(tube, stack, plane, palette)
    base = plane.at((0.0, low))[1]
    module = max((z for outline in cut.overhang for z, _ in outline), default=0.0)
    spans = (("tube", tube.width / 2), ("foot", foot[1][0]), ("module", module))
    marks += _dimensions(spans, plane, palette, base=base, width=width)
    words = tuple(_words(view, stack, point, tube))
    rows = [
        (row, decides)
        for text, decides in words
        for row in wrapped(text, width, SMALLEST, _weight(decides=decides))
    ]
    start = base + 3 * STEP + 20.0
    marks += [
        lettering(
            row,
            (0.0, start + ROW * number),
            palette.accent if decides else palette.ink,
            face=_weight(decides=decides),
        )
        for number, (row, decides) in enumerate(rows)
    ]
    return Drawing(
        title=f"Section: {_title(stack, point)}",
        description=" ".join(text for text, _ in words),
        width=width,
        height=start + ROW * len(rows),
        marks=tuple(marks),
    )


def _weight(*, decides: bool) -> Face:
    return Face.TEXT_BOLD if decides else Face.TEXT


def _title(stack: PlacedStack, point: FixingPoint) -> str:
    what = "Boss" if point.boss is not None else "Band" if stack.placement.fixing.band else "Strap"
    return f"{what} at {mm_from_metres(point.s):.0f} mm {stack.face.name}"


def _cut(stack: PlacedStack, tube: Section) -> CrossSection:
    fixing, placement = stack.placement.fixing, stack.placement
    over = placement.battery_module if placement.modules else None
    return cross_section(tube, shape_of(placement.carrier), over, fixing.plate if raised_by(fixing) else None)


def _foot(stack: PlacedStack) -> Outline:
    """The carrier's foot, on the plate where there is one, in (z, h)."""
    shape, low = shape_of(stack.placement.carrier), raised_by(stack.placement.fixing)
    half, top = shape.foot_width / 2, low + shape.foot_height
    return (-half, low), (half, low), (half, top), (-half, top)


def _around(tube: Section) -> Outline:
    """The tube's skin in (z, h), its top at h = 0."""
    around_axis = section_outline(tube)
    order = sorted(around_axis.tolist(), key=lambda corner: math.atan2(corner[1], corner[0]))
    return tuple((float(z), float(y) - tube.depth / 2) for z, y in order)


def _extent(tube: Section, cut: CrossSection, foot: Outline) -> tuple[Metre, Metre, Metre, Metre]:
    """Left, low, right, high of the section, the modules cut off above the foot where they are tall."""
    most = 0.045 + max(h for _, h in foot)
    points = [*_around(tube), *foot, *cut.base, *(corner for outline in cut.overhang for corner in outline)]
    box = around([(z, min(h, most)) for z, h in points])
    return box.left - 0.004, box.top - 0.004, box.right + 0.004, box.bottom + 0.002


def _body(tube: Section, cut: CrossSection, foot: Outline, plane: Plane, palette: Palette) -> Iterator[Mark]:
    ink = Pen(stroke=palette.ink, width=1.5, fill=palette.steel)
    high = plane.top - 8.0 / plane.per_metre
    yield polygon(plane.all(_around(tube)), ink)
    clipped = [
        [(z, min(h, 0.043 + max(top for _, top in foot), high)) for z, h in outline]
        for outline in cut.overhang
    ]
    for outline in clipped:
        drawn = plane.all(outline)
        yield polygon(drawn, Pen(stroke=palette.ink, width=1.25, fill=palette.sheet))
        yield hatched(drawn, Pen(stroke=palette.line), spacing=8.0)
    yield polygon(plane.all(foot), Pen(stroke=palette.ink, width=1.25, fill=palette.sheet))
    if cut.base != foot and max(h for _, h in cut.base) > 0:
        yield polygon(plane.all(cut.base), Pen(stroke=palette.ink, width=1.0, fill=palette.line))


def _band(
    stack: PlacedStack, cut: CrossSection, point: FixingPoint, plane: Plane, palette: Palette
) -> Iterator[Mark]:
    """The band by its two sides, and where it comes nearest to the module."""
    from shapely import Polygon, get_coordinates, shortest_line  # noqa: PLC0415 (start-up)

    path = point.path
    if path is None:
        return
    thickness = stack.placement.fixing.band.thickness if stack.placement.fixing.band else 0.0
    outer = Polygon(path.line).buffer(max(thickness, 1e-5), quad_segs=16)
    skin = [(float(z), float(h)) for z, h in get_coordinates(outer.exterior)[:-1]]
    yield polygon(plane.all(path.line), Pen(stroke=palette.accent, width=1.0))
    yield polygon(plane.all(skin), Pen(stroke=palette.accent, width=palette.heavy * 0.7))
    if cut.overhang:
        ways = [shortest_line(outer, Polygon(outline)) for outline in cut.overhang]
        nearest = min(ways, key=lambda way: way.length)
        start, end = ((float(z), float(h)) for z, h in nearest.coords)
        yield line(plane.at(start), plane.at(end), Pen(stroke=palette.accent, width=palette.heavy))


def _screw(tube: Section, stack: PlacedStack, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """The axis of the screw, dash and dot."""
    high = raised_by(stack.placement.fixing) + shape_of(stack.placement.carrier).foot_height + 0.006
    ends = plane.at((0.0, -tube.depth * 0.6)), plane.at((0.0, high))
    yield line(*ends, Pen(stroke=palette.accent, width=1.5, dash=(9.0, 3.0, 2.0, 3.0)))


def _dimensions(
    spans: tuple[tuple[str, Metre], ...], plane: Plane, palette: Palette, *, base: float, width: float
) -> Iterator[Mark]:
    """Widths, each as a name and its half."""
    pen = Pen(stroke=palette.soft, width=1.0)
    for row, (name, half) in enumerate(spans):
        if half > 0:
            ends: list[Point] = [
                (plane.at((way * half, 0.0))[0], base + STEP * (row + 1) - 8.0) for way in (-1.0, 1.0)
            ]
            yield from dimension(
                ends[0], ends[1], f"{name} {mm_from_metres(2 * half):.1f} mm", pen, drop=4.0, rightmost=width
            )


def _words(
    view: BicycleView, stack: PlacedStack, point: FixingPoint, tube: Section
) -> Iterator[tuple[str, bool]]:
    yield (
        f"Tube {mm_from_metres(tube.width):.1f} × {mm_from_metres(tube.depth):.1f} mm, {tube.shape.value}.",
        False,
    )
    fixing, path = stack.placement.fixing, point.path
    if path is None:
        screw = fixing.screw.title if fixing.screw else "a screw"
        yield f"Held by {screw} in the boss.", False
        return
    if fixing.band is not None:
        low, high = mm_from_metres(fixing.band.shortest), mm_from_metres(fixing.band.longest)
        around_it = f"{mm_from_metres(path.length):.0f} mm around; it takes {low:.0f} to {high:.0f} mm."
        yield f"{fixing.band.title}: {around_it} Tighten to its maker's torque.", False
    elif fixing.strap is not None:
        most = mm_from_metres(fixing.strap.longest)
        yield (
            f"{fixing.strap.title}: {mm_from_metres(path.length):.0f} mm around, {most:.0f} mm at most.",
            False,
        )
    if math.isfinite(path.clearance):
        gap, wanted = mm_from_metres(path.clearance), mm_from_metres(view.rules.band_clearance)
        yield f"Gap from band to module {gap:.1f} mm; {wanted:.1f} mm are asked for.", True
    if fixing.kind is FixingKind.PLATE_ON_BANDS:
        yield "The band goes round the plate, under the carrier.", False
