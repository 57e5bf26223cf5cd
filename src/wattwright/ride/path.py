"""The path: the road as the engine rides it, in short segments of about equal length."""

from dataclasses import dataclass

from wattwright.units import FloatArray, Metre


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RidePath:
    """Segments in riding order; every array has shape (segments,).

    ``speed_cap`` and ``dwell`` belong to the *end* of their segment, the rest to its middle.
    """

    title: str
    length: FloatArray
    """Along the slope. [m]"""
    grade: FloatArray
    """Rise over horizontal run, positive uphill."""
    heading: FloatArray
    """Direction of travel, clockwise from north. [rad]"""
    altitude: FloatArray
    """[m]"""
    speed_cap: FloatArray
    """Fastest a careful rider passes the end of the segment: corners, crossings, stops, with the braking
    distance before them counted; 0 at a stop. [m/s]"""
    dwell: FloatArray
    """Standing time at the end of the segment. [s]"""
    rolling_factor: FloatArray
    """Rolling resistance of the surface over that of the bicycle's usual one."""
    latitude: FloatArray
    """Degrees; NaN for a ride without a place."""
    longitude: FloatArray

    @property
    def segments(self) -> int:
        """How many segments."""
        return len(self.length)

    @property
    def distance(self) -> Metre:
        """Whole length along the slope."""
        return float(self.length.sum())
