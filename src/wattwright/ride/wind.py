"""Wind: from where it blows to what the rider meets at their own height.

Directions are those *from* which the wind blows, clockwise from north, as weather reports give them; headings
are those of travel. Formulas hold for one number or an array of them (an array comes first if there is any).
"""

import math
from enum import Enum
from typing import Final

import numpy as np

from wattwright.errors import InputError, OutsideRangeError
from wattwright.units import Fraction, Metre, MetrePerSecond, Number, Radian

STATION_HEIGHT: Final = 10.0
"""[m] At which weather services report wind over open land; WMO-No. 8, part I, chapter 5 (memory)."""
BLENDING_HEIGHT: Final = 60.0
"""[m] Above which the wind no longer feels the fields below; Wieringa 1986 (memory)."""
RIDER_HEIGHT: Final = 1.2
"""[m] Middle of a rider's front on an upright bicycle; assumption."""
LEAST_HEIGHTS: Final = 4.0
"""Roughness lengths down to which the logarithmic profile is taken; assumption, see ``terrain_shelter``."""


class Terrain(Enum):
    """Kinds of land, by roughness length in metres.

    References:
        Davenport's classes as revised by J. Wieringa, "Updating the Davenport roughness classification",
        J. Wind Engineering and Industrial Aerodynamics 41, 1992 (title (memory)); the figures were read in
        R. B. Stull, Meteorology for Scientists and Engineers, as reprinted, and in a wind-statistics
        library's guide.
    """

    SEA = 0.0002
    SMOOTH = 0.005
    """Beach, snow-covered fields."""
    OPEN = 0.03
    """Grass and farm fields, airports: where wind is measured."""
    ROUGHLY_OPEN = 0.10
    """Low crops, an occasional bush or tree."""
    ROUGH = 0.25
    """High crops, hedgerows, scattered trees."""
    VERY_ROUGH = 0.5
    """Orchards, clumps of wood, scattered houses."""
    CLOSED = 1.0
    """Villages, suburbs, forest."""

    @property
    def roughness(self) -> Metre:
        """Roughness length, in metres."""
        return self.value


def headwind(heading: Number, wind_speed: Number | MetrePerSecond, wind_from: Number | Radian) -> Number:
    """Part of the wind against travel, negative from behind.

    Args:
        heading: Direction of travel, clockwise from north. [rad]
        wind_speed: At rider height. [m/s]
        wind_from: Direction the wind comes from. [rad]

    Returns:
        w cos(heading − from), as in Martin et al. 1998. [m/s]

    Examples:
        >>> headwind(0.0, 5.0, 0.0), round(headwind(math.pi, 5.0, 0.0), 9)
        (5.0, -5.0)
    """
    return wind_speed * _cosine(heading - wind_from)


def crosswind(heading: Number, wind_speed: Number | MetrePerSecond, wind_from: Number | Radian) -> Number:
    """Part of the wind across travel, positive from the right.

    Args:
        heading: Direction of travel. [rad]
        wind_speed: At rider height. [m/s]
        wind_from: Direction the wind comes from. [rad]

    Returns:
        w sin(from − heading). [m/s]

    Examples:
        >>> round(crosswind(0.0, 5.0, math.pi / 2), 9)
        5.0
    """
    return wind_speed * _sine(wind_from - heading)


def headwind_of_components(
    heading: Number, wind_north: Number | MetrePerSecond, wind_east: Number | MetrePerSecond
) -> Number:
    """Part of the wind against travel, from the components that lanes carry.

    Args:
        heading: Direction of travel. [rad]
        wind_north: Wind from the north, at rider height. [m/s]
        wind_east: Wind from the east. [m/s]

    Returns:
        n cos(heading) + e sin(heading). [m/s]

    Examples:
        >>> round(headwind_of_components(math.pi / 2, 3.0, 4.0), 9)
        4.0
    """
    return wind_north * _cosine(heading) + wind_east * _sine(heading)


def wind_components(wind_from: Number, wind_speed: Number | MetrePerSecond) -> tuple[Number, Number]:
    """Wind from the north and from the east, in metres per second.

    Args:
        wind_from: Direction the wind comes from. [rad]
        wind_speed: Of any height. [m/s]

    Returns:
        From the north, from the east.

    Examples:
        >>> north, east = wind_components(math.pi, 5.0)
        >>> round(north, 9), round(east, 9)
        (-5.0, 0.0)
    """
    return wind_speed * _cosine(wind_from), wind_speed * _sine(wind_from)


