"""Wind: directions, components, and the profile down to the rider."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.errors import InputError, OutsideRangeError
from wattwright.ride.wind import (
    Terrain,
    crosswind,
    headwind,
    headwind_of_components,
    logarithmic_ratio,
    power_law_ratio,
    terrain_shelter,
    wind_components,
    yaw,
)
from wattwright.units import radians_from_degrees

angles = st.floats(-7.0, 7.0)


@pytest.mark.parametrize(
    ("heading_deg", "from_deg", "head", "cross"),
    [
        (0, 0, 5, 0),
        (180, 0, -5, 0),
        (90, 0, 0, -5),
        (270, 0, 0, 5),
        (0, 90, 0, 5),
        (225, 270, 5 / 2**0.5, 5 / 2**0.5),
    ],
)
def test_wind_is_named_by_where_it_comes_from(
    heading_deg: float, from_deg: float, head: float, cross: float
) -> None:
    """By hand: riding north into a north wind is a headwind; an east wind comes from the right."""
    heading, wind_from = radians_from_degrees(heading_deg), radians_from_degrees(from_deg)

    assert headwind(heading, 5.0, wind_from) == pytest.approx(head, abs=1e-12)
    assert crosswind(heading, 5.0, wind_from) == pytest.approx(cross, abs=1e-12)


@given(heading=angles, wind_from=angles, speed=st.floats(0.0, 30.0))
def test_components_and_direction_tell_the_same_wind(heading: float, wind_from: float, speed: float) -> None:
    north, east = wind_components(wind_from, speed)

    assert headwind_of_components(heading, north, east) == pytest.approx(
        headwind(heading, speed, wind_from), abs=1e-12
    )
    assert math.hypot(
        headwind(heading, speed, wind_from), crosswind(heading, speed, wind_from)
    ) == pytest.approx(speed, abs=1e-12)


@given(heading=angles, wind_from=angles, speed=st.floats(0.0, 30.0))
def test_there_and_back_the_headwinds_cancel(heading: float, wind_from: float, speed: float) -> None:
    """Law: a ride reversed meets the same wind from the other side."""
    assert headwind(heading, speed, wind_from) == pytest.approx(
        -headwind(heading + math.pi, speed, wind_from), abs=1e-9
    )


def test_still_air_comes_from_straight_ahead() -> None:
    assert yaw(8.0, 1.0, 0.0, 3.0) == 0.0
    assert yaw(0.0, 0.0, 5.0, math.pi / 2) == pytest.approx(math.pi / 2)
    assert yaw(5.0, 0.0, 5.0, math.pi / 2) == pytest.approx(math.pi / 4)


def test_headings_of_a_path_are_taken_at_once() -> None:
    headings = np.array([0.0, 1.0, 2.0])

    together = headwind_of_components(headings, 3.0, -2.0)

    assert together.tolist() == [headwind_of_components(heading, 3.0, -2.0) for heading in headings.tolist()]


def test_logarithmic_profile_by_hand() -> None:
    """ln(1.2/0.03)/ln(10/0.03) = 3.6889/5.8091; up to 60 m over open land, down over hedged fields."""
    assert logarithmic_ratio(1.2, 0.03) == pytest.approx(3.68888 / 5.80914, abs=1e-5)
    assert logarithmic_ratio(10.0, 0.1) == 1.0
    assert terrain_shelter(Terrain.ROUGH) == pytest.approx(7.60090 / 5.80914 * 1.56862 / 5.48064, abs=1e-5)


def test_the_two_profiles_and_the_rule_of_thumb_bracket_each_other_in_the_open() -> None:
    """Sibling: logarithmic 0.635, power law with 1/7 (memory) 0.739; the usual word for open land is 0.7."""
    assert terrain_shelter(Terrain.OPEN) == pytest.approx(0.635, abs=5e-4)
    assert power_law_ratio(1.2, 1 / 7) == pytest.approx(0.739, abs=5e-4)
    assert terrain_shelter(Terrain.OPEN) < 0.7 < power_law_ratio(1.2, 1 / 7)


def test_rougher_land_shelters_more() -> None:
    shelters = [
        terrain_shelter(terrain)
        for terrain in (Terrain.SEA, Terrain.SMOOTH, Terrain.OPEN, Terrain.ROUGHLY_OPEN, Terrain.ROUGH)
    ]

    assert shelters == sorted(shelters, reverse=True)
    assert 0.3 < shelters[-1] < shelters[0] < 1.2


@pytest.mark.parametrize("terrain", [Terrain.VERY_ROUGH, Terrain.CLOSED])
def test_no_profile_is_made_up_among_houses(terrain: Terrain) -> None:
    with pytest.raises(OutsideRangeError, match="roughness lengths"):
        terrain_shelter(terrain)


@pytest.mark.parametrize("roughness", [0.0, -0.1, float("nan")])
def test_land_without_roughness_is_refused(roughness: float) -> None:
    with pytest.raises(InputError, match="roughness_m"):
        logarithmic_ratio(1.2, roughness)
