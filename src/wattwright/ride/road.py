"""The road between the mended track and the path: even segments, not yet with speed caps."""

from dataclasses import dataclass, fields

import numpy as np

from wattwright.ride.geodesy import slope_length
from wattwright.ride.path import RidePath
from wattwright.ride.speed_caps import RidingStyle, speed_caps
from wattwright.units import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Road:
    """Segments in riding order; every array has shape (segments,).

    ``radius``, ``stop`` and ``dwell`` belong to the *end* of their segment, the rest to its middle.
    """

    run: FloatArray
    """Horizontal length. [m]"""
    grade: FloatArray
    heading: FloatArray
    altitude: FloatArray
    latitude: FloatArray
    longitude: FloatArray
    radius: FloatArray
    """Of the bend at the segment's end. [m]"""
    stop: FloatArray
    """1 where the rider halts at the segment's end, else 0."""
    dwell: FloatArray
    """Standing time at the segment's end. [s]"""


def joined(*roads: Road) -> Road:
    """One road after the other."""
    columns = (field.name for field in fields(Road))
    return Road(**{name: np.concatenate([getattr(road, name) for road in roads]) for name in columns})


def turned_round(road: Road) -> Road:
    """The way back. What happens at the far end of the road (a halt) stays at the end of the way back."""
    return Road(
        run=road.run[::-1],
        grade=-road.grade[::-1],
        heading=np.mod(road.heading[::-1] + np.pi, 2.0 * np.pi),
        altitude=road.altitude[::-1],
        latitude=road.latitude[::-1],
        longitude=road.longitude[::-1],
        radius=ends_turned_round(road.radius),
        stop=ends_turned_round(road.stop),
        dwell=ends_turned_round(road.dwell),
    )


def ends_turned_round(at_end: FloatArray) -> FloatArray:
    """What belongs to segment ends, for the way back; the last end keeps its value.

    >>> ends_turned_round(np.array([1.0, 2.0, 3.0, 9.0])).tolist()
    [3.0, 2.0, 1.0, 9.0]
    """
    return np.concatenate([at_end[:-1][::-1], at_end[-1:]])


def path_of(road: Road, title: str, style: RidingStyle) -> RidePath:
    """The path a rider of this style finds on the road."""
    length = slope_length(road.run, road.grade)
    return RidePath(
        title=title,
        length=length,
        grade=road.grade,
        heading=road.heading,
        altitude=road.altitude,
        speed_cap=speed_caps(road.radius, road.stop, length, style),
        dwell=road.dwell,
        rolling_factor=np.ones_like(length),
        latitude=road.latitude,
        longitude=road.longitude,
    )
