"""Mending a track: what is wrong with a recording, put right and reported."""

from wattwright.ride.repair.mend import mended

__all__ = ["mended"]
