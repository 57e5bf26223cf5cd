"""The usual geometry table of a bicycle, solved for its points; and refused where two figures contradict.

Axes: origin bottom bracket, x forward, y up. Angles are to the horizontal, from behind.
"""

import math
from dataclasses import dataclass
from typing import Final

from wattwright.errors import InputError
from wattwright.frame.plane import added, distance, pointing, turned_left
from wattwright.frame.survey import FrameKind, Point
from wattwright.units import Metre, Radian, degrees_from_radians, mm_from_metres

AGREEMENT: Final = 0.010
"""[m] A measured length may differ from what the others give by this much: a tape on a bench (assumption)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GeometryTable:
    """A bicycle's geometry, in the usual terms."""

    kind: FrameKind
    head_angle: Radian
    seat_angle: Radian
    stack: Metre
    """Bottom bracket to top of the head tube, upright,"""
    reach: Metre
    """and forward."""
    bottom_bracket_drop: Metre
    """Rear axle above bottom bracket; negative where it lies below."""
    chain_stay: Metre
    head_tube: Metre
    lower_bearing: Metre
    """Of the headset, below the head tube."""
    rake: Metre
    """Front axle ahead of the steering axis, square to it."""
    rear_radius: Metre
    """Outside of the tyre."""
    front_radius: Metre
    seat_tube: Metre
    """Bottom bracket to the top of the seat tube."""
    top_tube_on_seat: Metre
    """Bottom bracket to where the top tube's axis meets the seat tube's."""
    top_tube_below_head: Metre
    """Along the head tube, from its top to the top tube's axis."""
    down_tube_above_head: Metre
    """Along the head tube, from its bottom to the down tube's axis."""
    stoker_distance: Metre = 0.0
    """Between the bottom brackets of a tandem; the table's bottom bracket is the front one."""
    fork_length: Metre | None = None
    """Axle to crown along the steering axis. This and the rest only check the others; None: not measured."""
    wheelbase: Metre | None = None
    front_centre: Metre | None = None
    trail: Metre | None = None
    effective_top_tube: Metre | None = None
    bottom_bracket_height: Metre | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Joints:
    """A geometry table solved for its points in the side plane."""

    rear_bottom_bracket: Point
    """That of the chain stays: (0, 0) but for a tandem."""
    rear_axle: Point
    front_axle: Point
    head_top: Point
    head_bottom: Point
    down_tube_head: Point
    """Where the down tube's axis meets the head tube's."""
    top_tube_head: Point
    top_tube_seat: Point
    seat_top: Point
    fork_length: Metre
    """Axle to crown along the steering axis."""
    wheelbase: Metre
    front_centre: Metre
    trail: Metre
    mechanical_trail: Metre
    effective_top_tube: Metre
    bottom_bracket_height: Metre


def solved(table: GeometryTable) -> Joints:
    """The points of a bicycle from its geometry table.

    Args:
        table: In the usual terms; what is over-determined must agree.

    Returns:
        Points in the side plane and the lengths that follow. [m]

    Raises:
        InputError: If a length is negative, or two figures contradict; names both.

    Notes:
        Rear axle (−√(CS² − drop²), drop); head tube from (reach, stack) along (−cos HTA, sin HTA)
        downwards; the front axle stands on the ground with the rear one, which gives the fork's length
        a = (stack − y + rake cos HTA) / sin HTA − L − low, y the front axle's height; trail
        (R cos HTA − rake) / sin HTA. [1]_ [2]_

    References:
        .. [1] Relations of wheelbase, trail and effective top tube as in builders' guides; no standard
           drawing convention is known (ISO 4210 has none).
        .. [2] ISO 5775 for tyre sizes. (memory)
    """
    _check_lengths(table)
    _check_angles(table)
    joints = _joints(table)
    _check_frame(table, joints)
    _check_agreement(table, joints)
    return joints


def _joints(table: GeometryTable) -> Joints:
    down = pointing(-table.head_angle)
    forward = turned_left(down)
    seat = pointing(math.pi - table.seat_angle)
    drop, sine, cosine = table.bottom_bracket_drop, math.sin(table.head_angle), math.cos(table.head_angle)
    behind = math.sqrt(_chain_stay_square(table))
    rear_axle = (-table.stoker_distance - behind, drop)
    axle_height = drop - table.rear_radius + table.front_radius
    fork = (table.stack - axle_height + table.rake * cosine) / sine - table.head_tube - table.lower_bearing
    top = (table.reach, table.stack)
    column = table.head_tube + table.lower_bearing + fork
    front_axle = added(added(top, down, column), forward, table.rake)
    return Joints(
        rear_bottom_bracket=(-table.stoker_distance, 0.0),
        rear_axle=rear_axle,
        front_axle=front_axle,
        head_top=top,
        head_bottom=added(top, down, table.head_tube),
        down_tube_head=added(top, down, table.head_tube - table.down_tube_above_head),
        top_tube_head=added(top, down, table.top_tube_below_head),
        top_tube_seat=added((0.0, 0.0), seat, table.top_tube_on_seat),
        seat_top=added((0.0, 0.0), seat, table.seat_tube),
        fork_length=fork,
        wheelbase=front_axle[0] - rear_axle[0],
        front_centre=distance((0.0, 0.0), front_axle),
        trail=(table.front_radius * cosine - table.rake) / sine,
        mechanical_trail=table.front_radius * cosine - table.rake,
        effective_top_tube=table.reach + table.stack / math.tan(table.seat_angle),
        bottom_bracket_height=table.rear_radius - drop,
    )


