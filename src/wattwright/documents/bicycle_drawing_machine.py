"""The bicycle itself in side view: wheels, tubes, steering, cranks, saddle and what is fixed to it."""

import math
from collections.abc import Iterator
from typing import Final

from wattwright.documents.bicycle_drawing_view import (
    SADDLE_LENGTH,
    BicycleView,
    Plane,
    body,
    grown,
    saddle_places,
)
from wattwright.documents.drawing import Mark, Pen, Point, circle, line, polygon, polyline
from wattwright.documents.palette import Palette
from wattwright.frame.plane import added, difference, dot, pointing, turned_left, unit
from wattwright.frame.sections import section_at, tube_outline
from wattwright.frame.survey import Cranks, Frame, Side, Steering, Tube, Wheel

HUB: Final = 0.022
"""[m] As drawn."""
POST: Final = 0.0135
"""[m] Half the drawn thickness of seat post and stem."""
GUARD: Final = (math.radians(-15), math.radians(205))
"""From where to where a mudguard is drawn around its wheel, from ahead over the top."""
CRANK_ANGLE: Final = math.radians(-25)
HALF: Final = SADDLE_LENGTH / 2
SADDLE: Final = (
    (-HALF, 0.022), (-HALF, 0.03), (-0.02, 0.012), (HALF, 0.014), (HALF, 0.004), (0.0, -0.018),
    (-0.08, -0.022),
)  # fmt: skip
"""[m] Its outline about its middle."""
DASHES: Final = (5.0, 4.0)


def machine(view: BicycleView, plane: Plane, palette: Palette) -> tuple[Mark, ...]:
    """The bicycle, back to front."""
    frame = view.room.frame
    hair = Pen(stroke=palette.line, width=1.0)
    return (
        *_ground(frame, plane, hair),
        *(mark for wheel in frame.wheels for mark in _wheel(wheel, plane, palette)),
        *_locked(frame, plane, hair),
        *_saddles(view, plane, palette),
        *_fork(frame, plane, palette),
        *_struts(frame, plane, palette),
        *(_tube(tube, plane, palette) for tube in _back_to_front(frame)),
        *_things(frame, plane, palette),
        *(mark for cranks in frame.cranks for mark in _cranks(cranks, plane, palette)),
    )


def bosses(view: BicycleView, plane: Plane, palette: Palette) -> tuple[Mark, ...]:
    """A small ring at each boss, on the surface it opens to."""
    pen = Pen(stroke=palette.accent, width=1.75, fill=palette.sheet)
    return tuple(circle(plane.at(place), 3.2, pen) for place in boss_places(view))


def boss_places(view: BicycleView) -> Iterator[Point]:
    """Where each boss opens, in the side plane, in the order of the survey."""
    for boss in view.room.frame.bosses:
        tube = view.room.frame.tube(boss.tube)
        along = unit(difference(tube.end, tube.start))
        share = boss.position / math.dist(tube.start, tube.end)
        left = turned_left(along)
        wanted = {
            Side.ABOVE: (0.0, 1.0),
            Side.BELOW: (0.0, -1.0),
            Side.FRONT: (1.0, 0.0),
            Side.BEHIND: (-1.0, 0.0),
        }[boss.side]
        way = math.copysign(section_at(tube, share).depth / 2, dot(left, wanted))
        yield added(added(tube.start, along, boss.position), left, way)


def _back_to_front(frame: Frame) -> list[Tube]:
    """Tubes of a pair stand to the sides and are drawn last."""
    return sorted(frame.tubes, key=lambda tube: tube.spread)


def _tube(tube: Tube, plane: Plane, palette: Palette) -> Mark:
    pen = Pen(stroke=palette.ink, width=1.25, fill=palette.steel)
    return polygon(plane.all(tube_outline(tube)), pen)


def _ground(frame: Frame, plane: Plane, hair: Pen) -> Iterator[Mark]:
    lowest = min(wheel.centre[1] - wheel.radius for wheel in frame.wheels)
    xs = [wheel.centre[0] + way * wheel.radius for wheel in frame.wheels for way in (-1.05, 1.05)]
    yield line(plane.at((min(xs), lowest)), plane.at((max(xs), lowest)), hair)


def _wheel(wheel: Wheel, plane: Plane, palette: Palette) -> Iterator[Mark]:
    centre, scale = plane.at(wheel.centre), plane.per_metre
    yield circle(centre, wheel.radius * scale, Pen(stroke=palette.ink, width=1.5))
    yield circle(centre, (wheel.radius - wheel.tyre_width) * scale, Pen(stroke=palette.line))
    yield circle(centre, HUB * scale, Pen(stroke=palette.ink, fill=palette.sheet))
    if wheel.mudguard_gap is not None:
        radius = wheel.radius + wheel.mudguard_gap
        arc = [added(wheel.centre, pointing(angle), radius) for angle in _steps(*GUARD)]
        yield polyline(plane.all(arc), Pen(stroke=palette.ink, width=1.75))


def _steps(start: float, end: float, count: int = 64) -> list[float]:
    return [start + (end - start) * step / (count - 1) for step in range(count)]


