"""Tube sections: how wide and deep a tube is at a place, its outline in the side plane and cut across."""

import math
from typing import Final

import numpy as np

from wattwright.frame.plane import Outline, added, difference, distance, turned_left, unit
from wattwright.frame.survey import Section, SectionShape, Tube
from wattwright.units import FloatArray, Fraction, Metre

CORNERS: Final = 720
"""Points around a section: the length around falls short of a true ellipse by 3e-6 of itself."""


def section_at(tube: Tube, share: Fraction) -> Section:
    """The section at ``share`` of the tube's length; width, depth and corner taper in straight lines."""
    one, other = tube.start_section, tube.end_section
    return Section(
        shape=one.shape,
        width=one.width + share * (other.width - one.width),
        depth=one.depth + share * (other.depth - one.depth),
        corner=one.corner + share * (other.corner - one.corner),
    )


def axis_length(tube: Tube) -> Metre:
    """Length of the tube's axis."""
    return distance(tube.start, tube.end)


def tube_outline(tube: Tube) -> Outline:
    """The tube in the side plane, cut square at both ends of its axis."""
    across = turned_left(unit(difference(tube.end, tube.start)))
    near, far = tube.start_section.depth / 2, tube.end_section.depth / 2
    return (
        added(tube.start, across, -near),
        added(tube.end, across, -far),
        added(tube.end, across, far),
        added(tube.start, across, near),
    )


def half_width(tube: Tube) -> Metre:
    """From the middle plane to the tube's outer side, where it is widest."""
    return tube.spread + max(tube.start_section.width, tube.end_section.width) / 2


def section_outline(section: Section) -> FloatArray:
    """A tube cut across, around its axis: (points, 2) of z and height, in metres.

    Round and oval tubes are ellipses; flat-sided ones rectangles whose corners are quarter circles.

    >>> round_tube = Section(shape=SectionShape.ROUND, width=0.030, depth=0.030)
    >>> section_outline(round_tube).max(axis=0).round(6).tolist()
    [0.015, 0.015]
    """
    angles = np.linspace(0.0, 2.0 * math.pi, CORNERS, endpoint=False)
    cosines, sines = np.cos(angles), np.sin(angles)
    if section.shape is not SectionShape.FLAT_SIDED:
        return np.stack([section.width / 2 * cosines, section.depth / 2 * sines], axis=1)
    corner = min(section.corner, section.width / 2, section.depth / 2)
    # At the four turning points both corners they join are needed, or the flats would be cut off.
    signs = np.stack([np.where(cosines >= 0, 1.0, -1.0), np.where(sines >= 0, 1.0, -1.0)], axis=1)
    centres = signs * (np.array([section.width, section.depth]) / 2 - corner)
    edge = centres + corner * np.stack([cosines, sines], axis=1)
    flats = _flats(section, corner)
    return np.concatenate([edge, flats])


def _flats(section: Section, corner: Metre) -> FloatArray:
    """Ends of the four flats."""
    w, d = section.width / 2, section.depth / 2
    ends = [(sx * w, sy * (d - corner)) for sx in (-1, 1) for sy in (-1, 1)]
    ends += [(sx * (w - corner), sy * d) for sx in (-1, 1) for sy in (-1, 1)]
    return np.array(ends)
