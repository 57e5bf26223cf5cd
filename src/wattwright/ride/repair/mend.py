"""The order of mending."""

import numpy as np

from wattwright.errors import FileError
from wattwright.ride.repair.clock import with_orderly_clock
from wattwright.ride.repair.distances import with_distances
from wattwright.ride.repair.heights import with_all_heights
from wattwright.ride.repair.mending import Mending, timed
from wattwright.ride.repair.odometer import with_steady_odometer, without_odometer_glitches
from wattwright.ride.repair.positions import (
    with_all_positions,
    without_position_spikes,
    without_repeated_positions,
)
from wattwright.ride.repair.values import without_impossible_values
from wattwright.ride.repair.vehicle import without_vehicle_legs
from wattwright.ride.track import Repair, Track

FEWEST_POINTS = 3


def mended(track: Track) -> tuple[Track, tuple[Repair, ...]]:
    """Put right what is wrong with a recording, and say what was done.

    Args:
        track: As read. Arrays (points,).

    Returns:
        The mended track and its repairs in the order they were made. In the track every array has shape
        (points left,); ``time`` rises from point to point or is all NaN; ``latitude`` and ``longitude`` are
        all finite or all NaN (longitude is unwrapped: beyond 180° after crossing the date line);
        ``altitude`` is all finite or all NaN; ``distance`` starts at 0 and never falls; ``speed`` is finite
        in a timed track; ``power`` and ``temperature`` keep their NaN; ``segment`` grows where a stretch was
        cut out, from 0.

    Raises:
        FileError: If the ride is a simulator's, has fewer than three points, has nothing to tell distance
            by, if its speed, distance and positions contradict each other, or if nearly all of it is a
            drive by car or train.
    """
    _refuse_virtual(track)
    _refuse_short(track)
    mending = Mending(track=track, point=np.arange(1, len(track.time) + 1))
    for mend in (
        without_impossible_values,
        with_orderly_clock,
        without_position_spikes,
        without_odometer_glitches,
        with_steady_odometer,
        with_all_positions,
        without_repeated_positions,
    ):
        mending = mend(mending)
        _refuse_short(mending.track)
    mending = with_all_heights(with_distances(mending))
    mending = _with_speeds(without_vehicle_legs(mending))
    _refuse_short(mending.track)
    return mending.track, mending.repairs


def _refuse_virtual(track: Track) -> None:
    if track.is_virtual:
        raise FileError(
            track.title,
            "the ride was ridden on a simulator, not on a road",
            "Use a recording from outdoors, or give distance and ascent instead of a file.",
        )


def _refuse_short(track: Track) -> None:
    count = len(track.time)
    if count < FEWEST_POINTS:
        points = {0: "no points", 1: "only one point"}.get(count, f"only {count} points")
        raise FileError(
            track.title,
            f"the track has {points} that can be used",
            "Export the ride again as a track with all its points, or give distance and ascent instead.",
        )


def _with_speeds(mending: Mending) -> Mending:
    """Keep recorded speeds; where there is none, take the change of distance over two steps."""
    track = mending.track
    if not timed(track) or np.isfinite(track.speed).all():
        return mending
    derived = np.gradient(track.distance, track.time)
    return mending.with_columns(speed=np.where(np.isfinite(track.speed), track.speed, derived))
