"""The bicycle before its conversion, as far as riding it needs."""

from dataclasses import dataclass

from wattwright.units import Fraction, Kilogram, Metre, SquareMetre


@dataclass(frozen=True, slots=True, kw_only=True)
class Bicycle:
    """One bicycle, without rider, load and drive."""

    title: str
    mass: Kilogram
    wheel_radius: Metre
    """Rolling radius of the driven wheel: roll-out over 2π."""
    wheel_inertia: float
    """Both wheels together. [kg m²]"""
    rolling_coefficient: float
    """On the surface of its usual rides, tyres at their usual pressure."""
    drag_area: SquareMetre
    """CdA of rider and bicycle together in the usual posture, luggage included."""
    drivetrain_efficiency: Fraction
    """Crank to wheel."""
    lowest_gear: float
    """Wheel revolutions per crank revolution in the lowest gear."""
    highest_gear: float
