"""Distances, headings and bends against an independent geodesic library and geometry."""

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from reference_values import reference
from wattwright.errors import InputError
from wattwright.ride.geodesy import (
    STRAIGHT,
    bend_radius,
    geodesic_between,
    geodesic_steps,
    slope_length,
    turn,
)


def between(*degrees: float) -> float:
    """Length from the first latitude and longitude to the second."""
    length, _ = geodesic_between(*(np.array([angle]) for angle in degrees))
    return float(length[0])


def test_a_long_geodesic_matches_the_check_row() -> None:
    """Row N1: GeographicLib 2.1."""
    assert between(40.6, -73.8, 51.6, -0.5) == reference("N1").approx()


def test_short_steps_match_the_check_row() -> None:
    """Row N2: GeographicLib."""
    row = reference("N2")

    assert between(52.0, 4.0, 52.001, 4.0) == row.approx(0)
    assert between(52.0, 4.0, 52.0, 4.001) == row.approx(1)


def test_the_ellipsoid_is_not_a_sphere() -> None:
    """Row N3: the haversine lengths of the same steps differ by more than ten times the row's tolerance."""
    sphere = reference("N3")

    assert abs(between(52.0, 4.0, 52.001, 4.0) - sphere.values[0]) > 10 * sphere.tolerance
    assert abs(between(52.0, 4.0, 52.0, 4.001) - sphere.values[1]) > 10 * sphere.tolerance


places = st.tuples(st.floats(-85.0, 85.0), st.floats(-179.0, 179.0))


@given(here=places, north=st.floats(-0.5, 0.5), east=st.floats(-0.5, 0.5))
def test_steps_agree_with_geographiclib(here: tuple[float, float], north: float, east: float) -> None:
    """An independent implementation of Karney 2013, to 0.1 mm in length."""
    latitude, longitude = here
    theirs = Geodesic.WGS84.Inverse(latitude, longitude, latitude + north, longitude + east)

    length, heading = geodesic_steps(
        np.array([latitude, latitude + north]), np.array([longitude, longitude + east])
    )

    assert length[0] == pytest.approx(theirs["s12"], abs=1e-4)
    if theirs["s12"] > 1.0:
        off = np.mod(heading[0] - np.radians(theirs["azi1"]) + np.pi, 2 * np.pi) - np.pi
        assert abs(off) < 1e-4 / theirs["s12"] + 1e-9


def test_slope_is_longer_than_its_map() -> None:
    """references.md, topic 12: 10 % adds 0.499 %."""
    assert slope_length(np.array([1000.0]), np.array([0.10]))[0] / 1000.0 - 1.0 == pytest.approx(
        0.00499, abs=5e-6
    )


def test_right_turns_are_positive_and_cross_north() -> None:
    assert np.degrees(turn(np.radians([350.0, 20.0, 340.0]))) == pytest.approx([30.0, -40.0])


@pytest.mark.parametrize("radius", [15.0, 40.0, 150.0, 600.0])
def test_a_circle_keeps_its_radius(radius: float) -> None:
    heading = np.mod(np.arange(200) * 10.0 / radius, 2 * np.pi)

    assert bend_radius(np.full(200, 10.0), heading)[20:-20] == pytest.approx(radius, rel=0.02)


def test_position_noise_does_not_bend_a_straight_road() -> None:
    """0.3 m of noise per point, uncorrelated: a receiver's error changes slower than that (memory).

    At 2.5 m/s² sideways, 100 m of radius is 57 km/h: bends that wide slow nobody down.
    """
    random = np.random.default_rng(3)
    along = np.arange(0.0, 20_000.0, 10.0)
    across = random.normal(0.0, 0.3, len(along))
    heading = np.arctan2(np.diff(along), np.diff(across))

    radius = bend_radius(np.full(len(heading), 10.0), heading)

    assert np.mean(radius < 100.0) < 0.01
    assert np.median(radius) > 250.0


def test_a_street_corner_is_tight() -> None:
    """Ninety degrees from one segment to the next: a corner of 5 to 15 m radius, at its place only."""
    heading = np.where(np.arange(100) < 50, 0.0, np.pi / 2)

    radius = bend_radius(np.full(100, 10.0), heading)

    assert 5.0 < radius.min() < 15.0
    assert abs(int(np.argmin(radius)) - 49) <= 1
    assert np.all(radius[:40] > 200.0)
    assert np.all(radius[60:] > 200.0)


def test_one_segment_is_straight() -> None:
    assert bend_radius(np.array([10.0]), np.array([1.0])).tolist() == [STRAIGHT]


def test_latitudes_and_longitudes_come_in_pairs() -> None:
    with pytest.raises(InputError, match="longitude"):
        geodesic_steps(np.array([1.0, 2.0]), np.array([1.0]))
