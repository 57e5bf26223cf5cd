"""Distances, headings and bends on the WGS84 ellipsoid."""

from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.ride.smoothing import smoothed, strength_of_wavelength
from wattwright.units import FloatArray, Metre

STRAIGHT: Final = 1.0e5
"""[m] Radius given for a straight road; longer radii are not told apart."""
BEND_WAVELENGTH: Final = 30.0
"""[m] Bends shorter than about half of this are taken for position noise; assumption."""


def geodesic_steps(latitude: FloatArray, longitude: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Length and heading of each step between successive points.

    Args:
        latitude: (points,) degrees, -90 to 90, finite.
        longitude: (points,) degrees, finite.

    Returns:
        Length (points - 1,) along the ellipsoid [m], and heading at its start (points - 1,), clockwise from
        north, 0 to 2π [rad].

    Raises:
        InputError: If the arrays differ in shape.

    Notes:
        The inverse geodesic problem on WGS84. [1]_

    References:
        .. [1] C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87, 43-55, 2013.

    Examples:
        >>> length, heading = geodesic_steps(np.array([52.0, 52.001]), np.array([4.0, 4.0]))
        >>> round(float(length[0]), 4), round(float(heading[0]), 4)
        (111.2674, 0.0)
    """
    if latitude.shape != longitude.shape:
        raise InputError("longitude_deg", longitude.shape, f"of the latitude's shape {latitude.shape}")
    return geodesic_between(latitude[:-1], longitude[:-1], latitude[1:], longitude[1:])


def geodesic_between(
    latitude: FloatArray, longitude: FloatArray, to_latitude: FloatArray, to_longitude: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Length [m] and heading [rad, 0 to 2π] from each point to its partner; arrays of one shape, degrees.

    Examples:
        >>> length, _ = geodesic_between(np.array([0.0]), np.array([0.0]), np.array([0.0]), np.array([1.0]))
        >>> round(float(length[0]), 3)
        111319.491
    """
    from pyproj import Geod  # noqa: PLC0415  (a ride without a place does not need it)

    heading, _, length = Geod(ellps="WGS84").inv(longitude, latitude, to_longitude, to_latitude)
    return np.asarray(length, dtype=float), np.mod(np.radians(np.asarray(heading, dtype=float)), 2.0 * np.pi)


def slope_length(horizontal: FloatArray, grade: FloatArray) -> FloatArray:
    """Length along the slope [m] of a horizontal run [m] at a grade (rise over run): run·√(1 + G²).

    Examples:
        >>> slope_length(np.array([100.0]), np.array([0.1])).round(3).tolist()
        [100.499]
    """
    return np.asarray(horizontal * np.sqrt(1.0 + grade * grade), dtype=float)


def turn(heading: FloatArray) -> FloatArray:
    """Change of heading from each step to the next, -π to π, right turns positive [rad]: (steps - 1,).

    Examples:
        >>> np.degrees(turn(np.radians([350.0, 10.0, 0.0]))).round(6).tolist()
        [20.0, -10.0]
    """
    return np.asarray(np.mod(np.diff(heading) + np.pi, 2.0 * np.pi) - np.pi, dtype=float)


def bend_radius(
    length: FloatArray, heading: FloatArray, *, wavelength: Metre = BEND_WAVELENGTH
) -> FloatArray:
    """Radius of the bend at the end of each segment of a road cut into segments of one length.

    Args:
        length: (segments,) horizontal, all about equal. [m]
        heading: (segments,) clockwise from north. [rad]
        wavelength: Wiggles of the heading shorter than this are smoothed away. [m]

    Returns:
        (segments,) up to ``STRAIGHT``. [m]

    Notes:
        R = Δs / |Δθ| of the unwrapped heading after penalised smoothing, with Δs the mean length of the two
        segments that meet. The last end has no second segment and counts as straight.
    """
    if len(length) < 2:  # a bend needs two segments
        return np.full(len(length), STRAIGHT)
    unwrapped = np.concatenate([[heading[0]], heading[0] + np.cumsum(turn(heading))])
    calm = smoothed(unwrapped, strength_of_wavelength(wavelength, float(length.mean())))
    span = 0.5 * (length[1:] + length[:-1])
    radius = span / np.maximum(np.abs(np.diff(calm)), span / STRAIGHT)
    return np.append(radius, STRAIGHT)
