"""The one renderer of drawings: a few primitives in drawing units, written out as SVG.

A drawing is a frozen list of marks. Marks know the box of their lettering, so that a layout can be checked
without rendering it. Nothing depends on clock, chance or machine: the same drawing gives the same text.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final
from xml.sax.saxutils import escape

from wattwright.documents.lettering import ASCENT, DESCENT, SMALLEST, Face, printable, text_width
from wattwright.errors import InputError

Point = tuple[float, float]

NO_INK: Final = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """A rectangle in drawing units, y downwards."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box", gap: float = 0.0) -> bool:
        """Whether the two overlap, or come nearer than ``gap``."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """How a mark is drawn."""

    stroke: str = NO_INK
    width: float = 1.0
    fill: str = NO_INK
    dash: tuple[float, ...] = ()

    def attributes(self) -> str:
        """As SVG presentation attributes."""
        parts = [f'fill="{self.fill}"', f'stroke="{self.stroke}"']
        if self.stroke != NO_INK:
            parts.append(f'stroke-width="{number(self.width)}"')
        if self.dash:
            parts.append(f'stroke-dasharray="{" ".join(number(length) for length in self.dash)}"')
        return " ".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """One thing drawn; ``box`` and ``text`` only for lettering."""

    svg: str
    text: str = ""
    box: Box | None = None
    corners: tuple[Point, ...] = ()
    """Of lettering that is turned; its ``box`` is the upright one around them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A finished drawing."""

    title: str
    """What it is, for those who cannot see it."""
    description: str
    """What it says, in a sentence or two."""
    width: float
    height: float
    marks: tuple[Mark, ...] = field(repr=False)

    @property
    def lettering(self) -> tuple[Mark, ...]:
        """The marks that are text."""
        return tuple(mark for mark in self.marks if mark.box is not None)


def render(drawing: Drawing, *, ground: str = NO_INK) -> str:
    """The drawing as SVG text: an ``img`` with title and description, sized in px."""
    width, height = number(drawing.width), number(drawing.height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" role="img" viewBox="0 0 {width} {height}" '
        f'width="{width}" height="{height}">'
    )
    words = f"<title>{_text(drawing.title)}</title><desc>{_text(drawing.description)}</desc>"
    paper = "" if ground == NO_INK else f'<rect width="{width}" height="{height}" fill="{ground}"/>'
    return "\n".join([head + words + paper, *(mark.svg for mark in drawing.marks), "</svg>\n"])


def number(value: float) -> str:
    """A coordinate to two decimals, without trailing zeros.

    Raises:
        InputError: If it is not finite: a drawing has no place for it.

    Examples:
        >>> number(2.50), number(-0.001), number(17)
        ('2.5', '0', '17')
    """
    if not math.isfinite(value):
        raise InputError("coordinate", value, "a finite number")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def line(start: Point, end: Point, pen: Pen) -> Mark:
    """A straight line."""
    (x1, y1), (x2, y2) = start, end
    ends = f'x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}"'
    return Mark(svg=f"<line {ends} {pen.attributes()}/>")


def polyline(points: Sequence[Point], pen: Pen) -> Mark:
    """Straight lines from point to point."""
    return Mark(svg=f'<polyline points="{_points(points)}" stroke-linejoin="round" {pen.attributes()}/>')


def polygon(points: Sequence[Point], pen: Pen) -> Mark:
    """A closed outline."""
    return Mark(svg=f'<polygon points="{_points(points)}" {pen.attributes()}/>')


def rectangle(box: Box, pen: Pen, *, radius: float = 0.0) -> Mark:
    """An upright rectangle, its corners rounded by ``radius``."""
    place = f'x="{number(box.left)}" y="{number(box.top)}"'
    size = f'width="{number(box.right - box.left)}" height="{number(box.bottom - box.top)}"'
    corners = f' rx="{number(radius)}"' if radius else ""
    return Mark(svg=f"<rect {place} {size}{corners} {pen.attributes()}/>")


def circle(centre: Point, radius: float, pen: Pen) -> Mark:
    """A circle."""
    place = f'cx="{number(centre[0])}" cy="{number(centre[1])}" r="{number(radius)}"'
    return Mark(svg=f"<circle {place} {pen.attributes()}/>")


def lettering(
    text: str,
    at: Point,
    colour: str,
    *,
    size: float = SMALLEST,
    face: Face = Face.TEXT,
    anchor: str = "start",
) -> Mark:
    """One line of text, its base line at ``at``; ``anchor`` is start, middle or end.

    Raises:
        InputError: If the size is below what can be read at arm's length.
    """
    if size < SMALLEST:
        raise InputError("size", size, f"{SMALLEST:g} px or more")
    shown = printable(text)
    x, y = at
    width = text_width(shown, size, face)
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[anchor]
    weight = ' font-weight="700"' if face.is_bold else ""
    side = "" if anchor == "start" else f' text-anchor="{anchor}"'
    svg = (
        f'<text x="{number(x)}" y="{number(y)}" fill="{colour}" font-family="{face.family}, sans-serif" '
        f'font-size="{number(size)}"{weight}{side}>{escape(shown)}</text>'
    )
    box = Box(left=left, top=y - ASCENT * size, right=left + width, bottom=y + DESCENT * size)
    return Mark(svg=svg, text=shown, box=box)


def hatching(box: Box, pen: Pen, *, spacing: float = 8.0, leans_right: bool = True) -> Mark:
    """Parallel lines at 45° over a rectangle: "not available", as on a technical drawing.

    The lines are cut at the rectangle here and not by the viewer, so that every reader of SVG shows them
    the same. Two areas hatched alike meet without a seam: lines stand on a common grid.
    """
    slope = -1.0 if leans_right else 1.0
    offsets = [box.top - slope * box.left, box.top - slope * box.right]
    offsets += [box.bottom - slope * box.left, box.bottom - slope * box.right]
    first, last = math.ceil(min(offsets) / spacing), math.floor(max(offsets) / spacing)
    pieces = [_cut(box, slope, step * spacing) for step in range(first, last + 1)]
    path = "".join(
        f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}"
        for (x1, y1), (x2, y2) in filter(None, pieces)
        if abs(x2 - x1) > 0.01
    )
    return Mark(svg=f'<path d="{path}" {pen.attributes()}/>')


def _cut(box: Box, slope: float, offset: float) -> tuple[Point, Point] | None:
    """The part of y = slope·x + offset inside the box."""
    reaches = sorted(((box.top - offset) / slope, (box.bottom - offset) / slope))
    left, right = max(box.left, reaches[0]), min(box.right, reaches[1])
    if right < left:
        return None
    return (left, slope * left + offset), (right, slope * right + offset)


def measured(start: Point, end: Point, pen: Pen) -> tuple[Mark, ...]:
    """A level dimension line: arrows at both ends, pointing outwards."""
    (x1, y), (x2, _) = start, end
    tips = ((x1, 1.0), (x2, -1.0))
    arrows = (polyline([(x + way * 6, y - 3), (x, y), (x + way * 6, y + 3)], pen) for x, way in tips)
    return (line((x1, y), (x2, y), pen), *arrows)


def dimension(
    start: Point, end: Point, text: str, pen: Pen, *, drop: float = 0.0, rightmost: float = math.inf
) -> tuple[Mark, ...]:
    """A dimension line with its text above its middle, or beside it where it is too short for that.

    ``drop`` is how far extension lines reach up from its ends to what is measured; the text keeps between
    the drawing's left edge and ``rightmost``.
    """
    (x1, y), (x2, _) = start, end
    reaches = [line((x, y - drop), (x, y + 4), pen) for x in (x1, x2)] if drop else []
    width = text_width(text, SMALLEST)
    if x2 - x1 < width + 8.0 <= rightmost - x2 - 8.0:
        words = lettering(text, (x2 + 8, y + 4), pen.stroke)
    elif x2 - x1 < width + 8.0 <= x1 - 8.0:
        words = lettering(text, (x1 - 8, y + 4), pen.stroke, anchor="end")
    else:
        left = min(max((x1 + x2 - width) / 2, 0.0), rightmost - width)
        words = lettering(text, (left, y - 5), pen.stroke)
    return (*reaches, *measured(start, end, pen), words)


def described(parts: Iterable[str]) -> str:
    """Clauses joined into one line of description."""
    return "; ".join(part for part in parts if part)


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{number(x)},{number(y)}" for x, y in points)


def _text(text: str) -> str:
    return escape(printable(text))
