"""A recorded ride at its own time steps, as a calibration needs it."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from wattwright.errors import FileError
from wattwright.ride.elevation import profile_of
from wattwright.ride.geodesy import geodesic_between
from wattwright.ride.repair import mended
from wattwright.ride.repair.distances import gap_limit
from wattwright.ride.track import Repair, Track
from wattwright.units import FloatArray

MOVING_SPEED = 0.7
"""[m/s] Slower than this the rider is taken to stand."""
HEADING_SPAN = 20.0
"""[m] Headings are taken over this distance, against position noise."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RecordedRide:
    """Samples in order of time; every array has shape (samples,)."""

    title: str
    start: float
    """When it began: seconds since 1970-01-01 UTC, or whatever zero the recording had."""
    time: FloatArray
    """Since the start, rising. [s]"""
    step: FloatArray
    """Time since the sample before, 0 for the first. [s]"""
    distance: FloatArray
    """Horizontal, from the start, never falling. [m]"""
    speed: FloatArray
    """As recorded, else from the distance. [m/s]"""
    altitude: FloatArray
    """Smoothed; all NaN in a recording without elevation. [m]"""
    recorded_altitude: FloatArray
    """Mended but not smoothed; all NaN in a recording without elevation. [m]"""
    grade: FloatArray
    """Of the smoothed profile, rise over run; all NaN without elevation."""
    heading: FloatArray
    """Clockwise from north, 0 to 2π; all NaN in a recording without positions. [rad]"""
    power: FloatArray
    """Rider's; NaN where missing. [W]"""
    temperature: FloatArray
    """Air as the device felt it; NaN where missing. [K]"""
    moving: npt.NDArray[np.bool_]
    """Whether the rider moved from the sample before to this one, without a gap between."""
    piece: npt.NDArray[np.int64]
    """Grows at every gap of the recording and at every stretch that was cut out; integrate within a piece."""
    latitude: FloatArray
    """Degrees; all NaN in a recording without positions."""
    longitude: FloatArray
    rider_mass: float
    """From the file; NaN if it does not say. [kg]"""
    repairs: tuple[Repair, ...]

    @property
    def samples(self) -> int:
        """How many samples."""
        return len(self.time)

    @property
    def has_power(self) -> bool:
        """Whether at least half of the moving samples carry power."""
        return bool(np.isfinite(self.power[self.moving]).mean() >= 0.5) if self.moving.any() else False


def recorded_ride(track: Track) -> RecordedRide:
    """Prepare a recording for comparing it with the laws of motion.

    Args:
        track: As read; with times. Positions and elevation may be absent.

    Returns:
        The samples left after repair.

    Raises:
        FileError: If the track has no times, or cannot be mended (see ``mended``).
    """
    whole, repairs = mended(track)
    if np.isnan(whole.time).any():
        raise FileError(
            track.title,
            "the track has no usable times, so speeds are unknown",
            "Use the recording itself, not a planned route, for a calibration.",
        )
    altitude, grade = _heights(whole)
    step = np.diff(whole.time, prepend=whole.time[0])
    gap = (step > gap_limit(whole)) | (np.diff(whole.segment, prepend=0.0) > 0.0)
    return RecordedRide(
        title=track.title,
        start=float(whole.time[0]),
        time=whole.time - whole.time[0],
        step=step,
        distance=whole.distance,
        speed=whole.speed,
        altitude=altitude,
        recorded_altitude=whole.altitude,
        grade=grade,
        heading=_headings(whole),
        power=whole.power,
        temperature=whole.temperature,
        moving=_moving(whole, step, gap),
        piece=np.cumsum(gap),
        latitude=whole.latitude,
        longitude=whole.longitude,
        rider_mass=track.rider_mass,
        repairs=repairs,
    )


def _heights(track: Track) -> tuple[FloatArray, FloatArray]:
    """Smoothed height and grade at each sample, cut by cut."""
    altitude, grade = np.full_like(track.altitude, np.nan), np.full_like(track.altitude, np.nan)
    if np.isnan(track.altitude).any():
        return altitude, grade
    for piece in np.unique(track.segment):
        here = track.segment == piece
        profile = profile_of(track.distance[here], track.altitude[here])
        altitude[here] = profile.altitude_at(track.distance[here])
        grade[here] = profile.grade_at(track.distance[here])
    return altitude, grade


def _headings(track: Track) -> FloatArray:
    """Heading over ``HEADING_SPAN`` about each sample; a standing rider keeps the last one."""
    if np.isnan(track.latitude).any():
        return np.full_like(track.latitude, np.nan)
    distance = track.distance
    last = len(distance) - 1
    first = np.maximum(np.searchsorted(distance, distance - 0.5 * HEADING_SPAN, side="right") - 1, 0)
    then = np.minimum(np.searchsorted(distance, distance + 0.5 * HEADING_SPAN, side="left"), last)
    length, heading = geodesic_between(
        track.latitude[first], track.longitude[first], track.latitude[then], track.longitude[then]
    )
    known = np.where(length > 1.0, np.arange(len(length)), 0)
    return np.asarray(heading[np.maximum.accumulate(known)], dtype=float)


def _moving(track: Track, step: FloatArray, gap: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
    travelled = np.diff(track.distance, prepend=0.0)
    return (step > 0.0) & ~gap & ((track.speed > MOVING_SPEED) | (travelled > MOVING_SPEED * step))
