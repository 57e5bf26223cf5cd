"""The bicycle in side view, to scale: stacks, what holds them, lengths, and why a place was refused."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from wattwright.documents.bicycle_drawing_labels import Name, Sheet, Span, dimensioned, named
from wattwright.documents.bicycle_drawing_machine import bosses, machine
from wattwright.documents.bicycle_drawing_stacks import PlacedStack, chosen, ghost, placed_stack, refused
from wattwright.documents.bicycle_drawing_view import BicycleView, Plane, fitted, grown
from wattwright.documents.drawing import Drawing, Mark, Pen, Point, described, line, render
from wattwright.documents.figures import Units, length
from wattwright.documents.palette import LIGHT, Palette
from wattwright.frame.faces import in_plane
from wattwright.frame.findings import arrangement_findings, placement_findings
from wattwright.frame.keepouts import stands_beside
from wattwright.frame.outline import shape_of
from wattwright.frame.placement import Placement, Reason, Refusal
from wattwright.frame.room import free_stretches
from wattwright.frame.sections import section_at, tube_outline
from wattwright.frame.survey import ClearanceKind
from wattwright.units import Metre, mm_from_metres

ASIDE: Final = 40.0
ABOVE: Final = 24.0
OF_ROOM: Final = frozenset({Reason.OVERLAP, Reason.RELEASE, Reason.OFF_THE_FACE, Reason.STACKS})


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Where a stack comes nearest to its limit with something."""

    name: str
    distance: Metre
    wanted: Metre
    start: Point
    end: Point


def bicycle_drawing(view: BicycleView, *, palette: Palette = LIGHT, width: float = 960.0) -> str:
    """The bicycle as SVG text; see ``bicycle_picture``."""
    return render(bicycle_picture(view, palette=palette, width=width), ground=palette.sheet)


def bicycle_picture(view: BicycleView, *, palette: Palette = LIGHT, width: float = 960.0) -> Drawing:
    """Side view from the right, one scale both ways, lengths in millimetres.

    Inked and numbered: chosen modules. Dashed: what would also fit, and what crank and foot sweep. Framed and
    hatched in the accent: what was refused, with its reason. Lightly hatched: room to take a stack off. Hair
    lines: wheel and fork at full lock.

    Raises:
        InputError: If a placement names no face of the bicycle, or the width has no room for the lettering.
    """
    plane, height = fitted(view, width, aside=ASIDE, above=ABOVE)
    stacks = [placed_stack(view, placement) for placement in view.placements]
    ghosts = [placed_stack(view, placement) for placement in view.ghosts]
    refusals = [(placed_stack(view, one), _first(view, one)) for one in view.refused]
    marks: list[Mark] = [*machine(view, plane, palette)]
    marks += [mark for stack in ghosts for mark in ghost(stack, plane, palette)]
    marks += [mark for stack in stacks for mark in chosen(stack, view, plane, palette)]
    for stack, why in refusals:
        marks += refused(stack, why.spot if why else None, plane, palette)
    marks += bosses(view, plane, palette)
    sheet = Sheet(width, height, _busy(view, plane, [*stacks, *ghosts, *(one for one, _ in refusals)]))
    sheet.take(marks)
    gaps = [(stack, gap) for stack in stacks if (gap := nearest(view, stack)) is not None]
    marks += _gap_lines(gaps, plane, palette)
    names = [*_stack_names(stacks, gaps, plane), *_refused_names(refusals, plane), *_thing_names(view, plane)]
    marks += dimensioned(sheet, [span for stack in stacks for span in _spans(view, stack, plane)], palette)
    marks += named(sheet, names, palette)
    return Drawing(
        title=f"{view.room.frame.title}, side view to scale",
        description=_described(view, stacks, gaps, refusals),
        width=width,
        height=height,
        marks=tuple(marks),
    )


def _first(view: BicycleView, placement: Placement) -> Refusal | None:
    """The weightiest reason against a placement: want of room before fixings, then the longest."""
    found = placement_findings(view.room, placement, view.rules)
    if not found:
        together = arrangement_findings(view.room, (*view.placements, placement), view.rules)
        found = tuple(one for one in together if one.reason is Reason.STACKS)
    return max(found, key=lambda one: (one.reason in OF_ROOM, one.short_by), default=None)


def _busy(view: BicycleView, plane: Plane, stacks: list[PlacedStack]) -> list[list[Point]]:
    shapes = [tube_outline(tube) for tube in view.room.frame.tubes]
    shapes += [keepout.core for keepout in view.room.keepouts if keepout.name == "right fork blade"]
    shapes += [grown((place,), 0.06) for place in _bars(view)]
    shapes += [grown((wheel.centre,), wheel.radius * 0.25) for wheel in view.room.frame.wheels]
    shapes += [part.outline for stack in stacks for part in stack.parts]
    return [plane.all(shape) for shape in shapes]


def _bars(view: BicycleView) -> list[Point]:
    return [keepout.core[0] for keepout in view.room.keepouts if keepout.name == "right bars"][:1]


def nearest(view: BicycleView, stack: PlacedStack) -> Gap | None:
    """Of all the stack could meet, what leaves least beyond the clearance asked for. [m]."""
    from shapely import Polygon, shortest_line  # noqa: PLC0415 (start-up)

    best: Gap | None = None
    for part in stack.parts:
        for keepout in view.room.keepouts:
            if keepout.name == stack.face.tube or stands_beside(part, keepout):
                continue
            core = (
                keepout.core
                if len(keepout.core) > 2 and not keepout.radius
                else grown(keepout.core, keepout.radius)
            )
            way = shortest_line(Polygon(part.outline), Polygon(core))
            if best is None or way.length - keepout.clearance < best.distance - best.wanted:
                (x1, y1), (x2, y2) = way.coords
                best = Gap(
                    name=keepout.name,
                    distance=float(way.length),
                    wanted=keepout.clearance,
                    start=(float(x1), float(y1)),
                    end=(float(x2), float(y2)),
                )
    return best


