"""What a shock on the carried mass asks of each fixing: pull and shear, by mass and lever."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wattwright.errors import InputError
from wattwright.frame.findings import plate_stretch
from wattwright.frame.holding import FixingPoint, along_face, raised_by
from wattwright.frame.outline import module_row, shape_of
from wattwright.frame.placement import Face, Placement
from wattwright.frame.plane import dot
from wattwright.frame.survey import Point
from wattwright.parts.fixing import Shock
from wattwright.units import STANDARD_GRAVITY, Kilogram, Metre, Newton, NewtonMetre


@dataclass(frozen=True, slots=True, kw_only=True)
class Push:
    """A force on the carried mass, in face directions. [N]"""

    along: Newton
    outward: Newton
    sideways: Newton


@dataclass(frozen=True, slots=True, kw_only=True)
class PointLoad:
    """What one fixing takes. [N]"""

    s: Metre
    pull: Newton
    """Away from the tube; 0 where the carrier is pressed on."""
    shear: Newton
    """Along the tube's surface."""


def preload(torque: NewtonMetre, diameter: Metre, factor: float) -> Newton:
    """Pull in a screw tightened to a torque: F = T / (K d).

    Args:
        torque: 0 or more. [N m]
        diameter: Nominal. [m]
        factor: K, about 0.2 dry and 0.15 greased.

    Returns:
        Preload. [N]

    Raises:
        InputError: If torque is negative, or diameter or factor not positive.

    References:
        Short form T = K d F: common practice; reference row F2.

    Examples:
        >>> round(preload(4.0, 0.005, 0.2), 6)
        4000.0
    """
    for name, value in (("diameter_mm", diameter), ("factor", factor)):
        if not value > 0:
            raise InputError(name, value, "more than 0")
    if not torque >= 0:
        raise InputError("torque_nm", torque, "0 N·m or more")
    return torque / (factor * diameter)


def stress_area(diameter: Metre, pitch: Metre) -> float:
    """Tensile stress area of a metric thread, π/4 (d − 0.9382 P)². [m²].

    References:
        ISO 898-1; reference row F1.

    Examples:
        >>> round(stress_area(0.005, 0.0008) * 1e6, 3)
        14.183
    """
    return math.pi / 4.0 * (diameter - 0.9382 * pitch) ** 2


def group_loads(
    push: Push, centre: Point, places: Sequence[Metre], half_width: Metre
) -> tuple[PointLoad, ...]:
    """What each of several fixings in a row takes of a push on the carried mass.

    Args:
        push: In face directions. [N]
        centre: (s, h) of the mass. [m]
        places: s of the fixings, at least two apart. [m]
        half_width: Of the foot: what it leans on when pushed sideways. [m]

    Returns:
        Pull and shear at each fixing, in the order of ``places``.

    Raises:
        InputError: If all fixings stand at one place, or the half width is not positive.

    Notes:
        Rigid carrier on alike elastic fixings (bolt group): pull = F_out / n + M (s_i − s̄) / Σ (s_j − s̄)²,
        M = F_out (s_c − s̄) − F_along h_c; shear = F_along / n along, and sideways alike with its own
        moment about s̄. A sideways push pries about the foot's edge: F_side h_c / (n half_width) more pull.
        What presses on counts as no pull. For two fixings d apart this is F h / d: 2.5 kg at 5 g, 60 mm off
        bosses 64 mm apart, gives 114.9 N.

    References:
        Bolt groups by moments about the centroid: machine design textbooks (memory).

    Examples:
        >>> braking = Push(along=2.5 * 5 * 9.80665, outward=0.0, sideways=0.0)
        >>> [round(load.pull, 1) for load in group_loads(braking, (0.032, 0.060), (0.0, 0.064), 0.015)]
        [114.9, 0.0]
    """
    count, middle = len(places), sum(places) / max(1, len(places))
    spread = sum((place - middle) ** 2 for place in places)
    if not spread > 0:
        raise InputError("fixings", count, "at least two, at different places")
    if not half_width > 0:
        raise InputError("foot_width_mm", 2000 * half_width, "more than 0 mm")
    moment = push.outward * (centre[0] - middle) - push.along * centre[1]
    aside = push.sideways * (centre[0] - middle)
    pry = abs(push.sideways) * centre[1] / (count * half_width)
    loads = []
    for place in places:
        arm = (place - middle) / spread
        pull = push.outward / count + moment * arm
        shear = math.hypot(push.along / count, push.sideways / count + aside * arm)
        loads.append(PointLoad(s=place, pull=max(0.0, pull) + pry, shear=shear))
    return tuple(loads)


def placement_mass(placement: Placement, points: Sequence[FixingPoint] = ()) -> tuple[Kilogram, Point]:
    """Mass of carrier, modules and plate, and its centre (s, h) on the face.

    The carrier counts at the middle of its foot, the modules at the middle of their row, ``mass_per_module``
    with them.
    """
    carrier, kind, shape = placement.carrier, placement.battery_module, shape_of(placement.carrier)
    row, raised = module_row(carrier, kind, placement.modules), raised_by(placement.fixing)
    pieces = [
        (carrier.mass, along_face(placement, shape.length / 2), raised + shape.foot_height / 2),
        (
            placement.modules * (kind.mass + carrier.mass_per_module),
            along_face(placement, sum(row) / 2),
            raised + shape.foot_height + kind.height / 2,
        ),
    ]
    stretch = plate_stretch(placement, points)
    if stretch is not None and placement.fixing.plate is not None:
        length = stretch[1] - stretch[0]
        pieces.append((length * placement.fixing.plate.mass_per_metre, sum(stretch) / 2, raised / 2))
    mass = sum(piece[0] for piece in pieces)
    if not mass > 0:
        return 0.0, (along_face(placement, shape.length / 2), raised)
    return mass, (sum(m * s for m, s, _ in pieces) / mass, sum(m * h for m, _, h in pieces) / mass)


def push_of(shock: Shock, mass: Kilogram, face: Face) -> Push:
    """The force of a shock on a mass, in a face's directions."""
    weight = mass * STANDARD_GRAVITY
    force = (shock.forward * weight, shock.upward * weight)
    return Push(
        along=dot(force, face.along), outward=dot(force, face.outward), sideways=shock.sideways * weight
    )
