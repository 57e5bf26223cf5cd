"""How a pack looks to a drive: plain tables of one module, and how many stand in parallel.

The pack subject makes this record, the ride subject uses it; neither knows the other.
"""

from dataclasses import dataclass

from wattwright.parts.battery_module import ProtectionPoint
from wattwright.units import Ampere, Coulomb, FloatArray, Second, Volt


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Supply:
    """One kind of module in parallel, by state of charge, at its reference temperature and new.

    A lane scales ``capacity`` and the resistances by factors of its own (temperature and age).
    """

    modules: int
    open_circuit_voltage: FloatArray
    """(points,) of one module [V], on a uniform grid of charge from 0 (first) to 1 (last)."""
    resistance: FloatArray
    """(points,) series resistance of one module [Ω], same grid."""
    relaxation_resistance: FloatArray
    """(points,) of one module [Ω], same grid."""
    relaxation_time: Second
    capacity: Coulomb
    """Of one module."""
    protection: tuple[ProtectionPoint, ...]
    """Of one module, at most four points."""
    minimum_voltage: Volt
    maximum_voltage: Volt
    regeneration_current: Ampere
    """Largest charge current of one module while riding."""
