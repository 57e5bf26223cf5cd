"""The clamp check: a taut band around tube and carrier, cut across, against the modules' overhang.

Cross-section coordinates, in metres: z to the rider's right, h outward from the tube's surface.
"""

import math
from dataclasses import dataclass

import numpy as np

from wattwright.frame.plane import Outline, gap
from wattwright.frame.sections import section_outline
from wattwright.frame.survey import Section
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.carrier import CarrierShape
from wattwright.parts.fixing import OffsetPlate
from wattwright.units import Fraction, Metre, Newton, Radian


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossSection:
    """What lies on the tube where a band passes: the base it is drawn over, and what it must not touch."""

    tube: Section
    base: Outline
    """Convex, in (z, h): the carrier's foot up to its groove, or the plate."""
    overhang: tuple[Outline, ...]
    """Outlines of the modules over the base; () on a bare carrier."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandPath:
    """The path of a taut band."""

    line: Outline
    """Its inner side, in (z, h)."""
    length: Metre
    """Around that inner side."""
    clearance: Metre
    """From its outer side to the overhang; negative where it fouls; infinite without an overhang."""
    wrap: Radian
    """Angle over which it lies on the tube."""


def cross_section(
    tube: Section, shape: CarrierShape, battery_module: BatteryModule | None, plate: OffsetPlate | None = None
) -> CrossSection:
    """Tube, base and overhang where a band passes; with a plate the band goes round the plate.

    Args:
        tube: Its section at that place.
        shape: Of the carrier.
        battery_module: What hangs over it; None for a bare carrier or a bag.
        plate: Between tube and carrier, where there is one.

    Returns:
        Outlines in (z, h). [m]
    """
    raised = plate.thickness if plate else 0.0
    base = _box(plate.width / 2, 0.0, raised) if plate else _box(shape.foot_width / 2, 0.0, shape.band_height)
    if battery_module is None or shape.outline:
        return CrossSection(tube=tube, base=base, overhang=())
    half, top = battery_module.width / 2, raised + shape.foot_height + battery_module.height
    over = [_box(half, raised + shape.foot_height, top)]
    if shape.overhang_low < shape.foot_height and half > shape.overhang_inner:
        low = raised + shape.overhang_low
        over += [
            (
                (sign * shape.overhang_inner, low),
                (sign * half, low),
                (sign * half, top),
                (sign * shape.overhang_inner, top),
            )
            for sign in (-1.0, 1.0)
        ]
    return CrossSection(tube=tube, base=base, overhang=tuple(over))


def band_path(section: CrossSection, thickness: Metre) -> BandPath:
    """The taut band around a cross-section.

    Args:
        section: Tube, base and overhang.
        thickness: Of the band. [m]

    Returns:
        Its inner line, length, clearance to the overhang, and the angle it lies on the tube.

    Notes:
        A taut, bending-free band takes the convex hull of what it encloses. The tube counts as a polygon of
        720 corners: the length falls short by 3e-6 of itself at most.

    Examples:
        >>> from wattwright.frame.survey import SectionShape
        >>> tube = Section(shape=SectionShape.ROUND, width=0.030, depth=0.030)
        >>> bare = CrossSection(tube=tube, base=((0.0, 0.0),), overhang=())
        >>> round(band_path(bare, 0.001).length, 5)
        0.09425
    """
    from shapely import MultiPoint, get_coordinates  # noqa: PLC0415 (start-up)

    around = section_outline(section.tube) - np.array([0.0, section.tube.depth / 2])
    hull = MultiPoint(np.concatenate([around, np.asarray(section.base)])).convex_hull
    corners = get_coordinates(hull)[:-1]
    line = tuple((float(z), float(h)) for z, h in corners)
    return BandPath(
        line=line,
        length=float(hull.length),
        clearance=min((gap(line, over, thickness) for over in section.overhang), default=math.inf),
        wrap=2.0 * math.pi - _turn_over_base(line, section.base),
    )


def friction_hold(path: BandPath, pull: Newton, friction: Fraction) -> Newton:
    """Force along the tube that one band holds by friction, on the tube and under the base.

    Args:
        path: Of the band.
        pull: In the band. [N]
        friction: Coefficient between band, base and tube.

    Returns:
        Holding force. [N]

    Notes:
        A band under pull T presses T dθ on each dθ of its turn, so μ T θ on the tube's wrap θ; and it
        presses the base on the tube with 2 T sin(θ / 2), by balance of the tube. Statics, no source needed.

    Examples:
        >>> path = BandPath(line=(), length=0.1, clearance=0.0, wrap=math.pi)
        >>> round(friction_hold(path, 500.0, 0.15), 1)
        385.6
    """
    return friction * pull * (path.wrap + 2.0 * math.sin(path.wrap / 2.0))


def _box(half: Metre, low: Metre, high: Metre) -> Outline:
    return (-half, low), (half, low), (half, high), (-half, high)


def _turn_over_base(line: Outline, base: Outline) -> Radian:
    """Angle the band turns at corners of the base."""
    before, after = line[-1:] + line[:-1], line[1:] + line[:1]
    turn = 0.0
    for a, b, c in zip(before, line, after, strict=True):
        if any(math.dist(b, corner) < 1e-12 for corner in base):
            one, other = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
            turn += abs(math.remainder(other - one, 2.0 * math.pi))
    return turn
