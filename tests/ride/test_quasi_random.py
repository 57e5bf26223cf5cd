"""Quasi-random points against an independent generator, and their evenness."""

import numpy as np
import pytest

from wattwright.errors import InputError
from wattwright.ride.quasi_random import (
    BITS,
    MOST_DIMENSIONS,
    direction_numbers,
    quasi_random_points,
    sobol_integers,
)


def test_unscrambled_points_are_those_of_an_independent_library() -> None:
    """scipy.stats.qmc.Sobol's sequence with Joe and Kuo's direction numbers, every bit, every dimension."""
    qmc = pytest.importorskip("scipy.stats.qmc")
    theirs = qmc.Sobol(MOST_DIMENSIONS, scramble=False, bits=BITS).random(2048)

    ours = sobol_integers(2048, direction_numbers(MOST_DIMENSIONS)) / 2.0**BITS

    assert np.array_equal(ours, theirs)


def test_scrambling_keeps_one_point_in_every_slice() -> None:
    """Law of a digital net: 2^m points fill each of 2^m equal slices of every axis once."""
    points = quasi_random_points(1024, MOST_DIMENSIONS, seed=5)

    for coordinate in points.T:
        assert np.array_equal(np.sort((coordinate * 1024).astype(int)), np.arange(1024))


def test_same_seed_same_points_other_seed_other_points() -> None:
    points = quasi_random_points(300, 9, seed=11)

    assert np.array_equal(points, quasi_random_points(300, 9, seed=11))
    assert not np.any(points == quasi_random_points(300, 9, seed=12))
    assert np.all((points > 0.0) & (points < 1.0))


def test_averages_are_unbiased_over_seeds_and_evener_than_chance() -> None:
    """Mean of a product of nine uniforms, 2⁻⁹: error of 999 points against that of 999 random ones."""
    chance = np.random.default_rng(1)
    ours = np.array([quasi_random_points(999, 9, seed).prod(axis=1).mean() for seed in range(80)]) - 2.0**-9
    theirs = np.array([chance.random((999, 9)).prod(axis=1).mean() for _ in range(80)]) - 2.0**-9

    rms = np.sqrt(np.mean(np.square(ours)))
    assert abs(ours.mean()) < 4.0 * rms / np.sqrt(80)
    assert rms < 0.5 * np.sqrt(np.mean(np.square(theirs)))


@pytest.mark.parametrize(("points", "dimensions", "seed"), [(0, 9, 1), (10, 0, 1), (10, 13, 1), (10, 9, -1)])
def test_impossible_requests_are_refused(points: int, dimensions: int, seed: int) -> None:
    with pytest.raises(InputError):
        quasi_random_points(points, dimensions, seed)
