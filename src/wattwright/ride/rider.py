"""The rider: how hard they push, and when they stop pushing."""

from dataclasses import dataclass

from wattwright.units import Kilogram, MetrePerSecond, Newton, Watt


@dataclass(frozen=True, slots=True, kw_only=True)
class Rider:
    """One rider's body and habits."""

    mass: Kilogram
    """With clothes."""
    power: Watt
    """At the crank, on the flat, steady."""
    power_per_grade: Watt
    """Added for each unit of grade: 1000 W adds 50 W at 5 %; between half and twice ``power`` in all."""
    cadence: float
    """Preferred crank speed. [rad/s]"""
    easing_speed: MetrePerSecond
    """From here the rider pedals less and less,"""
    coasting_speed: MetrePerSecond
    """and from here not at all."""
    strongest_push: Newton
    """At the wheel, starting off or on a wall."""
