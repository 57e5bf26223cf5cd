"""Faces: every side of a tube or rack that could carry something, with its bosses and free length."""

from collections.abc import Sequence
from typing import Final

from wattwright.errors import InputError
from wattwright.frame.keepouts import stands_beside
from wattwright.frame.outline import OutlinePart
from wattwright.frame.placement import Face, FaceBoss, Keepout
from wattwright.frame.plane import Outline, added, difference, distance, dot, turned_left, unit
from wattwright.frame.sections import axis_length, section_at
from wattwright.frame.sliding import Interval, blocked_offsets, left_free
from wattwright.frame.survey import ClearanceKind, Frame, Point, Side, Tube
from wattwright.units import Metre, mm_from_metres

STEEPEST: Final = 0.05
"""A normal less than this (sine of its angle) upward, or forward, has no such side."""


def faces_of(frame: Frame, keepouts: Sequence[Keepout]) -> tuple[Face, ...]:
    """The faces of every tube's sides, in the order of the tubes; ``keepouts`` are the frame's own.

    Raises:
        InputError: If a tube has no such side (above a vertical tube), or a boss lies beyond its tube.
    """
    _check_bosses(frame)
    solid = tuple(keepout for keepout in keepouts if keepout.kind is ClearanceKind.TUBE)
    return tuple(_face(frame, tube, side, solid) for tube in frame.tubes for side in tube.sides)


def in_plane(face: Face, point: Point) -> Point:
    """A point (s, h) of the face in the side plane."""
    return added(added(face.origin, face.along, point[0]), face.outward, point[1])


def outline_in_plane(face: Face, outline: Outline) -> Outline:
    """An outline in (s, h) in the side plane."""
    return tuple(in_plane(face, point) for point in outline)


def on_face(face: Face, point: Point) -> Point:
    """A point of the side plane as (s, h) of the face."""
    way = difference(point, face.origin)
    return dot(way, face.along), dot(way, face.outward)


def blocked_on_face(face: Face, part: OutlinePart, keepouts: Sequence[Keepout]) -> tuple[Interval, ...]:
    """Shifts along the face at which a part (in the side plane) comes too near to any keepout.

    The face's own tube does not count: the part sits on it.
    """
    found = [
        interval
        for keepout in keepouts
        if keepout.name != face.tube and not stands_beside(part, keepout)
        for interval in blocked_offsets(
            part.outline, face.along, keepout.core, keepout.radius + keepout.clearance
        )
    ]
    return tuple(sorted(found))


def _face(frame: Frame, tube: Tube, side: Side, solid: Sequence[Keepout]) -> Face:
    outward = _normal(tube, side)
    origin = added(tube.start, outward, tube.start_section.depth / 2)
    end = added(tube.end, outward, tube.end_section.depth / 2)
    along = unit(difference(end, origin))
    left = turned_left(along)
    face = Face(
        name=f"{side.value} {tube.name}",
        tube=tube.name,
        side=side,
        origin=origin,
        along=along,
        outward=left if dot(left, outward) > 0 else (-left[0], -left[1]),
        length=distance(origin, end),
        usable=(0.0, 0.0),
        bosses=(),
    )
    return _with_bosses(face, frame, tube, _usable(face, solid))


def _with_bosses(face: Face, frame: Frame, tube: Tube, usable: Interval) -> Face:
    bosses = sorted(
        (_boss_on_face(face, tube, boss.position), boss.thread, index)
        for index, boss in enumerate(frame.bosses)
        if boss.tube == tube.name and boss.side is face.side
    )
    return Face(
        name=face.name,
        tube=face.tube,
        side=face.side,
        origin=face.origin,
        along=face.along,
        outward=face.outward,
        length=face.length,
        usable=usable,
        bosses=tuple(FaceBoss(s=s, thread=thread, index=index) for s, thread, index in bosses),
    )


def _boss_on_face(face: Face, tube: Tube, position: Metre) -> Metre:
    """A boss's place along the surface, from its place along the axis."""
    length = axis_length(tube)
    foot = added(tube.start, unit(difference(tube.end, tube.start)), position)
    depth = section_at(tube, position / length).depth
    return on_face(face, added(foot, _normal(tube, face.side), depth / 2))[0]


def _normal(tube: Tube, side: Side) -> Point:
    """Unit vector across the tube's axis, to the wanted side."""
    left = turned_left(unit(difference(tube.end, tube.start)))
    wanted = {
        Side.ABOVE: (0.0, 1.0),
        Side.BELOW: (0.0, -1.0),
        Side.FRONT: (1.0, 0.0),
        Side.BEHIND: (-1.0, 0.0),
    }
    share = dot(left, wanted[side])
    if abs(share) < STEEPEST:
        other = "front or behind" if side in {Side.ABOVE, Side.BELOW} else "above or below"
        raise InputError(f"side of {tube.name}", side.value, f"{other}: the tube runs the other way")
    return left if share > 0 else (-left[0], -left[1])


def _usable(face: Face, solid: Sequence[Keepout]) -> Interval:
    """The longest stretch of the surface inside no other tube."""
    dot_ = OutlinePart(name="surface", outline=(face.origin,), low=0.0, high=0.0)
    bare = [
        interval
        for keepout in solid
        if keepout.name != face.tube and not stands_beside(dot_, keepout)
        for interval in blocked_offsets(dot_.outline, face.along, keepout.core, keepout.radius)
    ]
    free = left_free((0.0, face.length), bare)
    return max(free, key=lambda stretch: stretch[1] - stretch[0], default=(0.0, 0.0))


def _check_bosses(frame: Frame) -> None:
    tubes = {tube.name: tube for tube in frame.tubes}
    for number, boss in enumerate(frame.bosses, start=1):
        if boss.tube not in tubes:
            raise InputError(f"bosses[{number}].tube", boss.tube, f"one of {', '.join(tubes)}")
        length = axis_length(tubes[boss.tube])
        if not 0 <= boss.position <= length:
            raise InputError(
                f"bosses[{number}].position_mm",
                round(mm_from_metres(boss.position), 1),
                f"on the {boss.tube}, which is {mm_from_metres(length):.0f} mm long",
            )
