"""Scales with round ticks, and long recordings thinned to what a drawing can show."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.units import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """A straight scale from values to drawing units."""

    low: float
    high: float
    start: float
    """Where ``low`` stands. [drawing units]"""
    end: float
    """Where ``high`` stands. [drawing units]"""

    def at(self, value: float) -> float:
        """Where a value stands; values outside the scale stand at its end."""
        held = min(max(value, self.low), self.high)
        return self.start + (held - self.low) / (self.high - self.low) * (self.end - self.start)


def round_ticks(low: float, high: float, about: int) -> tuple[float, ...]:
    """Round values from the last at or below ``low`` to the first at or above ``high``.

    Steps are 1, 2 or 5 times a power of ten; about ``about`` of them.

    >>> round_ticks(0.0, 24.6, 5)
    (0.0, 5.0, 10.0, 15.0, 20.0, 25.0)
    >>> round_ticks(7.0, 7.0, 4)
    (6.0, 6.5, 7.0, 7.5, 8.0)
    """
    if not high > low:
        low, high = low - 1.0, high + 1.0
    rough = (high - low) / max(about, 1)
    power = 10.0 ** math.floor(math.log10(rough))
    step = min((factor * power for factor in (1, 2, 5, 10)), key=lambda size: abs(math.log(size / rough)))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return tuple(round(index * step, 9) for index in range(first, last + 1))


def decimals(ticks: Sequence[float]) -> int:
    """Decimals the ticks need to be told apart.

    >>> decimals((0.0, 0.5, 1.0)), decimals((0.0, 20.0))
    (1, 0)
    """
    return next(
        (digits for digits in range(4) if all(abs(tick - round(tick, digits)) < 1e-9 for tick in ticks)), 4
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Thinned:
    """A recording in at most so many steps; every array has shape (steps,)."""

    at: FloatArray
    low: FloatArray
    """Smallest value within the step."""
    middle: FloatArray
    """Mean over the step."""
    high: FloatArray
    """Largest value within the step."""


def thinned(at: FloatArray, values: FloatArray, steps: int) -> Thinned:
    """Values along ``at`` in at most ``steps`` groups of equal number; no peak is lost.

    Values that are not finite are left out.

    >>> few = thinned(np.arange(6.0), np.array([0.0, 9.0, 0.0, 1.0, 1.0, 1.0]), 2)
    >>> few.high.tolist(), few.middle.tolist()
    ([9.0, 1.0], [3.0, 1.0])
    """
    good = np.isfinite(values) & np.isfinite(at)
    at, values = at[good], values[good]
    if len(at) <= steps:
        return Thinned(at=at, low=values, middle=values, high=values)
    starts = np.linspace(0, len(at), steps, endpoint=False).astype(np.intp)
    sizes = np.diff(np.append(starts, len(at)))
    return Thinned(
        at=np.add.reduceat(at, starts) / sizes,
        low=np.minimum.reduceat(values, starts),
        middle=np.add.reduceat(values, starts) / sizes,
        high=np.maximum.reduceat(values, starts),
    )
