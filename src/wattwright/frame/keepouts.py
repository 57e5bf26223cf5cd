"""What stands in the way on a bicycle: tubes, wheels, cranks, feet, knees, steering, things fixed to it."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.frame.outline import OutlinePart
from wattwright.frame.placement import Keepout
from wattwright.frame.plane import Outline, added, difference, distance, dot, pointing, turned_left, unit
from wattwright.frame.sections import half_width, tube_outline
from wattwright.frame.survey import ClearanceKind, Cranks, Frame, Legs, Point, Steering, Wheel
from wattwright.units import Metre, mm_from_metres

BANDS: Final = (0.0, 0.02, 0.04, 0.06, 0.08, 0.10, 0.12)
"""[m] Bars reach further back the further out; each band of distances from the middle takes its worst."""
KNEE_STEPS: Final = 72
LOCK_STEPS: Final = 181


def keepouts_of(frame: Frame) -> tuple[Keepout, ...]:
    """Everything a stack must keep away from, with the clearance of its kind.

    Returns:
        Tubes first (by their own names), then wheels, cranks, feet, knees, steering, obstacles. [m]

    Raises:
        InputError: If the rider's legs cannot reach the pedals.

    Notes:
        Between the two tubes of a pair nothing is let in. A steered wheel counts straight ahead and, to the
        sides, as wide as it swings: turning brings it nearer to the axis only, away from a stack behind it.
    """
    return tuple(_with_clearance(frame))


def stands_beside(part: OutlinePart, keepout: Keepout) -> bool:
    """Whether a part passes a keepout to its left or right at the wanted clearance."""
    return part.low - keepout.clearance >= keepout.high or part.high + keepout.clearance <= keepout.low


def _with_clearance(frame: Frame) -> Iterator[Keepout]:
    for name, kind, core, radius, stretch in _bodies(frame):
        yield Keepout(
            name=name,
            kind=kind,
            core=core,
            radius=radius,
            low=stretch[0],
            high=stretch[1],
            clearance=frame.clearances.get(kind, 0.0),
        )


Body = tuple[str, ClearanceKind, Outline, Metre, tuple[Metre, Metre]]


def _bodies(frame: Frame) -> Iterator[Body]:
    for tube in frame.tubes:
        side = half_width(tube)
        yield tube.name, ClearanceKind.TUBE, tube_outline(tube), 0.0, (-side, side)
    for wheel in frame.wheels:
        yield from _wheel(wheel, frame.steering)
    for cranks in frame.cranks:
        yield from _cranks(cranks)
        if frame.legs is not None:
            yield from _knees(frame.legs, cranks)
    if frame.steering is not None:
        yield from _steering(frame.steering)
    for obstacle in frame.obstacles:
        yield (
            obstacle.name,
            obstacle.kind,
            obstacle.outline,
            obstacle.radius,
            (obstacle.low, obstacle.high),
        )


def _both_sides(
    name: str, kind: ClearanceKind, core: Outline, radius: Metre, stretch: tuple[Metre, Metre]
) -> Iterator[Body]:
    inner, outer = stretch
    yield f"left {name}", kind, core, radius, (-outer, -inner)
    yield f"right {name}", kind, core, radius, (inner, outer)


def _wheel(wheel: Wheel, steering: Steering | None) -> Iterator[Body]:
    side = wheel.tyre_width / 2
    swing = 0.0
    if wheel.is_steered and steering is not None:
        behind = wheel.radius - dot(difference(wheel.centre, steering.bottom), _forward(steering))
        swing = max(0.0, behind) * math.sin(min(steering.lock, math.pi / 2))
    yield wheel.name, ClearanceKind.WHEEL, (wheel.centre,), wheel.radius, (-side - swing, side + swing)
    if wheel.mudguard_gap is not None:
        cover = max(wheel.mudguard_width / 2, side) + swing
        yield (
            f"mudguard of the {wheel.name}",
            ClearanceKind.MUDGUARD,
            (wheel.centre,),
            wheel.radius + wheel.mudguard_gap,
            (-cover, cover),
        )


def _cranks(cranks: Cranks) -> Iterator[Body]:
    centre = cranks.centre
    yield from _both_sides(
        "crank",
        ClearanceKind.CRANK,
        (centre,),
        cranks.arm + cranks.arm_end,
        (cranks.arm_inner, cranks.arm_outer),
    )
    heel, toe = (centre[0] - cranks.heel_behind, centre[1]), (centre[0] + cranks.toe_ahead, centre[1])
    # The shoe keeps level while its pedal goes round: a disc of the crank's length drawn along the shoe.
    yield from _both_sides(
        "foot",
        ClearanceKind.FOOT,
        (heel, toe),
        cranks.arm + cranks.foot_height,
        (cranks.foot_inner, cranks.foot_outer),
    )
    if cranks.chainring_radius > 0:
        stretch = (cranks.chainring_inner, cranks.chainring_outer)
        yield "chainring", ClearanceKind.CHAINRING, (centre,), cranks.chainring_radius, stretch


def _knees(legs: Legs, cranks: Cranks) -> Iterator[Body]:
    places = [
        _knee(legs, added(cranks.centre, pointing(angle), cranks.arm))
        for angle in np.linspace(0.0, 2.0 * math.pi, KNEE_STEPS, endpoint=False)
    ]
    yield from _both_sides(
        "knee",
        ClearanceKind.KNEE,
        _hull(places),
        legs.knee_radius,
        (legs.knee_inner, legs.knee_inner + 2.0 * legs.knee_radius),
    )


def _knee(legs: Legs, pedal: Point) -> Point:
    """The knee ahead of the line from hip to pedal."""
    way = difference(pedal, legs.hip)
    reach = math.hypot(*way)
    if not abs(legs.thigh - legs.shank) <= reach <= legs.thigh + legs.shank:
        raise InputError(
            "thigh_mm + shank_mm",
            round(mm_from_metres(legs.thigh + legs.shank)),
            f"enough for hip to pedal, {mm_from_metres(reach):.0f} mm",
            "Lower the saddle, or measure the legs again.",
        )
    along = (legs.thigh**2 - legs.shank**2 + reach**2) / (2.0 * reach)
    aside = math.sqrt(max(0.0, legs.thigh**2 - along**2))
    direction = unit(way)
    return added(added(legs.hip, direction, along), turned_left(direction), aside)


def _hull(points: list[Point]) -> Outline:
    from shapely import MultiPoint, get_coordinates  # noqa: PLC0415 (start-up)

    corners = get_coordinates(MultiPoint(points).convex_hull)[:-1]
    return tuple((float(x), float(y)) for x, y in corners)


def _forward(steering: Steering) -> Point:
    """Unit vector across the steering axis, forward."""
    return turned_left(unit(difference(steering.bottom, steering.top)))


def _steering(steering: Steering) -> Iterator[Body]:
    down = unit(difference(steering.bottom, steering.top))
    crown = added(steering.bottom, down, steering.crown_drop)
    yield from _blades(steering, crown)
    spread, thickness = steering.blade_spread, steering.blade_radius
    yield from _bar(steering, "fork crown", crown, (0.0, spread, thickness))
    bars = added(steering.top, down, -steering.bar_height)
    size = (steering.bar_reach, steering.bar_half_width, steering.bar_radius)
    yield from _bar(steering, "bars", bars, size)


def _blades(steering: Steering, crown: Point) -> Iterator[Body]:
    """Both fork blades, from full lock one way to full lock the other."""
    forward, radius = _forward(steering), steering.blade_radius
    offset = dot(difference(steering.blade_end, crown), forward)
    foot = added(steering.blade_end, forward, -offset)
    back, ahead = _swing(0.0, steering)
    foot_back, foot_ahead = _swing(offset, steering)
    core = (
        added(crown, forward, back),
        added(foot, forward, foot_back),
        added(foot, forward, foot_ahead),
        added(crown, forward, ahead),
    )
    lock = min(steering.lock, math.pi / 2)
    inner = steering.blade_spread * math.cos(lock) - abs(offset) * math.sin(lock) - radius
    outer = steering.blade_spread + abs(offset) + radius
    yield from _both_sides("fork blade", ClearanceKind.STEERING, core, radius, (max(0.0, inner), outer))


def _swing(offset: Metre, steering: Steering) -> tuple[Metre, Metre]:
    """How far back and ahead of the axis a blade ``offset`` forward of it comes between the locks."""
    turns = np.linspace(-steering.lock, steering.lock, 2 * LOCK_STEPS - 1)
    places = offset * np.cos(turns) - steering.blade_spread * np.sin(turns)
    return float(places.min()), float(places.max())


def _bar(steering: Steering, name: str, middle: Point, size: tuple[Metre, Metre, Metre]) -> Iterator[Body]:
    """A bar across the steering axis, as it swings through each band of distances from the middle plane.

    ``size``: how far ahead of the axis, half its width, its radius.
    """
    reach, half, radius = size
    forward = _forward(steering)
    for inner, outer in (*pairwise(BANDS), (BANDS[-1], max(half, BANDS[-1]) + abs(reach))):
        found = _bar_reach(steering, reach, half + radius, (inner - radius, outer + radius))
        if found is not None:
            core = (added(middle, forward, found[0]), added(middle, forward, found[1]))
            line = core if distance(*core) > 0 else core[:1]
            yield from _both_sides(name, ClearanceKind.STEERING, line, radius, (inner, outer))


def _bar_reach(
    steering: Steering, reach: Metre, half: Metre, band: tuple[Metre, Metre]
) -> tuple[Metre, Metre] | None:
    """Least and most forward place of the bar's middle line where it lies in a band of z.

    Turned by δ, the point z of a bar ``reach`` ahead of the axis stands at reach cos δ − z sin δ forward
    and z' = reach sin δ + z cos δ to the side.
    """
    turns = np.linspace(-steering.lock, steering.lock, 2 * LOCK_STEPS - 1)
    sine, cosine = np.sin(turns), np.cos(turns)
    upright = np.abs(cosine) < 1e-9
    edges = (np.asarray(band)[:, None] - reach * sine) / np.where(upright, 1.0, cosine)
    low, high = np.maximum(-half, edges.min(axis=0)), np.minimum(half, edges.max(axis=0))
    # Turned by a right angle the bar lies along the bicycle: all of it in the band, or none.
    inside = (band[0] <= reach * sine) & (reach * sine <= band[1])
    low, high = np.where(upright, -half, low), np.where(upright, half, high)
    met = np.where(upright, inside, low <= high)
    if not met.any():
        return None
    places = reach * cosine - np.stack([low, high]) * sine
    return float(places[:, met].min()), float(places[:, met].max())
