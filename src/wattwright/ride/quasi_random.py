"""Quasi-random points: samples that fill the space of what is not known more evenly than chance does.

Our own, and not scipy's: importing ``scipy.stats.qmc`` takes 0.6 s, and a phone call is answered in 1.5
(``docs/models/spread.md``); the tests hold the two together bit by bit.
"""

from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.units import FloatArray

BITS: Final = 30
"""Binary digits of a coordinate."""

# Degree and coefficients of a primitive polynomial, then the first direction numbers, by dimension from the
# second on. S. Joe and F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional projections",
# SIAM J. Scientific Computing 30, 2008, table of 21 201 dimensions, the first rows.
DIRECTIONS: Final = (
    (1, 0, (1,)),
    (2, 1, (1, 3)),
    (3, 1, (1, 3, 1)),
    (3, 2, (1, 1, 1)),
    (4, 1, (1, 1, 3, 3)),
    (4, 4, (1, 3, 5, 13)),
    (5, 2, (1, 1, 5, 5, 17)),
    (5, 4, (1, 1, 5, 5, 5)),
    (5, 7, (1, 1, 7, 11, 19)),
    (5, 11, (1, 1, 5, 1, 1)),
    (5, 13, (1, 1, 1, 3, 11)),
)
MOST_DIMENSIONS: Final = len(DIRECTIONS) + 1

Whole = npt.NDArray[np.int64]


def quasi_random_points(points: int, dimensions: int, seed: int) -> FloatArray:
    """Scrambled Sobol points in the open unit cube.

    Args:
        points: How many, 1 to 2³⁰.
        dimensions: 1 to 12.
        seed: 0 or more; the same seed gives the same points on every machine.

    Returns:
        (points, dimensions), each above 0 and below 1, each by itself uniform.

    Raises:
        InputError: If an argument lies outside its range.

    Notes:
        Gray-code Sobol sequence, scrambled by a random lower-triangular matrix and a digital shift, which
        keep its evenness and make its averages unbiased: J. Matoušek, "On the L2-discrepancy for anchored
        boxes", J. Complexity 14, 1998 (memory).

    Examples:
        >>> quasi_random_points(256, 9, seed=1).mean(axis=0).round(3).tolist()
        [0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]
    """
    if not 1 <= points <= 2**BITS:
        raise InputError("samples", points, "1 to 2^30")
    if not 1 <= dimensions <= MOST_DIMENSIONS:
        raise InputError("dimensions", dimensions, f"1 to {MOST_DIMENSIONS}")
    if seed < 0:
        raise InputError("seed", seed, "0 or more")
    raw = np.random.PCG64(seed).random_raw(dimensions * (BITS + 1)).reshape(dimensions, BITS + 1)
    chance = (raw >> np.uint64(64 - BITS)).astype(np.int64)
    directions = _scrambled(direction_numbers(dimensions), chance[:, :BITS])
    shifted = sobol_integers(points, directions) ^ chance[:, BITS]
    return np.asarray((shifted + 0.5) / 2.0**BITS, dtype=np.float64)


def sobol_integers(points: int, directions: Whole) -> Whole:
    """Sobol sequence in Gray-code order, as whole numbers of ``BITS`` binary digits.

    Args:
        points: How many.
        directions: (dimensions, BITS).

    Returns:
        (points, dimensions).
    """
    index = np.arange(points, dtype=np.int64)
    gray = index ^ (index >> 1)
    coordinates = np.zeros((points, len(directions)), dtype=np.int64)
    for bit in range(max(points - 1, 1).bit_length()):
        coordinates ^= ((gray >> bit) & 1)[:, None] * directions[:, bit]
    return coordinates


def direction_numbers(dimensions: int) -> Whole:
    """Direction numbers of Joe and Kuo: (dimensions, BITS), the highest digit first."""
    first = [1 << (BITS - 1 - bit) for bit in range(BITS)]
    rest = [_recurrence(*row) for row in DIRECTIONS[: dimensions - 1]]
    return np.array([first, *rest], dtype=np.int64)


def _recurrence(degree: int, coefficients: int, initial: tuple[int, ...]) -> list[int]:
    """Direction numbers of one dimension by its primitive polynomial."""
    numbers = [number << (BITS - 1 - bit) for bit, number in enumerate(initial)]
    for bit in range(degree, BITS):
        number = numbers[bit - degree] ^ (numbers[bit - degree] >> degree)
        for term in range(1, degree):
            if (coefficients >> (degree - 1 - term)) & 1:
                number ^= numbers[bit - term]
        numbers.append(number)
    return numbers


def _scrambled(directions: Whole, chance: Whole) -> Whole:
    """Direction numbers multiplied by random lower-triangular binary matrices, one by dimension."""
    place = np.arange(BITS - 1, -1, -1)
    digits = (directions[:, None, :] >> place[None, :, None]) & 1
    matrix = np.tril((chance[:, :, None] >> place[None, None, :]) & 1, -1) + np.eye(BITS, dtype=np.int64)
    mixed = (matrix @ digits) % 2
    return np.asarray((mixed << place[None, :, None]).sum(axis=1), dtype=np.int64)
