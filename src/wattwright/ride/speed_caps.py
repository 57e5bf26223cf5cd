"""How fast a careful rider passes each point of a road: bends, stops, descents, braking before them."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.units import FloatArray, Metre, MetrePerSecond, Second

CREEP: Final = 1.5
"""[m/s] However tight a bend looks, it is passed at this speed: a brisk walk."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RidingStyle:
    """How a rider takes bends, brakes and lets it run; defaults are common practice, no source."""

    lateral_acceleration: float = 2.5
    """In bends; 2.5 is a lean of 14°. [m/s²]"""
    braking_deceleration: float = 1.5
    """Before bends and stops; about a third of what dry brakes give. [m/s²]"""
    fastest_descent: MetrePerSecond = 50.0 / 3.6
    """However steep and straight it is: 50 km/h."""

    def __post_init__(self) -> None:
        """Refuse what no rider does.

        Raises:
            InputError: If a value lies outside the range given in its message.
        """
        _within("lateral_acceleration_m_s2", self.lateral_acceleration, 0.3, 10.0)
        _within("braking_deceleration_m_s2", self.braking_deceleration, 0.3, 10.0)
        _within("fastest_descent_m_s", self.fastest_descent, 2.0, 40.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordedStop:
    """One halt of a recording, on the path as built."""

    distance: Metre
    """From the start of the path."""
    duration: Second
    """As recorded."""
    dwell: Second
    """As counted in the path: long pauses are cut short."""


def _within(field: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise InputError(field, value, f"{low:g} to {high:g}")


def corner_speed(radius: FloatArray, lateral_acceleration: float) -> FloatArray:
    """Speed [m/s] at which a bend of this radius [m] asks for this lateral acceleration [m/s²]: √(a·R).

    Examples:
        >>> corner_speed(np.array([10.0, 1000.0]), 2.5).tolist()
        [5.0, 50.0]
    """
    return np.sqrt(lateral_acceleration * radius)


def braked(cap: FloatArray, length: FloatArray, braking_deceleration: float) -> FloatArray:
    """Lower caps so that each can be reached from the one before it by braking.

    Args:
        cap: (segments,) at the ends of the segments, 0 or more. [m/s]
        length: (segments,) more than 0. [m]
        braking_deceleration: More than 0. [m/s²]

    Returns:
        (segments,) never above ``cap``. [m/s]

    Notes:
        v[i]² ≤ v[j]² + 2 b (s[j] − s[i]) for every later end j, so v² + 2 b s is replaced by its running
        minimum from the far end.

    Examples:
        >>> braked(np.array([10.0, 10.0, 0.0]), np.array([10.0, 10.0, 10.0]), 1.5).round(3).tolist()
        [7.746, 5.477, 0.0]
    """
    head = 2.0 * braking_deceleration * np.cumsum(length)
    budget = np.minimum.accumulate((cap * cap + head)[::-1])[::-1]
    return np.minimum(cap, np.sqrt(np.maximum(budget - head, 0.0)))


def speed_caps(radius: FloatArray, stop: FloatArray, length: FloatArray, style: RidingStyle) -> FloatArray:
    """Fastest a careful rider passes the end of each segment.

    Args:
        radius: (segments,) of the bend at the segment's end. [m]
        stop: (segments,) 1 where the rider halts at the segment's end, else 0. The last end is a halt.
        length: (segments,) [m]
        style: How bends are taken and brakes used.

    Returns:
        (segments,) 0 at a stop. [m/s]
    """
    cap = np.clip(corner_speed(radius, style.lateral_acceleration), CREEP, style.fastest_descent)
    cap = np.where(stop > 0.0, 0.0, cap)
    cap[-1] = 0.0
    return braked(cap, length, style.braking_deceleration)
