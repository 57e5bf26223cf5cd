"""The smoother against its own definition, solved densely, and against its frequency response."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.ride.smoothing import smoothed, strength_of_wavelength
from wattwright.units import FloatArray


def dense(values: FloatArray, strength: float) -> FloatArray:
    """The minimum of the penalised sum of squares by plain matrices."""
    present = np.isfinite(values)
    kinks = np.diff(np.eye(len(values)), 2, axis=0)
    matrix = np.diag(present.astype(float)) + strength * kinks.T @ kinks
    return np.asarray(np.linalg.solve(matrix, np.where(present, values, 0.0)))


@given(
    values=st.lists(st.floats(-1e3, 1e3), min_size=3, max_size=40),
    strength=st.floats(0.01, 1e4),
    hole=st.integers(1, 38),
)
def test_banded_and_dense_solutions_agree(values: list[float], strength: float, hole: int) -> None:
    series = np.array(values)
    if 0 < hole < len(values) - 1 and len(values) > 4:
        series[hole] = np.nan

    assert smoothed(series, strength) == pytest.approx(dense(series, strength), abs=1e-4)


@pytest.mark.parametrize("wavelength", [60.0, 150.0, 600.0])
def test_a_sine_of_the_named_wavelength_is_halved(wavelength: float) -> None:
    along = np.arange(0.0, 40 * wavelength, 10.0)
    sine = np.sin(2 * np.pi * along / wavelength)

    calm = smoothed(sine, strength_of_wavelength(wavelength, 10.0))

    middle = slice(len(along) // 4, 3 * len(along) // 4)
    assert np.ptp(calm[middle]) / np.ptp(sine[middle]) == pytest.approx(0.5, abs=0.01)


@given(level=st.floats(-100, 100), slope=st.floats(-1, 1), strength=st.floats(0.01, 1e5))
def test_a_straight_line_passes_unchanged(level: float, slope: float, strength: float) -> None:
    line = level + slope * np.arange(50.0)

    assert smoothed(line, strength) == pytest.approx(line, abs=1e-5)


def test_one_value_makes_a_level() -> None:
    assert smoothed(np.array([np.nan, 5.0, np.nan, np.nan]), 10.0).tolist() == [5.0, 5.0, 5.0, 5.0]
