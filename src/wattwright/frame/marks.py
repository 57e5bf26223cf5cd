"""Geometry from points marked on a drawing or a photo taken square to the bicycle, and one known length."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from wattwright.errors import InputError
from wattwright.frame.geometry import GeometryTable
from wattwright.frame.plane import added, difference, distance, dot, turned_left, unit
from wattwright.frame.survey import FrameKind, Point
from wattwright.units import Metre, Radian, mm_from_metres

NEEDED: Final = ("bottom_bracket", "rear_axle", "front_axle", "head_top", "head_bottom", "seat_top")
OPTIONAL: Final = ("top_tube_seat", "top_tube_head", "down_tube_head")
FEWEST_PIXELS: Final = 100.0
"""Shorter known lengths make one pixel more than 1 % of everything (assumption)."""
DISAGREEMENT: Final = 0.02
"""Two known lengths may give scales this far apart; more, and the picture is not square (assumption)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLength:
    """A length on the bicycle between two marks."""

    start: str
    end: str
    length: Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """Points marked in a picture, in pixels: x to the right, y downwards; the bicycle may face either way."""

    kind: FrameKind
    points: Mapping[str, Point]
    """By name: see ``NEEDED`` and ``OPTIONAL``. [px]"""
    known: tuple[KnownLength, ...]
    """One, or more to check that the picture is square."""
    rear_radius: Metre
    front_radius: Metre
    lower_bearing: Metre
    stoker_distance: Metre = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedGeometry:
    """What the marks give."""

    table: GeometryTable
    per_pixel: Metre
    """Length of one pixel: no figure is truer than that."""


def geometry_from_marks(marks: Marks) -> MarkedGeometry:
    """The geometry table of a marked picture.

    Args:
        marks: Points in pixels and at least one known length.

    Returns:
        The table, level on its wheels, and the length of a pixel. [m]

    Raises:
        InputError: If a mark is missing or two fall together, a known length is short in the picture, or two
            known lengths give different scales (names both).
    """
    _check_marks(marks)
    per_pixel = _scale(marks)
    points = _levelled(_scaled(marks, per_pixel), marks.front_radius - marks.rear_radius)
    return MarkedGeometry(table=_table(marks, points), per_pixel=per_pixel)


def _check_marks(marks: Marks) -> None:
    for name in NEEDED:
        if name not in marks.points:
            raise InputError(f"marks.{name}", None, "a point [x, y] in pixels", "Mark it in the picture.")
    for name in marks.points:
        if name not in (*NEEDED, *OPTIONAL):
            raise InputError("marks", name, f"one of {', '.join((*NEEDED, *OPTIONAL))}")
    if not marks.known:
        raise InputError("marks.known", None, "at least one known length between two marks")
    for pair in (
        ("bottom_bracket", "rear_axle"),
        ("head_top", "head_bottom"),
        ("bottom_bracket", "seat_top"),
    ):
        if distance(marks.points[pair[0]], marks.points[pair[1]]) < 1:
            raise InputError(f"marks.{pair[1]}", marks.points[pair[1]], f"apart from {pair[0]}")


def _scale(marks: Marks) -> Metre:
    """Metres per pixel, from all known lengths together."""
    pixels = [_pixels(marks, known) for known in marks.known]
    scales = [known.length / count for known, count in zip(marks.known, pixels, strict=True)]
    for one, other in pairwise(range(len(scales))):
        if abs(scales[other] / scales[one] - 1) > DISAGREEMENT:
            wanted = mm_from_metres(pixels[other] * scales[one])
            first, second = marks.known[one], marks.known[other]
            raise InputError(
                f"known length {second.start} to {second.end}",
                round(mm_from_metres(second.length), 1),
                f"{wanted:.1f} mm, as {first.start} to {first.end} "
                f"({mm_from_metres(first.length):.1f} mm) makes it, to {100 * DISAGREEMENT:.0f} %",
                "Take the picture square to the bicycle, from further away.",
            )
    return sum(known.length for known in marks.known) / sum(pixels)


def _pixels(marks: Marks, known: KnownLength) -> float:
    for name in (known.start, known.end):
        if name not in marks.points:
            raise InputError("marks.known", name, f"one of {', '.join(marks.points)}")
    if not known.length > 0:
        raise InputError("marks.known.length_mm", mm_from_metres(known.length), "more than 0 mm")
    count = distance(marks.points[known.start], marks.points[known.end])
    if count < FEWEST_PIXELS:
        wanted = f"at least {FEWEST_PIXELS:.0f} pixels long in the picture"
        raise InputError(f"known length {known.start} to {known.end}", round(count), wanted)
    return count


def _scaled(marks: Marks, per_pixel: Metre) -> dict[str, Point]:
    """Around the bottom bracket in metres, y up, facing right."""
    origin = marks.points["bottom_bracket"]
    way = 1.0 if marks.points["front_axle"][0] > marks.points["rear_axle"][0] else -1.0
    return {
        name: (way * (x - origin[0]) * per_pixel, (origin[1] - y) * per_pixel)
        for name, (x, y) in marks.points.items()
    }


def _levelled(points: dict[str, Point], rise: Metre) -> dict[str, Point]:
    """Turned so that the front axle stands ``rise`` above the rear one."""
    way = difference(points["front_axle"], points["rear_axle"])
    base = math.hypot(*way)
    if abs(rise) >= base:
        raise InputError(
            "front_radius_mm − rear_radius_mm", round(mm_from_metres(rise), 1), "less than the wheelbase"
        )
    turn = math.asin(rise / base) - math.atan2(way[1], way[0])
    return {name: _turned(point, turn) for name, point in points.items()}


def _turned(point: Point, angle: Radian) -> Point:
    cosine, sine = math.cos(angle), math.sin(angle)
    return cosine * point[0] - sine * point[1], sine * point[0] + cosine * point[1]


def _table(marks: Marks, points: Mapping[str, Point]) -> GeometryTable:
    top, bottom, rear, seat = (points[name] for name in ("head_top", "head_bottom", "rear_axle", "seat_top"))
    down = unit(difference(bottom, top))
    forward = turned_left(down)
    on_head = _along(top, down)
    seat_way = unit(seat)
    head = distance(top, bottom)
    seat_joint = points.get("top_tube_seat")
    stay = added(rear, (marks.stoker_distance, 0.0))
    return GeometryTable(
        kind=marks.kind,
        head_angle=math.atan2(-down[1], down[0]),
        seat_angle=math.atan2(seat_way[1], -seat_way[0]),
        stack=top[1],
        reach=top[0],
        bottom_bracket_drop=rear[1],
        chain_stay=math.hypot(*stay),
        head_tube=head,
        lower_bearing=marks.lower_bearing,
        rake=dot(difference(points["front_axle"], top), forward),
        rear_radius=marks.rear_radius,
        front_radius=marks.front_radius,
        seat_tube=math.hypot(*seat),
        top_tube_on_seat=dot(seat_joint, seat_way) if seat_joint else 0.92 * math.hypot(*seat),
        top_tube_below_head=on_head(points["top_tube_head"]) if "top_tube_head" in points else 0.2 * head,
        down_tube_above_head=head - on_head(points["down_tube_head"])
        if "down_tube_head" in points
        else 0.25 * head,
        stoker_distance=marks.stoker_distance,
    )


def _along(start: Point, way: Point) -> Callable[[Point], Metre]:
    return lambda point: dot(difference(point, start), way)
