"""The track: what a recording or a plan says, as read, before any repair."""

from dataclasses import dataclass

from wattwright.units import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """Points in the order of the file. Absent values are NaN; an absent column is all NaN.

    Every array has shape (points,).
    """

    title: str
    """File name or the track's own name, as the fitter knows it."""
    latitude: FloatArray
    """Degrees, WGS84."""
    longitude: FloatArray
    """Degrees, WGS84."""
    altitude: FloatArray
    """[m]"""
    time: FloatArray
    """Seconds since 1970-01-01 UTC."""
    distance: FloatArray
    """Recorded by the device, from its start. [m]"""
    speed: FloatArray
    """Recorded by the device. [m/s]"""
    power: FloatArray
    """Rider's, at crank, pedals or hub. [W]"""
    temperature: FloatArray
    """Air, as the device felt it. [K]"""
    segment: FloatArray
    """Number of the piece the point belongs to: a new piece starts after a recorded pause or a gap."""
    rider_mass: float = float("nan")
    """From the file, if it says so. [kg]"""
    is_virtual: bool = False
    """Ridden on a simulator: its altitude and speed are not of this world."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Repair:
    """One kind of thing that was mended or left out, how often, and where first."""

    what: str
    """A clause: "repeated points dropped"."""
    count: int
    where: str
    """First place, in the fitter's terms: "at 12.4 km", "point 371"."""
