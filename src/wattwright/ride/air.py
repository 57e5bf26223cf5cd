"""Air: how dense it is by altitude, temperature and humidity.

Formulas hold for one number or an array of them.
"""

import math
from typing import Final, overload

import numpy as np

from wattwright.errors import InputError, OutsideRangeError
from wattwright.units import (
    ICE_POINT,
    STANDARD_GRAVITY,
    FloatArray,
    Fraction,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    Number,
    Pascal,
)

SEA_LEVEL_TEMPERATURE: Final = 288.15
"""[K] ISO 2533:1975, table 1."""
SEA_LEVEL_PRESSURE: Final = 101_325.0
"""[Pa] ISO 2533:1975, table 1."""
LAPSE_RATE: Final = 0.0065
"""[K/m] Temperature lost by geopotential metre up to 11 km; ISO 2533:1975."""
STANDARD_GAS_CONSTANT: Final = 287.05287
"""[J/(kg K)] Of dry air in ISO 2533:1975."""
DRY_AIR_GAS_CONSTANT: Final = 287.058
"""[J/(kg K)] Of dry air in the ideal mixture; R over 28.9647 g/mol."""
VAPOUR_GAS_CONSTANT: Final = 461.495
"""[J/(kg K)] Of water vapour; R over 18.016 g/mol."""
NOMINAL_EARTH_RADIUS: Final = 6_356_766.0
"""[m] ISO 2533:1975."""
LOWEST_ALTITUDE: Final = -1000.0
HIGHEST_ALTITUDE: Final = 11_000.0
"""[m] The troposphere of ISO 2533; roads end well below."""


def geopotential_altitude(altitude: Number) -> Number:
    """Altitude in metres of equal work against standard gravity.

    Args:
        altitude: Above sea level, as a map shows it. [m]

    Returns:
        Geopotential altitude. [m]

    Notes:
        H = r h / (r + h). ISO 2533:1975, clause 2.3.

    Examples:
        >>> round(geopotential_altitude(3000.0), 2)
        2998.58
    """
    return NOMINAL_EARTH_RADIUS * altitude / (NOMINAL_EARTH_RADIUS + altitude)


def standard_temperature(altitude: Number) -> Number:
    """Temperature of the standard atmosphere.

    Args:
        altitude: Geometric, −1000 to 11 000 m.

    Returns:
        Temperature. [K]

    Raises:
        OutsideRangeError: If an altitude lies outside the range.

    Notes:
        T = 288.15 − 0.0065 H, H geopotential. ISO 2533:1975.

    Examples:
        >>> round(standard_temperature(1500.0), 3)
        278.402
    """
    _check_altitude(altitude)
    return SEA_LEVEL_TEMPERATURE - LAPSE_RATE * geopotential_altitude(altitude)


def standard_pressure(altitude: Number) -> Number:
    """Pressure of the standard atmosphere.

    Args:
        altitude: Geometric, −1000 to 11 000 m.

    Returns:
        Pressure. [Pa]

    Raises:
        OutsideRangeError: If an altitude lies outside the range.

    Notes:
        p = p₀ (T/T₀)^(g/(R L)), the exponent being 5.25588. ISO 2533:1975.

    Examples:
        >>> round(standard_pressure(1500.0), 1)
        84559.7
    """
    exponent = STANDARD_GRAVITY / (STANDARD_GAS_CONSTANT * LAPSE_RATE)
    pressure: Number = (
        SEA_LEVEL_PRESSURE * (standard_temperature(altitude) / SEA_LEVEL_TEMPERATURE) ** exponent
    )
    return pressure


def standard_density(altitude: Number) -> Number:
    """Density of the standard atmosphere, which is dry.

    Args:
        altitude: Geometric, −1000 to 11 000 m.

    Returns:
        Density. [kg/m³]

    Raises:
        OutsideRangeError: If an altitude lies outside the range.

    Notes:
        ρ = p / (R T). ISO 2533:1975.

    Examples:
        >>> round(standard_density(0.0), 5), round(standard_density(2000.0), 5)
        (1.225, 1.00655)
    """
    return standard_pressure(altitude) / (STANDARD_GAS_CONSTANT * standard_temperature(altitude))


def density_ratio(altitude: Number, start_altitude: Metre) -> Number:
    """Density along a ride over the density at its start.

    The standard atmosphere's ratio, whatever the day. On a day 15 K warmer than standard, 1000 m up, the
    hydrostatic ratio is 0.5 % higher (``docs/models/air.md``).

    Args:
        altitude: Along the ride. [m]
        start_altitude: Where the start's density is known. [m]

    Returns:
        Ratio, 1 at the start's altitude.

    Raises:
        OutsideRangeError: If an altitude lies outside −1000 to 11 000 m.

    Examples:
        >>> round(density_ratio(1000.0, 0.0), 4)
        0.9075
    """
    return standard_density(altitude) / standard_density(start_altitude)


