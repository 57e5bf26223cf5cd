"""The full-size paper template: the stack from the side, the carrier from above, the plate's holes."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from wattwright.documents.drawing import Mark, Pen, Point, circle, lettering, line, polygon
from wattwright.documents.lettering import SMALLEST, Face, text_width
from wattwright.documents.palette import PRINT
from wattwright.documents.template_plate import FullSize, Plate
from wattwright.documents.turned import turned_lettering
from wattwright.frame.plane import Outline
from wattwright.units import METRES_PER_INCH, Metre, mm_from_metres

PX: Final = 96.0 / METRES_PER_INCH
"""[px/m] CSS pixels, of which 96 are one inch; the renderer's lettering is sized in them."""
AROUND: Final = 0.012
"""[m] Of paper around what is drawn."""
CROSS: Final = 0.006
"""[m] Half a centre cross."""
TITLE: Final = 0.009
"""[m] For the words over each view."""
INK: Final = Pen(stroke=PRINT.ink, width=1.2)
THIN: Final = Pen(stroke=PRINT.ink, width=0.6)
CHAIN: Final = Pen(stroke=PRINT.ink, width=0.6, dash=(10.0, 3.0, 2.0, 3.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Canvas:
    """The whole template before it is cut into pages."""

    width: Metre
    height: Metre
    marks: tuple[Mark, ...]
    """In px, 96 to the inch."""
    origin: Metre
    """s at the canvas's left edge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """One view on the canvas: where s = ``origin`` and h = 0 lie."""

    origin: Metre
    base: Metre
    """From the canvas's top to the line h = 0 (or z = 0)."""

    def at(self, s: Metre, h: Metre) -> Point:
        return (s - self.origin) * PX, (self.base - h) * PX

    def all(self, outline: Outline) -> list[Point]:
        return [self.at(s, h) for s, h in outline]


def template_canvas(laid: FullSize) -> Canvas:
    """One placement at full size, its views one below the other.

    Args:
        laid: As ``template_plate.full_size`` gives it. [m]

    Returns:
        Marks in px of 1/96 inch; nothing is scaled to fit anything.
    """
    start, end = _stretch(laid)
    origin, top = start - AROUND, max(h for _, outline in laid.side for _, h in outline)
    side = _View(origin=origin, base=AROUND + TITLE + top)
    half = _half_of_plan(laid)
    plan = _View(origin=origin, base=side.base + AROUND + TITLE + half + 0.004)
    marks = [*_side(laid, side), *_plan(laid, plan)]
    bottom = plan.base + half + 0.016
    if laid.plate is not None:
        plate = _View(origin=origin, base=bottom + TITLE + laid.plate.width / 2)
        marks += _plate(laid.plate, plate)
        bottom = plate.base + laid.plate.width / 2 + 0.016
    widest = max((mark.box.right for mark in marks if mark.box), default=0.0) / PX
    return Canvas(
        width=max(end - start + 2 * AROUND, widest + 0.005),
        height=bottom + 0.002,
        marks=tuple(marks),
        origin=origin,
    )


def _stretch(laid: FullSize) -> tuple[Metre, Metre]:
    """From where to where along the tube anything is to be marked."""
    places = [s for _, outline in (*laid.side, *laid.plan) for s, _ in outline]
    places += [*laid.bosses, *laid.seats]
    if laid.plate is not None:
        places += [laid.plate.start, laid.plate.end]
    return min(places), max(places)


def _half_of_plan(laid: FullSize) -> Metre:
    return max(
        *(z for _, outline in laid.plan for _, z in outline), *(width / 2 for width in laid.tube_widths)
    )


def _heading(text: str, view: _View, above: Metre) -> Mark:
    at = (AROUND * PX, (view.base - above) * PX - 8.0)
    return lettering(text, at, PRINT.ink, face=Face.TEXT_BOLD)


def _side(laid: FullSize, view: _View) -> Iterator[Mark]:
    top = max(h for _, outline in laid.side for _, h in outline)
    yield _heading(f"{laid.title}: side view. Lay this line on the tube's surface.", view, top)
    start, end = _stretch(laid)
    yield line(
        view.at(start - AROUND / 2, 0.0), view.at(end + AROUND / 2, 0.0), Pen(stroke=PRINT.ink, width=2.0)
    )
    for name, outline in laid.side:
        yield polygon(view.all(outline), INK)
        if name.isdigit():
            x = sum(s for s, _ in outline) / 4
            yield lettering(
                name, view.at(x, outline[2][1] - 0.010), PRINT.ink, face=Face.FIGURES, anchor="middle"
            )
    for s in laid.bosses:
        yield line(view.at(s, -CROSS), view.at(s, 2 * CROSS), CHAIN)


def _plan(laid: FullSize, view: _View) -> Iterator[Mark]:
    half = _half_of_plan(laid)
    yield _heading(f"From above, on the {laid.tube}: foot, slots and bosses.", view, half + 0.004)
    start, end = _stretch(laid)
    yield line(view.at(start - AROUND / 2, 0.0), view.at(end + AROUND / 2, 0.0), CHAIN)
    for side in (-1.0, 1.0):
        edge = [view.at(s, side * _width_at(laid, s) / 2) for s in (start, end)]
        yield line(edge[0], edge[1], Pen(stroke=PRINT.soft, width=0.8, dash=(6.0, 4.0)))
    for _, outline in laid.plan:
        yield polygon(view.all(outline), INK)
    for s in laid.bosses:
        yield from _centre(view, s, 0.0025)
    for s in laid.seats:
        yield line(view.at(s, -half), view.at(s, half), Pen(stroke=PRINT.ink, width=1.6, dash=(4.0, 3.0)))
    marked = [(s, f"boss {mm_from_metres(s):.1f}") for s in laid.bosses]
    marked += [(s, f"band {mm_from_metres(s):.1f}") for s in laid.seats]
    yield from _places(view, marked, half)


def _width_at(laid: FullSize, s: Metre) -> Metre:
    share = s / laid.tube_ends[1]
    return laid.tube_widths[0] + share * (laid.tube_widths[1] - laid.tube_widths[0])


def _plate(plate: Plate, view: _View) -> Iterator[Mark]:
    half = plate.width / 2
    size = f"{mm_from_metres(plate.end - plate.start):.1f} × {mm_from_metres(plate.width):.1f} mm"
    yield _heading(f"{plate.name}, {size}. Punch the crosses.", view, half)
    yield polygon(
        view.all(((plate.start, -half), (plate.end, -half), (plate.end, half), (plate.start, half))), INK
    )
    yield line(view.at(plate.start - CROSS, 0.0), view.at(plate.end + CROSS, 0.0), CHAIN)
    for s in plate.bands:
        yield line(view.at(s, -half), view.at(s, half), Pen(stroke=PRINT.ink, width=1.6, dash=(4.0, 3.0)))
    for hole in plate.holes:
        yield from _centre(view, hole.s, hole.diameter / 2)
    marked = [(hole.s, f"{mm_from_metres(hole.diameter):.1f} {hole.purpose}") for hole in plate.holes]
    yield from _places(view, marked, half)


def _centre(view: _View, s: Metre, radius: Metre) -> Iterator[Mark]:
    yield circle(view.at(s, 0.0), radius * PX, INK)
    yield line(view.at(s - CROSS, 0.0), view.at(s + CROSS, 0.0), THIN)
    yield line(view.at(s, -CROSS), view.at(s, CROSS), THIN)


def _places(view: _View, marked: list[tuple[Metre, str]], half: Metre) -> Iterator[Mark]:
    """Words under their places; each in the first of three rows that has room."""
    ends = [-1e9, -1e9, -1e9]
    for s, words in sorted(marked):
        x, y = view.at(s, -half)
        wide = text_width(words, SMALLEST)
        row = next((number for number, end in enumerate(ends) if x - wide / 2 > end + 4.0), 2)
        left = max(x - wide / 2, ends[row] + 4.0)
        ends[row] = left + wide
        base = y + 17.0 + 17.0 * row
        yield line((x, y + 1.0), (x, base - 11.0), THIN)
        yield lettering(words, (left, base), PRINT.ink)


def scale_bar(start: Point, length: Metre, words: str, *, upright: bool = False) -> Iterator[Mark]:
    """A bar with a tick every 10 mm; ``start`` in px, growing to the right or down."""
    way = (0.0, 1.0) if upright else (1.0, 0.0)
    across = (way[1], way[0])
    steps = round(length / 0.010)
    tip = (start[0] + way[0] * length * PX, start[1] + way[1] * length * PX)
    yield line(start, tip, Pen(stroke=PRINT.ink, width=1.0))
    for step in range(steps + 1):
        size = 9.0 if step in {0, steps} else 4.0
        x, y = start[0] + way[0] * step * 0.010 * PX, start[1] + way[1] * step * 0.010 * PX
        yield line((x, y), (x - across[0] * size, y - across[1] * size), Pen(stroke=PRINT.ink, width=1.0))
    middle = ((start[0] + tip[0]) / 2, (start[1] + tip[1]) / 2)
    if upright:
        yield turned_lettering(words, (middle[0] - 12.0, middle[1]), PRINT.ink, -1.5707963267948966)
    else:
        yield lettering(words, (start[0], start[1] + 16.0), PRINT.ink)
