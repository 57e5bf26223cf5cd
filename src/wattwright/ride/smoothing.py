"""Penalised smoothing of a series at equal steps: as close to the data as it is free of kinks."""

import numpy as np

from wattwright.units import FloatArray, Metre


def smoothed(values: FloatArray, strength: float) -> FloatArray:
    """Smooth a series at equal steps; NaN values are bridged.

    Args:
        values: (steps,), NaN where there is none; at least one finite.
        strength: λ of the equation, 0 or more; 0 only bridges.

    Returns:
        (steps,), all finite.

    Notes:
        Minimises Σ w (y − z)² + λ Σ (z[i−1] − 2 z[i] + z[i+1])² with w = 1 where there is a value and 0
        where there is none. [1]_ On a sine of angular frequency ω per step the gain is
        1 / (1 + λ (2 − 2 cos ω)²). Straight lines pass unchanged, and so does their slope at the ends.

    References:
        .. [1] E. T. Whittaker, On a new method of graduation, Proceedings of the Edinburgh Mathematical
           Society 41, 63-75, 1923. (memory)

    Examples:
        >>> smoothed(np.array([1.0, 2.0, np.nan, 4.0, 5.0]), 10.0).round(6).tolist()
        [1.0, 2.0, 3.0, 4.0, 5.0]
    """
    present = np.isfinite(values)
    if present.sum() < 2 or len(values) < 3:  # one value makes a level, two points make a line
        return _bridged(values, present)
    if strength == 0.0 and present.all():
        return values.astype(float)
    return _banded_solution(np.where(present, values, 0.0), present, max(strength, 1e-9))


def strength_of_wavelength(wavelength: Metre, step: Metre) -> float:
    """The strength that halves a sine of this wavelength [m] in a series at this step [m].

    Examples:
        >>> from math import pi
        >>> round(strength_of_wavelength(2 * pi * 10.0 * 2.0, 10.0), 1)  # about 2⁴
        16.7
    """
    return float((2.0 - 2.0 * np.cos(2.0 * np.pi * min(step / wavelength, 0.5))) ** -2)


def _bridged(values: FloatArray, present: np.ndarray) -> FloatArray:
    index = np.arange(len(values), dtype=float)
    return np.asarray(np.interp(index, index[present], values[present]), dtype=float)


def _banded_solution(values: FloatArray, present: np.ndarray, strength: float) -> FloatArray:
    from scipy.linalg import solveh_banded  # noqa: PLC0415  (slow to import)

    count = len(values)
    bands = np.zeros((3, count))  # lower form: diagonal, first, second below
    bands[0] = 6.0
    bands[0, [0, -1]] = 1.0
    bands[0, [1, -2]] = 5.0 if count > 3 else 4.0  # of three points the middle one
    bands[1, :-1] = -4.0
    bands[1, [0, count - 2]] = -2.0
    bands[2, :-2] = 1.0
    bands *= strength
    bands[0] += present
    return np.asarray(solveh_banded(bands, values, lower=True), dtype=float)