def turned_by_lock(steering: Steering, point: Point, aside: float = 0.0) -> Point:
    """Where a point of fork or wheel is seen from the side at full lock; ``aside`` from the middle plane."""
    down = unit(difference(steering.bottom, steering.top))
    forward = turned_left(down)
    way = difference(point, steering.bottom)
    ahead = dot(way, forward) * math.cos(steering.lock) - aside * math.sin(steering.lock)
    return added(added(steering.bottom, down, dot(way, down)), forward, ahead)


def _locked(frame: Frame, plane: Plane, hair: Pen) -> Iterator[Mark]:
    """Steered wheel and fork at full lock, in hair lines."""
    if frame.steering is None:
        return
    for wheel in frame.wheels:
        if wheel.is_steered:
            rim = [added(wheel.centre, pointing(angle), wheel.radius) for angle in _steps(0, 2 * math.pi, 90)]
            yield polygon([plane.at(turned_by_lock(frame.steering, point)) for point in rim], hair)
    crown, foot = _crown(frame.steering), frame.steering.blade_end
    for side in (-1.0, 1.0):
        aside = side * frame.steering.blade_spread
        ends = tuple(turned_by_lock(frame.steering, point, aside) for point in (crown, foot))
        yield body(plane, ends, frame.steering.blade_radius, hair)


def _crown(steering: Steering) -> Point:
    return added(steering.bottom, unit(difference(steering.bottom, steering.top)), steering.crown_drop)


def _fork(frame: Frame, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """Blades at rest, stem and bars."""
    if frame.steering is None:
        return
    steering = frame.steering
    down = unit(difference(steering.bottom, steering.top))
    filled = Pen(stroke=palette.ink, width=1.25, fill=palette.steel)
    yield body(plane, (_crown(steering), steering.blade_end), steering.blade_radius, filled)
    yield body(plane, (steering.bottom, _crown(steering)), steering.blade_radius * 1.3, filled)
    stem = added(steering.top, down, -steering.bar_height)
    bar = added(stem, turned_left(down), steering.bar_reach)
    yield body(plane, (steering.top, stem), POST, filled)
    if math.dist(stem, bar) > 0.001:
        yield body(plane, (stem, bar), POST, filled)
    yield body(plane, (bar,), steering.bar_radius, Pen(stroke=palette.ink, width=1.5, fill=palette.sheet))


def _saddles(view: BicycleView, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """Saddles and their posts, as a picture: they are not surveyed."""
    pen = Pen(stroke=palette.soft, width=1.25, fill=palette.hair)
    for foot, (x, y) in saddle_places(view.room):
        yield body(plane, (foot, (x, y - 0.02)), POST, pen)
        yield polygon(plane.all([(x + u, y + v) for u, v in SADDLE]), pen)


def _struts(frame: Frame, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """What carries a rack or platform, as a picture: to the nearer axle."""
    for tube in frame.tubes:
        if tube.name in {"rear rack", "front platform"}:
            wheel = frame.wheels[0] if tube.name == "rear rack" else frame.wheels[-1]
            for share in (0.35, 0.75):
                at = added(tube.start, difference(tube.end, tube.start), share)
                yield line(plane.at(at), plane.at(wheel.centre), Pen(stroke=palette.soft, width=2.0))


def _things(frame: Frame, plane: Plane, palette: Palette) -> Iterator[Mark]:
    shell = Pen(stroke=palette.ink, width=1.25, fill=palette.steel)
    other = Pen(stroke=palette.soft, width=1.25, fill=palette.hair)
    for thing in frame.obstacles:
        pen = shell if thing.name.endswith("bottom bracket") else other
        yield body(plane, thing.outline, thing.radius, pen)


def _cranks(cranks: Cranks, plane: Plane, palette: Palette) -> Iterator[Mark]:
    """One crank with its pedal, chainring, and in dashes what crank and foot sweep."""
    dashed = Pen(stroke=palette.soft, width=1.0, dash=DASHES)
    yield circle(plane.at(cranks.centre), (cranks.arm + cranks.arm_end) * plane.per_metre, dashed)
    heel = (cranks.centre[0] - cranks.heel_behind, cranks.centre[1])
    toe = (cranks.centre[0] + cranks.toe_ahead, cranks.centre[1])
    swept = grown((heel, toe), cranks.arm + cranks.foot_height)
    yield polygon(plane.all(swept), Pen(stroke=palette.line, width=1.0, dash=(2.0, 4.0)))
    if cranks.chainring_radius > 0:
        pen = Pen(stroke=palette.soft, width=1.25)
        yield circle(plane.at(cranks.centre), cranks.chainring_radius * plane.per_metre, pen)
    pedal = added(cranks.centre, pointing(CRANK_ANGLE), cranks.arm)
    pen = Pen(stroke=palette.ink, width=1.0, fill=palette.sheet)
    yield body(plane, (cranks.centre, pedal), 0.010, pen)
    yield body(plane, ((pedal[0] - 0.045, pedal[1]), (pedal[0] + 0.045, pedal[1])), 0.007, pen)