def _gap_lines(gaps: list[tuple[PlacedStack, Gap]], plane: Plane, palette: Palette) -> Iterator[Mark]:
    for _, gap in gaps:
        yield line(plane.at(gap.start), plane.at(gap.end), Pen(stroke=palette.accent, width=2.0))


def _stack_names(
    stacks: list[PlacedStack], gaps: list[tuple[PlacedStack, Gap]], plane: Plane
) -> Iterator[Name]:
    for stack in stacks:
        yield Name(text=_stack_title(stack.placement), spots=_outer_side(stack, plane), bold=True)
    for _, gap in gaps:
        middle = ((gap.start[0] + gap.end[0]) / 2, (gap.start[1] + gap.end[1]) / 2)
        spots = tuple(plane.all((middle, gap.start, gap.end)))
        words = f"{_mm(gap.distance)} to the {gap.name}" if gap.distance > 0 else f"meets the {gap.name}"
        yield Name(text=words, spots=spots, decides=True)


def _stack_title(placement: Placement) -> str:
    return f"{_counted(placement.modules)} {placement.face}: {placement.carrier.title}"


def _outer_side(stack: PlacedStack, plane: Plane) -> tuple[Point, ...]:
    """Places on the stack on the sheet, the middle of its outer side first."""
    length = shape_of(stack.placement.carrier).length
    return tuple(
        plane.at(in_plane(stack.face, (stack.placement.offset + share * length, height * stack.height)))
        for share, height in ((0.5, 1.0), (0.3, 1.0), (0.7, 1.0), (0.5, 0.6), (0.25, 0.6), (0.75, 0.6))
    )


def _refused_names(refusals: list[tuple[PlacedStack, Refusal | None]], plane: Plane) -> Iterator[Name]:
    for stack, why in refusals:
        spots = (plane.at(why.spot),) if why and why.spot else _outer_side(stack, plane)
        text = why.because if why else "Nothing stands against this placement alone."
        yield Name(
            text=f"{_counted(stack.placement.modules)} {stack.placement.face}: {text}",
            spots=spots,
            decides=True,
        )


def _thing_names(view: BicycleView, plane: Plane) -> Iterator[Name]:
    for thing in view.room.frame.obstacles:
        if thing.kind is not ClearanceKind.TUBE:
            around = grown(thing.outline, thing.radius) if thing.radius else thing.outline
            yield Name(text=thing.name, spots=tuple(plane.all((*thing.outline, *around[::4]))))


def _spans(view: BicycleView, stack: PlacedStack, plane: Plane) -> Iterator[Span]:
    """Along the stack's outer side: carrier, offset, free length. On the tube's other side: bosses."""
    face, placement = stack.face, stack.placement
    end = placement.offset + shape_of(placement.carrier).length
    outward = (face.outward[0], -face.outward[1])
    base = stack.height * plane.per_metre

    def span(start: Metre, stop: Metre, words: str, level: float, *, below: bool = False) -> Span:
        depth = section_at(view.room.frame.tube(face.tube), 0.5).depth * plane.per_metre
        return Span(
            start=plane.at(in_plane(face, (start, 0.0))),
            end=plane.at(in_plane(face, (stop, 0.0))),
            away=(-outward[0], -outward[1]) if below else outward,
            first=depth + level if below else base + level,
            text=f"{words} {_mm(stop - start)}".strip(),
        )

    yield span(placement.offset, end, "carrier", 12.0)
    if placement.offset > 0.005:
        yield span(0.0, placement.offset, "", 12.0)
    if (free := _free(view, stack, (placement.offset + end) / 2)) is not None:
        yield span(*free, "free", 28.0)
    last = 0.0
    for boss in face.bosses:
        yield span(last, boss.s, "" if last else "to boss", 14.0, below=True)
        last = boss.s


def _free(view: BicycleView, stack: PlacedStack, middle: Metre) -> tuple[Metre, Metre] | None:
    """The stretch of the face around the stack that nothing else fills at its width and height."""
    half = max(part.high for part in stack.parts)
    found = free_stretches(view.room, stack.face, height=stack.height, half_width=half, low=0.001)
    return next(((start, end) for start, end in found if start <= middle <= end), None)


def _mm(value: Metre) -> str:
    digits = 1 if mm_from_metres(value) < 9.95 else 0
    return f"{mm_from_metres(value):.{digits}f}\u00a0mm" if digits else str(length(value, Units.METRIC))


def _counted(modules: int) -> str:
    return f"{modules} module{'' if modules == 1 else 's'}"


def _described(
    view: BicycleView,
    stacks: list[PlacedStack],
    gaps: list[tuple[PlacedStack, Gap]],
    refusals: list[tuple[PlacedStack, Refusal | None]],
) -> str:
    near = {id(stack): gap for stack, gap in gaps}
    parts = []
    for stack in stacks:
        gap = near.get(id(stack))
        words = (
            f", {_mm(gap.distance)} from the {gap.name} where {_mm(gap.wanted)} are asked for" if gap else ""
        )
        parts.append(f"{_stack_title(stack.placement)}{words}")
    parts += [f"would also fit: {_stack_title(placement)}" for placement in view.ghosts]
    parts += [
        f"refused: {_stack_title(one.placement)}: {why.because if why else ''}" for one, why in refusals
    ]
    return described(parts) or f"A {view.room.frame.kind.value} without stacks."
