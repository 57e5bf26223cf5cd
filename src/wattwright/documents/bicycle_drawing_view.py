"""What a bicycle drawing shows, and how the side plane comes onto the sheet: one scale both ways."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain
from typing import Final

from wattwright.documents.drawing import Mark, Pen, Point, circle, polygon
from wattwright.frame.findings import placed_outline
from wattwright.frame.placement import Placement
from wattwright.frame.plane import Outline, added, difference, unit
from wattwright.frame.room import Room
from wattwright.parts.fixing import FixingRules
from wattwright.units import Metre

SADDLE_RISE: Final = 0.15
"""[m] Of the drawn saddle above the seat tube; a picture, not a measure: saddles are not surveyed."""
SADDLE_LENGTH: Final = 0.27
"""[m] As drawn."""
MARGIN: Final = 14.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BicycleView:
    """One bicycle with what is put on it."""

    room: Room
    rules: FixingRules
    placements: tuple[Placement, ...] = ()
    """Chosen: inked, numbered, with dimension lines."""
    ghosts: tuple[Placement, ...] = ()
    """What would also fit: dashed."""
    refused: tuple[Placement, ...] = ()
    """What cannot be: framed and hatched, with the reason at the place."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """The side plane on the sheet: x to the right, y up, in px to the metre."""

    per_metre: float
    left: Metre
    """x at the sheet's left edge."""
    top: Metre
    """y at its upper edge."""

    def at(self, point: Point) -> Point:
        """Where a point of the side plane is drawn."""
        return (point[0] - self.left) * self.per_metre, (self.top - point[1]) * self.per_metre

    def all(self, points: Sequence[Point]) -> list[Point]:
        """Where several points are drawn."""
        return [self.at(point) for point in points]


def grown(core: Outline, radius: Metre) -> Outline:
    """A point, line or outline with a radius around it, as a closed outline. [m]."""
    from shapely import LineString, Polygon, get_coordinates  # noqa: PLC0415 (start-up)
    from shapely import Point as Dot  # noqa: PLC0415

    shape = Dot(core[0]) if len(core) == 1 else LineString(core) if len(core) == 2 else Polygon(core)
    body = shape.buffer(radius, quad_segs=16)
    return tuple((float(x), float(y)) for x, y in get_coordinates(body.exterior)[:-1])


def body(plane: Plane, core: Outline, radius: Metre, pen: Pen) -> Mark:
    """A core grown by a radius, drawn; a point as the circle it is."""
    if len(core) == 1:
        return circle(plane.at(core[0]), radius * plane.per_metre, pen)
    return polygon(plane.all(grown(core, radius) if radius else core), pen)


def saddle_places(room: Room) -> tuple[tuple[Point, Point], ...]:
    """Top of each seat tube and where its saddle is drawn."""
    ends = [
        sorted((tube.start, tube.end), key=lambda point: point[1])
        for tube in room.frame.tubes
        if tube.name.endswith("seat tube")
    ]
    return tuple((high, added(high, unit(difference(high, low)), SADDLE_RISE)) for low, high in ends)


def extent(view: BicycleView) -> tuple[Metre, Metre, Metre, Metre]:
    """Left, bottom, right and top of all that is drawn to scale. [m]."""
    frame = view.room.frame
    shapes = [
        *(grown((wheel.centre,), wheel.radius + (wheel.mudguard_gap or 0.0)) for wheel in frame.wheels),
        *(keepout.core for keepout in view.room.keepouts),
        *(
            part.outline
            for placement in (*view.placements, *view.ghosts, *view.refused)
            for part in placed_outline(view.room, placement, view.rules).parts
        ),
    ]
    for _, (x, y) in saddle_places(view.room):
        shapes.append(((x - SADDLE_LENGTH / 2, y), (x + SADDLE_LENGTH / 2, y + 0.03)))
    points = list(chain.from_iterable(shapes))
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def fitted(view: BicycleView, width: float, *, aside: float, above: float) -> tuple[Plane, float]:
    """The plane scaled to a sheet ``width`` wide, and the height of what is drawn on it. [px]."""
    left, bottom, right, top = extent(view)
    per_metre = (width - 2 * MARGIN - 2 * aside) / (right - left)
    plane = Plane(
        per_metre=per_metre,
        left=left - (MARGIN + aside) / per_metre,
        top=top + (MARGIN + above) / per_metre,
    )
    return plane, above + 2 * MARGIN + (top - bottom) * per_metre
