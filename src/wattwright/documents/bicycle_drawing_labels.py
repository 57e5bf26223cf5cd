"""Names and dimension lines of a bicycle drawing, put where they meet neither each other nor a leader."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from wattwright.documents.drawing import Box, Mark, Pen, Point, lettering, line
from wattwright.documents.lettering import ASCENT, DESCENT, SMALLEST, Face, printable, text_width, wrapped
from wattwright.documents.palette import Palette
from wattwright.documents.turned import aligned_dimension
from wattwright.errors import InputError

ROW: Final = 16.0
APART: Final = 3.0
"""Least distance of two pieces of lettering. [px]"""
DISTANCES: Final = (14.0, 30.0, 50.0, 75.0, 105.0, 140.0, 180.0, 230.0, 290.0, 360.0, 440.0, 540.0, 660.0)
DIRECTIONS: Final = 24
LEVEL: Final = 15.0
"""From one dimension line to the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Name:
    """Words with a leader to one of several spots on what they name."""

    text: str
    spots: tuple[Point, ...]
    decides: bool = False
    bold: bool = False
    widest: float = 190.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A length to be dimensioned along a straight line, from which the dimension line stands off."""

    start: Point
    end: Point
    away: Point
    """Unit vector on the sheet towards which the dimension line stands off."""
    first: float
    """Least distance of the dimension line from start and end. [px]"""
    text: str


class Sheet:
    """What is on the sheet already; it grows as names and dimension lines are put down."""

    def __init__(self, width: float, height: float, busy: Iterable[Sequence[Point]]) -> None:
        from shapely import Polygon, box  # noqa: PLC0415 (start-up)

        self.paper = box(2.0, 2.0, width - 2.0, height - 2.0)
        self.words: list[object] = []
        self.leaders: list[object] = []
        self.busy = [Polygon(outline).buffer(0) for outline in busy]

    def take(self, marks: Iterable[Mark]) -> None:
        """Keep clear of lettering that is there."""
        from shapely import Polygon, box  # noqa: PLC0415 (start-up)

        for mark in marks:
            if mark.corners:
                self.words.append(Polygon(mark.corners))
            elif mark.box is not None:
                self.words.append(box(mark.box.left, mark.box.top, mark.box.right, mark.box.bottom))

    def is_free(self, area: object) -> bool:
        """Whether lettering may stand there: on the paper, clear of words and leaders."""
        return (
            self.paper.contains(area)
            and all(area.distance(other) >= APART for other in self.words)  # type: ignore[attr-defined]
            and all(area.distance(other) >= 1.0 for other in self.leaders)  # type: ignore[attr-defined]
        )

    def covered(self, area: object) -> float:
        """How much of what is drawn to scale an area would hide. [px²]."""
        return sum(float(shape.intersection(area).area) for shape in self.busy)


def dimensioned(sheet: Sheet, spans: Sequence[Span], palette: Palette) -> tuple[Mark, ...]:
    """Dimension lines, each at the first level where its figure is free; left out where none is."""
    return tuple(mark for span in spans for mark in _span(sheet, span, palette))


def _span(sheet: Sheet, span: Span, palette: Palette) -> tuple[Mark, ...]:
    from shapely import LineString, Polygon  # noqa: PLC0415 (start-up)

    pen = Pen(stroke=palette.soft, width=1.0)
    for level in range(7):
        off = span.first + level * LEVEL
        one, other = ((x + off * span.away[0], y + off * span.away[1]) for x, y in (span.start, span.end))
        for start, end, feet in (
            (one, other, (span.start, span.end)),
            (other, one, (span.end, span.start)),
        ):
            marks = aligned_dimension(start, end, feet, span.text, pen)
            if not marks:
                return ()
            path = LineString([start, end])
            clear = all(path.distance(other) >= 1.0 for other in (*sheet.words, *sheet.leaders))
            if clear and sheet.is_free(Polygon(marks[-1].corners)):
                sheet.take(marks)
                sheet.leaders.append(path)
                return marks
    return ()


def named(sheet: Sheet, names: Sequence[Name], palette: Palette) -> tuple[Mark, ...]:
    """Names with leaders, those that decide first.

    Raises:
        InputError: If a name finds no place: the drawing is too narrow for what it has to say.
    """
    order = sorted(names, key=lambda name: (not name.decides, not name.bold))
    return tuple(mark for name in order for mark in _name(sheet, name, palette))


def _name(sheet: Sheet, name: Name, palette: Palette) -> Iterator[Mark]:
    from shapely import LineString, box  # noqa: PLC0415 (start-up)

    face = Face.TEXT_BOLD if name.bold or name.decides else Face.TEXT
    rows = wrapped(printable(name.text), name.widest, SMALLEST, face)
    size = (max(text_width(row, SMALLEST, face) for row in rows), ROW * (len(rows) - 1) + SMALLEST)
    found = _best_place(sheet, name.spots, size, may_cross=False) or _best_place(
        sheet, name.spots, size, may_cross=True
    )
    if found is None:
        raise InputError("width", name.text, "a wider drawing", "There is no free place for this name.")
    place, spot = found
    colour = palette.accent if name.decides else palette.ink if name.bold else palette.soft
    marks = [
        lettering(row, (place.left, place.top + ASCENT * SMALLEST + ROW * number), colour, face=face)
        for number, row in enumerate(rows)
    ]
    foot = _foot(place, spot)
    if math.dist(foot, spot) > 4.0:
        yield line(foot, spot, Pen(stroke=colour, width=1.0))
        sheet.leaders.append(LineString([foot, spot]))
    sheet.words.append(box(place.left, place.top, place.right, place.bottom))
    yield from marks


def _best_place(
    sheet: Sheet, spots: Sequence[Point], size: tuple[float, float], *, may_cross: bool
) -> tuple[Box, Point] | None:
    """The place nearest to one of the spots, weighed against what it would hide."""
    from shapely import box  # noqa: PLC0415 (start-up)

    best: tuple[float, Box, Point] | None = None
    for spot in spots:
        for place in _places(spot, size):
            far = math.dist(_foot(place, spot), spot)
            if best is not None and far >= best[0]:
                continue
            area = box(place.left, place.top, place.right, place.bottom)
            if not sheet.is_free(area) or _is_led_through(sheet, place, spot, may_cross=may_cross):
                continue
            cost = far + sheet.covered(area) * 0.5
            if best is None or cost < best[0]:
                best = (cost, place, spot)
    return None if best is None else best[1:]


def _is_led_through(sheet: Sheet, place: Box, spot: Point, *, may_cross: bool) -> bool:
    """Whether the leader would run through words, or cross another line where it may not."""
    from shapely import LineString  # noqa: PLC0415 (start-up)

    leader = LineString([_foot(place, spot), spot])
    if any(leader.distance(other) < 1.0 for other in sheet.words):
        return True
    return not may_cross and any(leader.crosses(other) for other in sheet.leaders)


def _places(spot: Point, size: tuple[float, float]) -> Iterator[Box]:
    width, height = size
    for distance in DISTANCES:
        for step in range(DIRECTIONS):
            angle = 2 * math.pi * step / DIRECTIONS
            x = spot[0] + math.cos(angle) * (distance + width / 2)
            y = spot[1] + math.sin(angle) * (distance + height / 2)
            yield Box(
                left=x - width / 2,
                top=y - height / 2,
                right=x + width / 2,
                bottom=y + height / 2 + DESCENT * SMALLEST,
            )


def _foot(place: Box, spot: Point) -> Point:
    """The point of a box nearest to a spot, a little off it."""
    x = min(max(spot[0], place.left - 3.0), place.right + 3.0)
    y = min(max(spot[1], place.top - 2.0), place.bottom + 2.0)
    return x, y
