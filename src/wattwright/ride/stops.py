"""Halts of a timed recording: traffic lights, shops, lunch."""

from typing import Final

import numpy as np

from wattwright.ride.repair.distances import gap_limit
from wattwright.ride.repair.mending import runs
from wattwright.ride.track import Track
from wattwright.units import FloatArray, Metre, MetrePerSecond, Second

SLOW: Final[MetrePerSecond] = 0.7
"""Slower than this from point to point may be standing."""
CREEPING: Final[MetrePerSecond] = 1.0
"""Mean of the speeds at both ends of a step that is standing."""
RESUMED: Final[MetrePerSecond] = 4.0
"""Speed assumed for the distance covered during a gap of the recording."""
SHORTEST_STOP: Final[Second] = 5.0
"""Shorter halts are slowing down."""
SAME_PLACE: Final[Metre] = 20.0
"""Halts closer than this are one."""


def halts(track: Track) -> tuple[FloatArray, FloatArray]:
    """Distance [m] and duration [s] of each halt of a mended, timed track: (halts,) each.

    A step is standing if both its length and its speeds are slow (some devices write distance in lumps of
    many metres, so length alone does not tell), or if the recording slept through it and it took more
    than twice as long as riding it at ``RESUMED`` would. What riding it would take is not counted.
    """
    step, duration = np.diff(track.distance), np.diff(track.time)
    asleep = duration > gap_limit(track)
    riding = step / RESUMED
    creeping = 0.5 * (track.speed[1:] + track.speed[:-1]) < CREEPING
    standing = (creeping & (step < SLOW * duration)) | (asleep & (duration > 2.0 * riding))
    standing &= np.diff(track.segment) == 0.0  # a stretch that was cut out is no halt
    place: list[float] = []
    length: list[float] = []
    for first, last in runs(standing):
        seconds = float((duration - riding)[first : last + 1].sum())
        if place and track.distance[first] - place[-1] < SAME_PLACE:
            length[-1] += seconds
        else:
            place.append(float(track.distance[first]))
            length.append(seconds)
    return _long_enough(np.array(place), np.array(length))


def _long_enough(place: FloatArray, length: FloatArray) -> tuple[FloatArray, FloatArray]:
    keep = length >= SHORTEST_STOP
    return place[keep], length[keep]
