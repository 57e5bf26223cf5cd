"""The lesser, the greater and the like, for one number or an array of them; a float stays a float."""

import math

import numpy as np

from wattwright.units import Number


def lesser(first: Number, second: Number | float) -> Number:
    """The smaller of two, element by element; an array comes first if there is any.

    >>> lesser(3.0, 2.0), lesser(np.array([1.0, 3.0]), 2.0).tolist()
    (2.0, [1.0, 2.0])
    """
    smaller: Number = np.minimum(first, second) if isinstance(first, np.ndarray) else min(first, second)
    return smaller


def greater(first: Number, second: Number | float) -> Number:
    """The larger of two, element by element; an array comes first if there is any.

    >>> greater(3.0, 2.0), greater(np.array([1.0, 3.0]), 2.0).tolist()
    (3.0, [2.0, 3.0])
    """
    larger: Number = np.maximum(first, second) if isinstance(first, np.ndarray) else max(first, second)
    return larger


def share(value: Number) -> Number:
    """The value where it lies between 0 and 1, else the nearer end.

    >>> share(-0.5), share(0.25), share(7.0)
    (0.0, 0.25, 1.0)
    """
    return lesser(greater(value, 0.0), 1.0)


def root(value: Number) -> Number:
    """Square root; of a negative value, 0.

    >>> root(9.0), root(-1.0)
    (3.0, 0.0)
    """
    held = greater(value, 0.0)
    positive: Number = np.sqrt(held) if isinstance(held, np.ndarray) else math.sqrt(held)
    return positive
