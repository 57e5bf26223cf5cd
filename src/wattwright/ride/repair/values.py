"""Values no bicycle ride can have."""

from typing import Final

import numpy as np

from wattwright.ride.repair.mending import Mask, Mending
from wattwright.units import FloatArray

HIGHEST_POWER: Final = 2500.0
"""[W] About what track sprinters reach for a second. (memory)"""
HIGHEST_SPEED: Final = 100.0
"""[m/s] Above any train but the fastest; vehicles below it are found by ``vehicle``."""
LOWEST_ALTITUDE: Final = -450.0
"""[m] Just below the shore of the Dead Sea, the lowest road on land (memory), less 10 m for error."""
HIGHEST_ALTITUDE: Final = 6500.0
"""[m] Above any road. (memory)"""
FARTHEST: Final = 1.0e7
"""[m] No ride is longer."""
COLDEST_AIR: Final = 213.15
HOTTEST_AIR: Final = 338.15
"""[K] A device in the sun at 65 °C."""


def without_impossible_values(mending: Mending) -> Mending:
    """Turn values outside what a ride can have into absent ones, each kind reported."""
    track = mending.track
    nowhere = (
        _given(track.latitude)
        & _given(track.longitude)
        & (
            (np.abs(track.latitude) > 90.0)
            | (np.abs(track.longitude) > 360.0)
            | ((track.latitude == 0.0) & (track.longitude == 0.0))
        )
    )
    half = np.isfinite(track.latitude) != np.isfinite(track.longitude)
    half |= np.isinf(track.latitude) | np.isinf(track.longitude)
    mending = _blanked(mending, "positions off the globe left out", nowhere | half, "latitude", "longitude")
    high = _outside(track.altitude, LOWEST_ALTITUDE, HIGHEST_ALTITUDE)
    mending = _blanked(mending, "heights no road has left out", high, "altitude")
    power = _outside(track.power, 0.0, HIGHEST_POWER)
    mending = _blanked(mending, f"power below 0 W or above {HIGHEST_POWER:.0f} W left out", power, "power")
    speed = _outside(track.speed, 0.0, HIGHEST_SPEED)
    mending = _blanked(mending, "impossible speeds left out", speed, "speed")
    warm = _outside(track.temperature, COLDEST_AIR, HOTTEST_AIR)
    mending = _blanked(mending, "impossible air temperatures left out", warm, "temperature")
    way = _outside(track.distance, 0.0, FARTHEST)
    mending = _blanked(mending, "impossible distances left out", way, "distance")
    return _blanked(mending, "impossible times left out", np.isinf(track.time), "time")


def _given(column: FloatArray) -> Mask:
    return ~np.isnan(column)


def _outside(column: FloatArray, low: float, high: float) -> Mask:
    return _given(column) & ~((column >= low) & (column <= high))


def _blanked(mending: Mending, what: str, wrong: Mask, *columns: str) -> Mending:
    if not wrong.any():
        return mending
    blank = {name: np.where(wrong, np.nan, getattr(mending.track, name)) for name in columns}
    return mending.noted(what, wrong).with_columns(**blank)