def _chain_stay_square(table: GeometryTable) -> float:
    square = table.chain_stay**2 - table.bottom_bracket_drop**2
    if square <= 0:
        _contradict(
            ("chain_stay_mm", table.chain_stay),
            ("bottom_bracket_drop_mm", abs(table.bottom_bracket_drop)),
            "more than",
        )
    return square


def _check_lengths(table: GeometryTable) -> None:
    for name in ("stack", "chain_stay", "head_tube", "seat_tube", "rear_radius", "front_radius"):
        value = getattr(table, name)
        if not (math.isfinite(value) and value > 0):
            raise InputError(f"{name}_mm", _shown(value), "more than 0 mm")
    for name in (
        "reach",
        "lower_bearing",
        "top_tube_on_seat",
        "top_tube_below_head",
        "down_tube_above_head",
        "stoker_distance",
    ):
        value = getattr(table, name)
        if not (math.isfinite(value) and value >= 0):
            raise InputError(f"{name}_mm", _shown(value), "0 mm or more")


def _check_angles(table: GeometryTable) -> None:
    for name, low, high in (("head_angle", 45.0, 85.0), ("seat_angle", 45.0, 90.0)):
        degrees = degrees_from_radians(getattr(table, name))
        if not low <= degrees <= high:
            other = (
                f"If it was measured from the front, write {180 - degrees:g}."
                if 180 - high <= degrees <= 180 - low
                else ""
            )
            raise InputError(f"{name}_deg", round(degrees, 2), f"{low:g} to {high:g}°", other)


def _check_frame(table: GeometryTable, joints: Joints) -> None:
    """Figures that cannot belong to one frame."""
    length = table.head_tube
    if table.down_tube_above_head + table.top_tube_below_head > length + 1e-9:
        _contradict(
            ("head_tube_mm", length),
            (
                "top_tube_below_head_mm + down_tube_above_head_mm",
                table.top_tube_below_head + table.down_tube_above_head,
            ),
            "at least",
        )
    if table.top_tube_on_seat > table.seat_tube + 1e-9:
        _contradict(
            ("seat_tube_mm", table.seat_tube), ("top_tube_on_seat_mm", table.top_tube_on_seat), "at least"
        )
    if joints.down_tube_head[1] <= 0:
        _contradict(("stack_mm", table.stack), ("head_tube_mm", table.head_tube), "more than the rise of")
    if math.hypot(joints.fork_length, table.rake) <= table.front_radius or joints.fork_length <= 0:
        _contradict(
            ("fork_length_mm (which stack, drop, head angle and head tube give)", joints.fork_length),
            ("front_radius_mm", table.front_radius),
            "long enough for",
        )
    if table.chain_stay <= table.rear_radius - 0.001:
        _contradict(("chain_stay_mm", table.chain_stay), ("rear_radius_mm", table.rear_radius), "more than")
    apart = distance(joints.front_axle, joints.rear_axle)
    if apart <= table.front_radius + table.rear_radius:
        _contradict(
            ("wheelbase_mm (which reach and chain stay give)", apart),
            ("rear_radius_mm + front_radius_mm", table.front_radius + table.rear_radius),
            "more than",
        )


def _check_agreement(table: GeometryTable, joints: Joints) -> None:
    """Lengths that were measured and also follow from the others."""
    for name in (
        "fork_length",
        "wheelbase",
        "front_centre",
        "trail",
        "effective_top_tube",
        "bottom_bracket_height",
    ):
        measured, follows = getattr(table, name), getattr(joints, name)
        if measured is not None and abs(measured - follows) > AGREEMENT:
            hint = ""
            if abs(measured * 25.4 - follows) < 0.1 * follows:
                hint = f"If it was meant in inches, write {mm_from_metres(measured * 25.4):.1f}."
            raise InputError(
                f"{name}_mm",
                _shown(measured),
                f"within {mm_from_metres(AGREEMENT):.0f} mm of {mm_from_metres(follows):.1f} mm, "
                "which the other figures give",
                hint or "Measure it again, or what it follows from.",
            )


def _contradict(one: tuple[str, Metre], other: tuple[str, Metre], relation: str) -> None:
    raise InputError(one[0], _shown(one[1]), f"{relation} {other[0]}, which is {_shown(other[1])}")


def _shown(length: Metre) -> float:
    return round(mm_from_metres(length), 1)