def yaw(speed: MetrePerSecond, heading: Radian, wind_speed: MetrePerSecond, wind_from: Radian) -> Radian:
    """Angle at which the air meets the rider, 0 from straight ahead, positive from the right.

    Args:
        speed: Over ground. [m/s]
        heading: Direction of travel. [rad]
        wind_speed: At rider height. [m/s]
        wind_from: Direction the wind comes from. [rad]

    Returns:
        Angle, −π to π. [rad]

    Notes:
        atan2(crosswind, speed + headwind), as in Martin et al. 1998.
    """
    ahead = speed + headwind(heading, wind_speed, wind_from)
    return math.atan2(crosswind(heading, wind_speed, wind_from), ahead)


def logarithmic_ratio(height: Metre, roughness: Metre, reference_height: Metre = STATION_HEIGHT) -> float:
    """Wind at a height over wind at the reference height, both over the same land.

    Args:
        height: Above ground, at least ``LEAST_HEIGHTS`` roughness lengths. [m]
        roughness: Length of the land, more than 0. [m]
        reference_height: Where the wind is known. [m]

    Returns:
        Ratio.

    Raises:
        InputError: If the roughness is not positive.
        OutsideRangeError: If a height lies too near the ground for the profile.

    Notes:
        u(z)/u(r) = ln(z/z₀) / ln(r/z₀), neutral air, no displacement. WMO-No. 8, part I, chapter 5 (memory).

    Examples:
        >>> round(logarithmic_ratio(1.2, 0.03), 4)
        0.635
    """
    if not roughness > 0.0:
        raise InputError("roughness_m", roughness, "more than 0 m")
    lowest = min(height, reference_height)
    if not lowest >= LEAST_HEIGHTS * roughness:
        raise OutsideRangeError(
            "The logarithmic wind profile", "height", lowest, f"from {LEAST_HEIGHTS:g} roughness lengths up"
        )
    return math.log(height / roughness) / math.log(reference_height / roughness)


def power_law_ratio(height: Number, exponent: float, reference_height: Metre = STATION_HEIGHT) -> Number:
    """Wind at a height over wind at the reference height, by the power law: the second opinion.

    Args:
        height: Above ground. [m]
        exponent: About 1/7 over open land, 0.25 in suburbs (memory).
        reference_height: Where the wind is known. [m]

    Returns:
        Ratio: (z/r)^a.

    Examples:
        >>> round(power_law_ratio(1.2, 1 / 7), 3)
        0.739
    """
    ratio: Number = (height / reference_height) ** exponent
    return ratio


def terrain_shelter(
    terrain: Terrain, *, height: Metre = RIDER_HEIGHT, station: Terrain = Terrain.OPEN
) -> Fraction:
    """Wind at rider height over the wind a weather station reports, by the land around the road.

    Args:
        terrain: Around the road, for about a kilometre upwind.
        height: Of the rider's front. [m]
        station: Land around the station; open by rule.

    Returns:
        Ratio. It is the wind over fields: the gaps between houses or trees along a road hold less of it.

    Raises:
        OutsideRangeError: If the land is too rough for a profile at that height. Among houses and in woods,
            take a measured share or an estimate instead.

    Notes:
        Up from the station to the blending height over the station's land, down from there over the road's:
        ln(60/z_s)/ln(10/z_s) · ln(h/z)/ln(60/z). Wieringa 1986; exposure correction of WMO-No. 8 (memory).
        The profile is sound from about 20 roughness lengths up (read in guidance on the level at which to
        measure wind); between 4 and 20 it is an estimate.

    Examples:
        >>> round(terrain_shelter(Terrain.OPEN), 3), round(terrain_shelter(Terrain.ROUGHLY_OPEN), 3)
        (0.635, 0.508)
    """
    aloft = logarithmic_ratio(BLENDING_HEIGHT, station.roughness)
    return aloft * logarithmic_ratio(height, terrain.roughness, BLENDING_HEIGHT)


def _cosine(angle: Number) -> Number:
    """Keep a float a float."""
    cosine: Number = np.cos(angle) if isinstance(angle, np.ndarray) else math.cos(angle)
    return cosine


def _sine(angle: Number) -> Number:
    """Keep a float a float."""
    sine: Number = np.sin(angle) if isinstance(angle, np.ndarray) else math.sin(angle)
    return sine
