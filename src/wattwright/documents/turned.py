"""Marks along any direction: turned lettering, aligned dimension lines, hatched outlines."""

import math
from collections.abc import Sequence
from typing import Final

from wattwright.documents.drawing import Box, Mark, Pen, Point, line, number, polygon, polyline
from wattwright.documents.drawing import lettering as level_lettering
from wattwright.documents.lettering import ASCENT, DESCENT, SMALLEST, Face, text_width

ARROW: Final = 6.0
ABOVE: Final = 4.0
"""From a dimension line to the foot of its figure. [px]"""


def turned_lettering(text: str, at: Point, colour: str, angle: float, *, face: Face = Face.TEXT) -> Mark:
    """One line of text whose middle stands at ``at`` on its base line, turned by ``angle`` clockwise. [rad].

    >>> mark = turned_lettering("332", (10.0, 10.0), "#000000", math.pi / 2)
    >>> mark.box.bottom - mark.box.top > mark.box.right - mark.box.left
    True
    """
    level = level_lettering(text, at, colour, face=face, anchor="middle")
    half = text_width(level.text, SMALLEST, face) / 2
    corners = tuple(
        rotated((at[0] + x, at[1] + y), at, angle)
        for x, y in (
            (-half, -ASCENT * SMALLEST), (half, -ASCENT * SMALLEST),
            (half, DESCENT * SMALLEST), (-half, DESCENT * SMALLEST),
        )
    )  # fmt: skip
    turn = f'<text transform="rotate({number(math.degrees(angle))} {number(at[0])} {number(at[1])})"'
    return Mark(
        svg=level.svg.replace("<text", turn, 1), text=level.text, box=around(corners), corners=corners
    )


def rotated(point: Point, about: Point, angle: float) -> Point:
    """A point turned clockwise (y downwards) about another."""
    x, y = point[0] - about[0], point[1] - about[1]
    cosine, sine = math.cos(angle), math.sin(angle)
    return about[0] + x * cosine - y * sine, about[1] + x * sine + y * cosine


def around(points: Sequence[Point]) -> Box:
    """The upright box around points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(left=min(xs), top=min(ys), right=max(xs), bottom=max(ys))


def readable(start: Point, end: Point) -> float:
    """Direction from start to end, turned so that lettering along it does not stand on its head. [rad]."""
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    if angle > math.pi / 2 - 1e-9:
        return angle - math.pi
    return angle + math.pi if angle <= -math.pi / 2 - 1e-9 else angle


def aligned_dimension(
    start: Point, end: Point, feet: tuple[Point, Point], text: str, pen: Pen
) -> tuple[Mark, ...]:
    """A dimension line from start to end with extension lines from ``feet``, its figure along it."""
    length = math.dist(start, end)
    if length < 0.5:
        return ()
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    marks = [
        line(foot, (tip[0] + 3 * _away(foot, tip)[0], tip[1] + 3 * _away(foot, tip)[1]), pen)
        for foot, tip in zip(feet, (start, end), strict=True)
        if math.dist(foot, tip) > 1.0
    ]
    marks += [line(start, end, pen), _arrow(start, along, pen), _arrow(end, (-along[0], -along[1]), pen)]
    return (*marks, dimension_figure(start, end, text, pen.stroke))


def dimension_figure(start: Point, end: Point, text: str, colour: str) -> Mark:
    """The figure of an aligned dimension line: over its middle, or on from its end where it is too short."""
    angle, length = readable(start, end), math.dist(start, end)
    width = text_width(text, SMALLEST)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    if length < width + 4.0:
        reach = length / 2 + width / 2 + 6.0
        ahead = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        middle = (middle[0] + reach * ahead[0], middle[1] + reach * ahead[1])
        up = -SMALLEST * 0.35
    else:
        up = ABOVE
    at = (middle[0] + up * math.sin(angle), middle[1] - up * math.cos(angle))
    return turned_lettering(text, at, colour, angle)


def hatched(outline: Sequence[Point], pen: Pen, *, spacing: float = 6.0, leans_right: bool = True) -> Mark:
    """Parallel lines at 45° over a closed outline, cut here and not by the viewer."""
    from shapely import LineString, Polygon, get_parts  # noqa: PLC0415 (start-up)

    area, box = Polygon(outline).buffer(0), around(outline)
    slope = -1.0 if leans_right else 1.0
    offsets = [y - slope * x for x in (box.left, box.right) for y in (box.top, box.bottom)]
    path = ""
    for step in range(math.ceil(min(offsets) / spacing), math.floor(max(offsets) / spacing) + 1):
        offset = step * spacing
        across = LineString([(x, slope * x + offset) for x in (box.left - 1, box.right + 1)])
        for piece in get_parts(across.intersection(area)):
            if piece.length > 0.01:
                (x1, y1), (x2, y2) = sorted(piece.coords)
                path += f"M{number(x1)} {number(y1)}L{number(x2)} {number(y2)}"
    return Mark(svg=f'<path d="{path}" {pen.attributes()}/>')


def hatched_outline(
    outline: Sequence[Point], border: Pen, pen: Pen, *, leans_right: bool = True
) -> tuple[Mark, ...]:
    """A hatched area with its border."""
    return polygon(outline, border), hatched(outline, pen, leans_right=leans_right)


def _arrow(tip: Point, inward: Point, pen: Pen) -> Mark:
    across = (-inward[1], inward[0])
    ends = [
        (tip[0] + ARROW * inward[0] + way * 3 * across[0], tip[1] + ARROW * inward[1] + way * 3 * across[1])
        for way in (-1.0, 1.0)
    ]
    return polyline([ends[0], tip, ends[1]], pen)


def _away(foot: Point, tip: Point) -> Point:
    length = math.dist(foot, tip)
    return (tip[0] - foot[0]) / length, (tip[1] - foot[1]) / length