def saturation_pressure(temperature: Number) -> Number:
    """Vapour pressure over water at which air is saturated, after Tetens.

    Args:
        temperature: Of the air; the fit is meant for −35 to 50 °C, over water also below freezing. [K]

    Returns:
        Pressure. [Pa]

    Notes:
        e = 610.78 exp(17.27 t / (t + 237.3)), t in °C.

    References:
        O. Tetens, "Über einige meteorologische Begriffe", Zeitschrift für Geophysik 6, 1930, in the form
        of Murray, J. Applied Meteorology 6, 1967 (memory).

    Examples:
        >>> round(saturation_pressure(293.15), 1)
        2338.2
    """
    celsius = temperature - ICE_POINT
    # math.e ** x, and not np.exp, so that a float stays a float.
    pressure: Number = 610.78 * math.e ** (17.27 * celsius / (celsius + 237.3))
    return pressure


def saturation_pressure_buck(temperature: Number) -> Number:
    """Vapour pressure over water at which air is saturated, after Buck: the second opinion.

    Args:
        temperature: Of the air, −40 to 50 °C. [K]

    Returns:
        Pressure. [Pa]

    Notes:
        e = 611.21 exp((18.678 − t/234.5) t / (257.14 + t)), t in °C.

    References:
        A. L. Buck, "New equations for computing vapor pressure and enhancement factor", J. Applied
        Meteorology 20, 1981, with the constants of 1996 (memory).

    Examples:
        >>> round(saturation_pressure_buck(293.15), 1)
        2338.3
    """
    celsius = temperature - ICE_POINT
    pressure: Number = 611.21 * math.e ** ((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))
    return pressure


def humid_density(temperature: Number, pressure: Number | Pascal, humidity: Number | Fraction) -> Number:
    """Density of moist air as an ideal mixture; an array comes first if there is any.

    Args:
        temperature: Of the air, −35 to 50 °C. [K]
        pressure: Of the air. [Pa]
        humidity: Relative, 0 to 1.

    Returns:
        Density; 0.03 to 0.08 % below CIPM-2007 from −10 to 30 °C. [kg/m³]

    Notes:
        ρ = (p − e) / (287.058 T) + e / (461.495 T), e = humidity times saturation pressure (Tetens).
        Compared with A. Picard et al., "Revised formula for the density of moist air (CIPM-2007)",
        Metrologia 45, 2008.

    Examples:
        >>> round(humid_density(293.15, 101_325.0, 0.5), 5)
        1.19883
    """
    vapour = humidity * saturation_pressure(temperature)
    return (pressure - vapour) / (DRY_AIR_GAS_CONSTANT * temperature) + vapour / (
        VAPOUR_GAS_CONSTANT * temperature
    )


# Floats fit both forms; mypy takes the first, and that is what comes back.
@overload
def air_density(  # type: ignore[overload-overlap]
    altitude: Metre, temperature: Kelvin, humidity: Fraction
) -> KilogramPerCubicMetre: ...
@overload
def air_density(
    altitude: Metre | FloatArray, temperature: Kelvin | FloatArray, humidity: Fraction | FloatArray
) -> FloatArray: ...
def air_density(
    altitude: Metre | FloatArray, temperature: Kelvin | FloatArray, humidity: Fraction | FloatArray
) -> KilogramPerCubicMetre | FloatArray:
    """Density on a day that is not the standard one: standard pressure, real temperature and humidity.

    The weather's own pressure is not asked for: ±20 hPa, the usual range between lows and highs, is ±2 %.

    Args:
        altitude: Geometric, −1000 to 11 000 m.
        temperature: Of the air, −35 to 50 °C. [K]
        humidity: Relative, 0 to 1.

    Returns:
        Density; arguments broadcast. [kg/m³]

    Raises:
        InputError: If a humidity lies outside 0 to 1.
        OutsideRangeError: If an altitude lies outside the range.

    Notes:
        ``humid_density`` at ``standard_pressure``.

    Examples:
        >>> round(air_density(1500.0, 303.15, 0.0), 4)
        0.9717
    """
    if not (np.all(np.greater_equal(humidity, 0.0)) and np.all(np.less_equal(humidity, 1.0))):
        raise InputError("humidity", humidity, "0 to 1")
    kelvin, metres, share = np.broadcast_arrays(
        np.asarray(temperature, dtype=np.float64),
        np.asarray(altitude, dtype=np.float64),
        np.asarray(humidity, dtype=np.float64),
    )
    density = humid_density(kelvin, standard_pressure(metres), share)
    return density if density.ndim else float(density)


def _check_altitude(altitude: Metre | FloatArray) -> None:
    """Refuse altitudes outside the troposphere of ISO 2533."""
    lowest, highest = float(np.min(altitude)), float(np.max(altitude))
    worst = lowest if lowest < LOWEST_ALTITUDE else highest
    if not (lowest >= LOWEST_ALTITUDE and highest <= HIGHEST_ALTITUDE):
        raise OutsideRangeError("The standard atmosphere", "altitude", worst, "from -1000 to 11,000 m")
