"""A frame from its geometry: tubes by kind, wheels, cranks, steering, racks."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from wattwright.errors import InputError
from wattwright.frame.geometry import GeometryTable, Joints, solved
from wattwright.frame.plane import added, crosses_itself, difference, unit
from wattwright.frame.sections import axis_length
from wattwright.frame.survey import (
    Boss,
    ClearanceKind,
    Cranks,
    Frame,
    FrameKind,
    Legs,
    Obstacle,
    Point,
    Section,
    SectionShape,
    Side,
    Steering,
    Tube,
    Wheel,
)
from wattwright.parts.fixing import Material
from wattwright.units import Metre, Radian, mm_from_metres

ALONG: Final = (Side.ABOVE, Side.BELOW)
UPRIGHT: Final = (Side.FRONT, Side.BEHIND)


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeSize:
    """How thick one tube is at both ends, and of what."""

    start: Section
    """At the bottom bracket, seat or rear end, as the tube's name has it."""
    end: Section
    material: Material
    wall: Metre
    spread: Metre = 0.0
    """Distance of each of a pair from the middle plane."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Deck:
    """A rack or platform: a flat body over a wheel."""

    length: Metre
    width: Metre
    thickness: Metre
    gap: Metre
    """Between tyre and underside."""
    material: Material


@dataclass(frozen=True, slots=True, kw_only=True)
class Equipment:
    """What is on the frame, measured or usual for its kind."""

    tubing: Mapping[str, TubeSize]
    """By the name of the tube; "usual" stands for those that are not named."""
    tyre_width: Metre
    mudguard_gap: Metre | None
    mudguard_width: Metre
    cranks: Cranks
    """Around (0, 0); a tandem has a second set."""
    lock: Radian
    crown_drop: Metre
    blade_spread: Metre
    blade_radius: Metre
    bar_height: Metre
    bar_reach: Metre
    bar_half_width: Metre
    bar_radius: Metre
    shell_radius: Metre
    """Of the bottom bracket."""
    shell_width: Metre
    beam_on_seat: Metre
    """Of a folding frame: bottom bracket to the main beam's axis, along the seat tube."""
    rack: Deck | None = None
    """Over the rear wheel, where there is one."""
    platform: Deck | None = None
    """Over the front wheel, fixed to the frame."""
    legs: Legs | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Additions:
    """What was measured beside the geometry: bosses, obstacles, tubes of its own making."""

    bosses: tuple[Boss, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    tubes: tuple[Tube, ...] = ()
    """Added to those of the kind; one of the same name replaces it."""
    notes: tuple[str, ...] = ()


def build_frame(
    title: str,
    table: GeometryTable,
    equipment: Equipment,
    clearances: Mapping[ClearanceKind, Metre],
    additions: Additions,
) -> Frame:
    """The frame of a kind with this geometry.

    Args:
        title: As it stands on the sheet.
        table: The geometry.
        equipment: Tube sizes, wheels, cranks, steering.
        clearances: Distance to keep by kind. [m]
        additions: Bosses, obstacles, further tubes, notes.

    Returns:
        The frame, ready for ``room.room_of``.

    Raises:
        InputError: If the geometry is impossible, a tube has no size or no length, an outline crosses itself.
    """
    joints = solved(table)
    own = {tube.name: tube for tube in additions.tubes}
    derived = [own.pop(tube.name, tube) for tube in TUBES_OF[table.kind](table, joints, equipment)]
    tubes = (*derived, *own.values())
    shells = tuple(_shells(joints, equipment))
    for tube in tubes:
        _check_tube(tube)
    for obstacle in additions.obstacles:
        _check_outline(obstacle)
    return Frame(
        title=title,
        kind=table.kind,
        tubes=tubes,
        wheels=_wheels(table, joints, equipment),
        cranks=_cranks(joints, equipment),
        steering=_steering(table, joints, equipment),
        clearances=clearances,
        bosses=additions.bosses,
        obstacles=(*shells, *additions.obstacles),
        legs=equipment.legs,
        notes=additions.notes,
    )


def _size(equipment: Equipment, name: str) -> TubeSize:
    return equipment.tubing[name] if name in equipment.tubing else equipment.tubing["usual"]


def _tube(equipment: Equipment, name: str, ends: tuple[Point, Point], sides: tuple[Side, ...] = ()) -> Tube:
    size = _size(equipment, name)
    return Tube(
        name=name,
        start=ends[0],
        end=ends[1],
        start_section=size.start,
        end_section=size.end,
        material=size.material,
        wall=size.wall,
        sides=sides,
        spread=size.spread,
    )


def _main_tubes(joints: Joints, equipment: Equipment) -> Iterator[Tube]:
    """Head, down and seat tube and the chain stays: what every kind but the folding one has."""
    origin = (0.0, 0.0)
    yield _tube(equipment, "head tube", (joints.head_bottom, joints.head_top))
    yield _tube(equipment, "down tube", (origin, joints.down_tube_head), ALONG)
    yield _tube(equipment, "seat tube", (origin, joints.seat_top), UPRIGHT)
    yield _tube(equipment, "chain stays", (joints.rear_bottom_bracket, joints.rear_axle))


def _diamond(table: GeometryTable, joints: Joints, equipment: Equipment) -> Iterator[Tube]:
    """Main triangle and rear triangle; also a step-through, whose top tube only meets both tubes lower."""
    yield from _main_tubes(joints, equipment)
    yield _tube(equipment, "top tube", (joints.top_tube_seat, joints.top_tube_head), ALONG)
    yield _tube(equipment, "seat stays", (joints.rear_axle, _stay_top(table, joints)))
    yield from _decks(table, joints, equipment)


def _mixte(table: GeometryTable, joints: Joints, equipment: Equipment) -> Iterator[Tube]:
    """Twin tubes from the head tube past the seat tube to the rear axle."""
    yield from _main_tubes(joints, equipment)
    yield _tube(equipment, "twin tubes", (joints.rear_axle, joints.top_tube_head))
    yield _tube(equipment, "seat stays", (joints.rear_axle, _stay_top(table, joints)))
    yield from _decks(table, joints, equipment)


def _folding(table: GeometryTable, joints: Joints, equipment: Equipment) -> Iterator[Tube]:
    """One beam from the seat tube to the head tube."""
    foot = added((0.0, 0.0), unit(joints.seat_top), equipment.beam_on_seat)
    yield _tube(equipment, "head tube", (joints.head_bottom, joints.head_top))
    yield _tube(equipment, "main beam", (foot, joints.down_tube_head), ALONG)
    yield _tube(equipment, "seat tube", ((0.0, 0.0), joints.seat_top), UPRIGHT)
    yield _tube(equipment, "chain stays", (joints.rear_bottom_bracket, joints.rear_axle))
    yield _tube(equipment, "seat stays", (joints.rear_axle, _stay_top(table, joints)))
    yield from _decks(table, joints, equipment)


def _tandem(table: GeometryTable, joints: Joints, equipment: Equipment) -> Iterator[Tube]:
    """Two seat tubes, a keel between the bottom brackets, one long top tube."""
    if table.stoker_distance <= 0:
        raise InputError("stoker_distance_mm", 0.0, "the distance of the two bottom brackets, more than 0 mm")
    shift = (-table.stoker_distance, 0.0)
    rear_seat = added(joints.top_tube_seat, shift)
    yield from _main_tubes(joints, equipment)
    yield _tube(equipment, "keel tube", (joints.rear_bottom_bracket, (0.0, 0.0)), ALONG)
    yield _tube(
        equipment, "rear seat tube", (joints.rear_bottom_bracket, added(joints.seat_top, shift)), UPRIGHT
    )
    yield _tube(equipment, "top tube", (joints.top_tube_seat, joints.top_tube_head), ALONG)
    yield _tube(equipment, "rear top tube", (rear_seat, joints.top_tube_seat), ALONG)
    yield _tube(equipment, "seat stays", (joints.rear_axle, rear_seat))
    yield from _decks(table, joints, equipment)


TUBES_OF: Final[Mapping[FrameKind, Callable[[GeometryTable, Joints, Equipment], Iterator[Tube]]]] = {
    FrameKind.DIAMOND: _diamond,
    FrameKind.STEP_THROUGH: _diamond,
    FrameKind.SMALL_WHEELS: _diamond,
    FrameKind.LONGTAIL: _diamond,
    FrameKind.CARGO: _diamond,
    FrameKind.MIXTE: _mixte,
    FrameKind.FOLDING: _folding,
    FrameKind.TANDEM: _tandem,
}


def _stay_top(table: GeometryTable, joints: Joints) -> Point:
    """Where the seat stays meet the seat tube: at the top tube, or just under its top without one."""
    has_top_tube = table.kind in {
        FrameKind.DIAMOND,
        FrameKind.LONGTAIL,
        FrameKind.CARGO,
        FrameKind.SMALL_WHEELS,
    }
    return joints.top_tube_seat if has_top_tube else joints.seat_top


def _decks(table: GeometryTable, joints: Joints, equipment: Equipment) -> Iterator[Tube]:
    """A rack behind the seat tube over the rear wheel, a platform ahead of the head tube over the front."""
    if (rack := equipment.rack) is not None:
        height = joints.rear_axle[1] + table.rear_radius + rack.gap + rack.thickness / 2
        front = (_on_line(joints.seat_top, height) - table.stoker_distance, height)
        yield _deck("rear rack", (added(front, (-rack.length, 0.0)), front), rack)
    if (platform := equipment.platform) is not None:
        height = joints.front_axle[1] + table.front_radius + platform.gap + platform.thickness / 2
        back = (joints.head_bottom[0], max(height, joints.head_bottom[1]))
        yield _deck("front platform", (back, added(back, (platform.length, 0.0))), platform)


def _on_line(top: Point, height: Metre) -> Metre:
    """Where the line from the bottom bracket to ``top`` has this height; x."""
    return top[0] * height / top[1]


def _deck(name: str, ends: tuple[Point, Point], deck: Deck) -> Tube:
    section = Section(shape=SectionShape.FLAT_SIDED, width=deck.width, depth=deck.thickness)
    return Tube(
        name=name,
        start=ends[0],
        end=ends[1],
        start_section=section,
        end_section=section,
        material=deck.material,
        wall=deck.thickness / 2,
        sides=ALONG,
    )


def _wheels(table: GeometryTable, joints: Joints, equipment: Equipment) -> tuple[Wheel, ...]:
    rear = Wheel(
        name="rear wheel",
        centre=joints.rear_axle,
        radius=table.rear_radius,
        tyre_width=equipment.tyre_width,
        mudguard_gap=equipment.mudguard_gap,
        mudguard_width=equipment.mudguard_width,
    )
    front = replace(
        rear, name="front wheel", centre=joints.front_axle, radius=table.front_radius, is_steered=True
    )
    return rear, front


def _cranks(joints: Joints, equipment: Equipment) -> tuple[Cranks, ...]:
    front = equipment.cranks
    rear = replace(front, centre=joints.rear_bottom_bracket)
    return (front,) if rear == front else (front, rear)


def _steering(table: GeometryTable, joints: Joints, equipment: Equipment) -> Steering:
    down = unit(difference(joints.head_bottom, joints.head_top))
    return Steering(
        top=joints.head_top,
        bottom=added(joints.head_bottom, down, table.lower_bearing),
        lock=equipment.lock,
        crown_drop=equipment.crown_drop,
        blade_end=joints.front_axle,
        blade_spread=equipment.blade_spread,
        blade_radius=equipment.blade_radius,
        bar_height=equipment.bar_height,
        bar_reach=equipment.bar_reach,
        bar_half_width=equipment.bar_half_width,
        bar_radius=equipment.bar_radius,
    )


def _shells(joints: Joints, equipment: Equipment) -> Iterator[Obstacle]:
    for centre in dict.fromkeys(((0.0, 0.0), joints.rear_bottom_bracket)):
        yield Obstacle(
            name="bottom bracket" if centre == (0.0, 0.0) else "rear bottom bracket",
            kind=ClearanceKind.TUBE,
            outline=(centre,),
            radius=equipment.shell_radius,
            low=-equipment.shell_width / 2,
            high=equipment.shell_width / 2,
        )


def _check_tube(tube: Tube) -> None:
    if tube.spread > 0 and tube.sides:
        raise InputError(f"sides of the {tube.name}", len(tube.sides), "none: nothing sits on one of a pair")
    for end, section in (("start", tube.start_section), ("end", tube.end_section)):
        for name in ("width", "depth"):
            size: Metre = getattr(section, name)
            if size <= 0:
                raise InputError(f"{name} of the {tube.name} at its {end}", _mm(size), "more than 0 mm")
            if 2 * tube.wall > size:
                wanted = f"no more than half the {name}, which is {_mm(size):g} mm"
                raise InputError(f"wall_mm of the {tube.name}", _mm(tube.wall), wanted)
        if axis_length(tube) <= section.depth / 2:
            wanted = f"more than half its thickness, which is {_mm(section.depth):g} mm"
            raise InputError(f"length of the {tube.name}", _mm(axis_length(tube)), wanted)


def _check_outline(obstacle: Obstacle) -> None:
    name = f"outline of {obstacle.name!r}"
    if len(obstacle.outline) > 2 and crosses_itself(obstacle.outline):
        raise InputError(name, f"{len(obstacle.outline)} points", "an outline that does not cross itself")
    if not obstacle.outline:
        raise InputError(name, "no points", "one point, a line of two, or three points and more")
    if len(obstacle.outline) < 3 and obstacle.radius <= 0:
        raise InputError(
            f"radius_mm of {obstacle.name!r}", _mm(obstacle.radius), "more than 0 mm for a point or line"
        )
    if obstacle.high <= obstacle.low:
        wanted = f"more than low_mm, which is {_mm(obstacle.low):g}"
        raise InputError(f"high_mm of {obstacle.name!r}", _mm(obstacle.high), wanted)


def _mm(length: Metre) -> float:
    return round(mm_from_metres(length), 1)
