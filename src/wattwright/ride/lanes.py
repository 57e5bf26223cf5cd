"""Lanes: samples of what is not known exactly, ridden side by side."""

from dataclasses import dataclass

from wattwright.units import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lanes:
    """One value per lane; every array has shape (lanes,). Lane 0 carries the central values."""

    mass: FloatArray
    """Everything that rolls, without the wheels' inertia. [kg]"""
    drag_area: FloatArray
    """[m²]"""
    rolling_coefficient: FloatArray
    air_density: FloatArray
    """At the path's first altitude; the engine lowers it with height. [kg/m³]"""
    wind_north: FloatArray
    """Wind *from* the north at rider height, positive when it blows from north to south. [m/s]"""
    wind_east: FloatArray
    """Wind *from* the east at rider height. [m/s]"""
    air_temperature: FloatArray
    """[K]"""
    rider_power: FloatArray
    """On the flat. [W]"""
    drivetrain_efficiency: FloatArray
    capacity_factor: FloatArray
    """Usable capacity over rated: age and temperature."""
    resistance_factor: FloatArray
    """Pack resistance over that of the supply table: age and temperature."""
    start_charge: FloatArray
    """State of charge at the start, 0 to 1."""

    @property
    def count(self) -> int:
        """How many lanes."""
        return len(self.mass)
