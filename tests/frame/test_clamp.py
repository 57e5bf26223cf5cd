"""The clamp check: the taut band in closed form, and common practice with wide flat tubes."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ellipe
from shapely import Polygon as Area

from frame_examples import MODULE, RAIL, SHELF
from wattwright.frame.clamp import BandPath, CrossSection, band_path, cross_section, friction_hold
from wattwright.frame.sections import section_outline
from wattwright.frame.survey import Section, SectionShape

THICKNESS = SHELF.bands["hoop-small"].thickness
WIDE_FLAT = Section(shape=SectionShape.FLAT_SIDED, width=0.062, depth=0.040, corner=0.006)


def round_tube(diameter: float) -> Section:
    return Section(shape=SectionShape.ROUND, width=diameter, depth=diameter)


def wedge_length(radius: float, half_width: float, height: float) -> tuple[float, float]:
    """Length around a circle and a box on it, and the angle on the circle; tangents by hand.

    The box's upper corners stand at (±w, r + h) from the circle's centre, at distance d; a tangent from
    there is √(d² − r²) long and leaves the circle acos(r / d) before the corner's own direction.
    """
    distance = math.hypot(half_width, radius + height)
    tangent = math.sqrt(distance**2 - radius**2)
    to_corner = math.atan2(half_width, radius + height)
    wrap = 2 * (math.pi - to_corner - math.acos(radius / distance))
    return 2 * half_width + 2 * tangent + radius * wrap, wrap


@pytest.mark.parametrize("diameter", [0.0254, 0.0286, 0.0318, 0.040])
def test_a_band_around_a_round_tube_and_a_rail_is_as_long_as_by_hand(diameter: float) -> None:
    """Radius smaller than the rail's half width and larger: tangents from the groove's corners."""
    radius = diameter / 2
    base = ((-0.012, 0.0), (0.012, 0.0), (0.012, 0.008), (-0.012, 0.008))
    path = band_path(CrossSection(tube=round_tube(diameter), base=base, overhang=()), THICKNESS)
    length, wrap = wedge_length(radius, 0.012, 0.008)

    assert path.length == pytest.approx(length, rel=1e-5)
    assert path.wrap == pytest.approx(wrap, abs=0.02)  # corners stand 0.5° apart
    assert path.clearance == math.inf


@given(width=st.floats(0.02, 0.08), depth=st.floats(0.02, 0.08), share=st.floats(0.0, 0.5))
def test_a_bare_flat_sided_tube_is_two_flats_two_sides_and_four_quarters_around(
    width: float, depth: float, share: float
) -> None:
    corner = share * min(width, depth)
    tube = Section(shape=SectionShape.FLAT_SIDED, width=width, depth=depth, corner=corner)
    path = band_path(CrossSection(tube=tube, base=((0.0, 0.0),), overhang=()), THICKNESS)

    assert path.length == pytest.approx(2 * (width + depth) - (8 - 2 * math.pi) * corner, rel=1e-5)


def test_an_oval_tube_is_as_far_around_as_its_ellipse() -> None:
    """Sibling: complete elliptic integral of the second kind, 4 a E(e²)."""
    oval = Section(shape=SectionShape.OVAL, width=0.040, depth=0.060)
    path = band_path(CrossSection(tube=oval, base=((0.0, 0.0),), overhang=()), THICKNESS)

    assert path.length == pytest.approx(4 * 0.030 * ellipe(1 - (0.020 / 0.030) ** 2), rel=1e-5)


def test_a_rail_on_a_round_tube_leaves_the_modules_flanks_free() -> None:
    """Common practice, no source: rails are clamped to round tubes without trouble."""
    assert RAIL.shape is not None
    path = band_path(cross_section(round_tube(0.0318), RAIL.shape, MODULE), THICKNESS)

    assert path.clearance >= SHELF.rules.band_clearance


def test_on_a_wide_flat_tube_the_band_fouls_the_module_and_a_plate_cures_it() -> None:
    """Common practice, no source: wide flat tubes make a band foul the module; a plate between cures it."""
    assert RAIL.shape is not None
    direct = band_path(cross_section(WIDE_FLAT, RAIL.shape, MODULE), THICKNESS)
    raised = band_path(cross_section(WIDE_FLAT, RAIL.shape, MODULE, SHELF.plates["shim-5"]), THICKNESS)

    assert direct.clearance < 0 < SHELF.rules.band_clearance <= raised.clearance


def test_the_fouling_of_the_wide_tube_by_hand() -> None:
    """The band runs from the groove's corner (15, 8) to the tube's flat at (25, 0) and round its corner.

    Tangent from (15, 8) to the corner circle about (25, −6), radius 6 mm: the flank's lower inner corner
    (17, 6) lies inside that line.
    """
    assert RAIL.shape is not None
    path = band_path(cross_section(WIDE_FLAT, RAIL.shape, MODULE), THICKNESS)
    start, centre, radius, flank = np.array([15.0, 8.0]), np.array([25.0, -6.0]), 6.0, np.array([17.0, 6.0])
    way = centre - start
    distance = float(np.hypot(*way))
    angle = math.atan2(way[1], way[0]) + math.asin(radius / distance)
    line = np.array([math.cos(angle), math.sin(angle)])
    over = float(line[0] * (flank - start)[1] - line[1] * (flank - start)[0])

    # The flank is a wide box: what parts them is the way out over its lower corner, square to the band.
    assert over < 0
    assert 1000 * path.clearance == pytest.approx(over - 1000 * THICKNESS, abs=0.01)


def test_a_bare_carrier_has_nothing_to_foul() -> None:
    assert RAIL.shape is not None

    assert band_path(cross_section(WIDE_FLAT, RAIL.shape, None), THICKNESS).clearance == math.inf


@given(
    diameter=st.floats(0.02, 0.06),
    low=st.floats(0.0, 0.02),
    more=st.floats(0.0, 0.02),
    half=st.floats(0.005, 0.03),
)
def test_a_higher_base_takes_a_longer_band(diameter: float, low: float, more: float, half: float) -> None:
    lengths = [
        band_path(
            CrossSection(
                tube=round_tube(diameter),
                base=((-half, 0.0), (half, 0.0), (half, height), (-half, height)),
                overhang=(),
            ),
            THICKNESS,
        ).length
        for height in (low, low + more)
    ]

    assert lengths[1] >= lengths[0] - 1e-12


@given(width=st.floats(0.025, 0.07), depth=st.floats(0.025, 0.07))
def test_the_same_from_either_side(width: float, depth: float) -> None:
    """Law: a section mirrored left to right is the same section, so is its band."""
    assert RAIL.shape is not None
    tube = Section(shape=SectionShape.OVAL, width=width, depth=depth)
    path = band_path(cross_section(tube, RAIL.shape, MODULE), THICKNESS)
    mirrored = Area([(-z, h) for z, h in path.line])

    assert Area(path.line).symmetric_difference(mirrored).area < 1e-6 * mirrored.area


def test_the_tube_is_as_wide_and_deep_as_it_is_said_to_be() -> None:
    for shape in SectionShape:
        edge = section_outline(Section(shape=shape, width=0.050, depth=0.036, corner=0.008))
        assert np.ptp(edge, axis=0) == pytest.approx([0.050, 0.036])


def test_a_band_right_round_a_tube_holds_as_a_belt_on_a_drum() -> None:
    """Full wrap 2π, no base to press: μ T 2π (balance: the belt's pressure T dθ all around)."""
    around = BandPath(line=(), length=0.1, clearance=math.inf, wrap=2 * math.pi)

    assert friction_hold(around, 800.0, 0.15) == pytest.approx(0.15 * 800 * 2 * math.pi)


@given(pull=st.floats(1, 5000), friction=st.floats(0.01, 0.5), wrap=st.floats(0.1, 6.2))
def test_pressure_on_the_tube_is_in_balance_with_the_base(pull: float, friction: float, wrap: float) -> None:
    """Sibling: the band's pressure on the tube summed in small steps, across and as a vector."""
    path = BandPath(line=(), length=0.1, clearance=math.inf, wrap=wrap)
    angles = np.linspace(-wrap / 2, wrap / 2, 20_001)
    middle, step = (angles[1:] + angles[:-1]) / 2, np.diff(angles)
    pressed = float(np.sum(pull * step)) + abs(float(np.sum(pull * np.cos(middle) * step)))

    assert friction_hold(path, pull, friction) == pytest.approx(friction * pressed, rel=1e-6)


def test_the_plate_raises_flanks_and_band_alike() -> None:
    assert RAIL.shape is not None
    plate = replace(SHELF.plates["shim-5"], thickness=0.009)
    cut = cross_section(WIDE_FLAT, RAIL.shape, MODULE, plate)

    assert max(h for _, h in cut.base) == pytest.approx(0.009)
    assert min(h for box in cut.overhang for _, h in box) == pytest.approx(0.009 + RAIL.shape.overhang_low)
