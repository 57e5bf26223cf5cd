"""Spread: from what is not known exactly to samples ridden side by side."""

import math
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.ride.air import air_density
from wattwright.ride.lanes import Lanes
from wattwright.ride.quasi_random import quasi_random_points
from wattwright.ride.wind import wind_components
from wattwright.units import (
    FloatArray,
    Fraction,
    Kelvin,
    Kilogram,
    Metre,
    MetrePerSecond,
    Radian,
    SquareMetre,
    Watt,
)

WIDEST: Final = 3.0
"""Standard deviations at which every distribution is cut."""
LEAST_SHARE: Final = 0.1
"""Of a central value: no sample of a mass, a coefficient or a power lies lower."""
USUAL_DIRECTION_SPREAD: Final = math.radians(80.0)
"""[rad] Standard deviation around a month's usual wind direction: the steadiest months of the one station
measured in ``docs/models/spread.md``; elsewhere an assumption."""
STEADIEST_SHAPE: Final = 1000.0
"""Weibull shape whose spread, 0.13 % of the mean, stands for a wind that always blows the same."""
WIDEST_SHAPE: Final = 0.5
"""Weibull shape whose standard deviation is 2.24 times the mean; no wind is that unsteady."""

# Columns of the quasi-random points: the evenest first.
_MASS, _WIND, _DIRECTION, _RIDER, _ROLLING, _DRAG, _TEMPERATURE, _CAPACITY, _RESISTANCE = range(9)
_COLUMNS: Final = 9

_BELL: Final = NormalDist()


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """Standard deviations of what is not known exactly; relative where dimensionless."""

    mass: Kilogram
    drag_area: Fraction
    rolling_coefficient: Fraction
    rider_power: Fraction
    wind: Fraction
    """Of the month's usual wind."""
    capacity: Fraction
    """Of the pack's usable capacity, specimen to specimen."""
    resistance: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class CentralValues:
    """What is expected of bike, rider, weather and pack: the middle of every spread."""

    mass: Kilogram
    """Everything that rolls, without the wheels' inertia."""
    drag_area: SquareMetre
    rolling_coefficient: float
    rider_power: Watt
    """On the flat."""
    drivetrain_efficiency: Fraction
    altitude: Metre
    """Of the path's first segment."""
    temperature: Kelvin
    temperature_spread: Kelvin
    """Standard deviation from day to day."""
    humidity: Fraction
    wind: MetrePerSecond
    """Mean at 10 m over open land."""
    wind_from: Radian | None
    """Usual direction; None where it comes from anywhere: the central lane is calm then."""
    shelter: Fraction
    """Wind at rider height over wind at 10 m."""
    wind_direction_spread: Radian = USUAL_DIRECTION_SPREAD
    """Standard deviation around the usual direction."""
    capacity_factor: float = 1.0
    resistance_factor: float = 1.0
    start_charge: Fraction = 1.0


def draw_lanes(centre: CentralValues, spread: Spread, samples: int, seed: int) -> Lanes:
    """Samples around the central values; lane 0 carries the central values themselves.

    Args:
        centre: The middle.
        spread: How far from it.
        samples: Lanes in all, 1 or more.
        seed: 0 or more; the same seed gives the same lanes.

    Returns:
        Lanes, each array of shape (samples,). Density goes with each lane's temperature.

    Raises:
        InputError: If a spread is negative or not a number, a central value not positive where it must be, or
            samples or seed outside their range.

    Notes:
        Scrambled Sobol points (``quasi_random``) by the inverse of each distribution, cut at ±3 standard
        deviations: normal for mass, drag area, rolling coefficient, rider power, temperature, capacity and
        resistance; Weibull for wind speed, with the shape that has the wanted standard deviation (0.523 of
        the mean is Rayleigh's); normal around the usual direction, or uniform, for the wind's direction. All
        independent of each other.

    Examples:
        >>> calm = CentralValues(mass=110.0, drag_area=0.6, rolling_coefficient=0.008, rider_power=80.0,
        ...     drivetrain_efficiency=0.97, altitude=0.0, temperature=288.15, temperature_spread=4.0,
        ...     humidity=0.0, wind=0.0, wind_from=None, shelter=0.6)
        >>> usual = Spread(mass=3.0, drag_area=0.1, rolling_coefficient=0.15, rider_power=0.15, wind=0.52,
        ...     capacity=0.02, resistance=0.1)
        >>> lanes = draw_lanes(calm, usual, samples=500, seed=7)
        >>> float(lanes.mass[0]), round(float(lanes.air_density[0]), 3), round(float(lanes.mass.std()), 1)
        (110.0, 1.225, 3.0)
    """
    _check(centre, spread, samples)
    points = np.full((samples, _COLUMNS), 0.5)
    if samples > 1:
        points[1:] = quasi_random_points(samples - 1, _COLUMNS, seed)
    temperature = _scattered(points[:, _TEMPERATURE], centre.temperature, centre.temperature_spread)
    wind_north, wind_east = _wind(points, centre, spread.wind)
    relative = {
        "drag_area": (_DRAG, centre.drag_area, spread.drag_area),
        "rolling_coefficient": (_ROLLING, centre.rolling_coefficient, spread.rolling_coefficient),
        "rider_power": (_RIDER, centre.rider_power, spread.rider_power),
        "capacity_factor": (_CAPACITY, centre.capacity_factor, spread.capacity),
        "resistance_factor": (_RESISTANCE, centre.resistance_factor, spread.resistance),
    }
    return Lanes(
        mass=_scattered(points[:, _MASS], centre.mass, spread.mass, least=LEAST_SHARE * centre.mass),
        **{
            name: _scattered(points[:, column], middle, share * middle, least=LEAST_SHARE * middle)
            for name, (column, middle, share) in relative.items()
        },
        air_density=air_density(centre.altitude, temperature, centre.humidity),
        wind_north=wind_north,
        wind_east=wind_east,
        air_temperature=temperature,
        drivetrain_efficiency=np.full(samples, centre.drivetrain_efficiency),
        start_charge=np.full(samples, centre.start_charge),
    )


def weibull_shape(relative_deviation: Fraction) -> float:
    """Shape of the Weibull distribution whose standard deviation is that share of its mean.

    Args:
        relative_deviation: Above 0 to 2.2; below 0.0013 the shape stays at 1000.

    Returns:
        Shape k; 2 is Rayleigh's distribution, usual for wind over a year.

    Raises:
        InputError: If the share lies outside its range.

    Notes:
        Root of Γ(1 + 2/k) / Γ(1 + 1/k)² − 1 = (σ/µ)², which falls with k, by halving. The Weibull form for
        wind speeds: C. G. Justus et al., "Methods for estimating wind speed frequency distributions",
        J. Applied Meteorology 17, 1978 (memory).

    Examples:
        >>> round(weibull_shape(0.5227), 3)
        2.0
    """
    lowest, highest = WIDEST_SHAPE, STEADIEST_SHAPE
    if not 0.0 < relative_deviation <= _weibull_deviation(lowest):
        raise InputError("wind spread", relative_deviation, "above 0 to 2.2 of the usual wind")
    for _ in range(60):
        middle = 0.5 * (lowest + highest)
        if _weibull_deviation(middle) > relative_deviation:
            lowest = middle
        else:
            highest = middle
    return highest


def _weibull_deviation(shape: float) -> Fraction:
    """Standard deviation over mean."""
    return math.sqrt(math.expm1(math.lgamma(1.0 + 2.0 / shape) - 2.0 * math.lgamma(1.0 + 1.0 / shape)))


def _scattered(points: FloatArray, middle: float, deviation: float, least: float = -math.inf) -> FloatArray:
    """Normal around the middle, cut at ±3 deviations and at ``least``; a point of 0.5 gives the middle."""
    if deviation == 0.0:
        return np.full(points.shape, middle)
    lowest = max(-WIDEST, (least - middle) / deviation)
    scatter = middle + deviation * _bell(points, lowest)
    scatter[0] = middle
    return scatter


def _bell(points: FloatArray, lowest: float = -WIDEST) -> FloatArray:
    """Standard normal values by their shares, cut at ``lowest`` and +3."""
    return np.frombuffer(_bell_of(points.tobytes(), lowest))


@lru_cache(maxsize=32)
def _bell_of(points: bytes, lowest: float) -> bytes:
    """The same, kept: each season of a job is drawn by the same points, and each value takes a while."""
    floor, ceiling = _BELL.cdf(lowest), _BELL.cdf(WIDEST)
    shares = floor + np.frombuffer(points) * (ceiling - floor)
    return np.array([_BELL.inv_cdf(share) for share in shares.tolist()]).tobytes()


def _wind(points: FloatArray, centre: CentralValues, share: Fraction) -> tuple[FloatArray, FloatArray]:
    """Wind from north and east at rider height, lane by lane."""
    speed = centre.shelter * _wind_speed(points[:, _WIND], centre.wind, share)
    if centre.wind_from is None:
        wind_from = 2.0 * math.pi * points[:, _DIRECTION]
        speed[0] = 0.0  # the mean of winds from anywhere
    else:
        wind_from = centre.wind_from + centre.wind_direction_spread * _bell(points[:, _DIRECTION])
        wind_from[0] = centre.wind_from
    return wind_components(wind_from, speed)


def _wind_speed(points: FloatArray, mean: MetrePerSecond, share: Fraction) -> FloatArray:
    """Weibull wind at 10 m, cut at the shares that ±3 deviations of a normal have."""
    if mean == 0.0 or share == 0.0:
        return np.full(points.shape, mean)
    shape = weibull_shape(share)
    scale = mean / math.gamma(1.0 + 1.0 / shape)
    floor, ceiling = _BELL.cdf(-WIDEST), _BELL.cdf(WIDEST)
    speed = np.asarray(scale * (-np.log1p(-(floor + points * (ceiling - floor)))) ** (1.0 / shape))
    speed[0] = mean
    return speed


def _check(centre: CentralValues, spread: Spread, samples: int) -> None:
    """Refuse what has no meaning before it becomes a thousand numbers."""
    if samples < 1:
        raise InputError("samples", samples, "1 or more")
    for name in Spread.__dataclass_fields__:
        _check_least(f"spread.{name}", getattr(spread, name))
    for name in ("temperature_spread", "wind", "wind_direction_spread", "shelter", "rider_power"):
        _check_least(name, getattr(centre, name))
    for name in ("mass", "drag_area", "rolling_coefficient", "drivetrain_efficiency", "capacity_factor"):
        if not 0.0 < getattr(centre, name) < math.inf:
            raise InputError(name, getattr(centre, name), "more than 0")


def _check_least(name: str, value: float) -> None:
    if not 0.0 <= value < math.inf:
        raise InputError(name, value, "0 or more")
