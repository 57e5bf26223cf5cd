"""The balance of work over a recorded ride, and how it answers to each coefficient.

Coefficients travel as one vector in the order of ``Coefficient``; drag area, rolling coefficient and mass as
logarithms, so that a standard error is a share and none can become negative.
"""

from enum import IntEnum
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.ride.fit_stretches import Stretches
from wattwright.ride.road_load import (
    BEARING_FORCE,
    BEARING_SLOPE,
    WHEEL_DRAG_AREA,
    equivalent_mass,
)
from wattwright.ride.wind import headwind_of_components
from wattwright.units import STANDARD_GRAVITY, FloatArray, Kilogram

WHEEL_MASS: Final[Kilogram] = equivalent_mass(0.14, 0.311)
"""Equivalent mass of a pair of wheels; Martin et al. 1998."""
FREE_SPEEDS: Final = (1.0, 20.0)
"""[m/s] Between these the speed without gusts is sought."""


class Coefficient(IntEnum):
    """Place of each coefficient in the vector."""

    DRAG_AREA = 0
    ROLLING = 1
    EFFICIENCY = 2
    MASS = 3
    WIND_NORTH = 4
    WIND_EAST = 5
    DRIFT = 6


LOGARITHMIC: Final = (Coefficient.DRAG_AREA, Coefficient.ROLLING, Coefficient.MASS)
COUNT: Final = len(Coefficient)


def crank_work(stretches: Stretches, vector: FloatArray) -> FloatArray:
    """Work at the crank in each cell that the laws of motion ask for.

    Args:
        stretches: The ride; its measured work is not looked at.
        vector: (7,) coefficients in the order of ``Coefficient``.

    Returns:
        (cells,) never below 0: what braking takes is lost. [J]

    Notes:
        η W = m g Δh + ½ (m + I/r²) Δ(v²) + Crr m g Δx + (b₀ + b₁ v) Δs + ½ ρ (CdA + Fw) vₐ|vₐ| Δs, the form
        of Martin et al. 1998, summed over the samples of each cell.
    """
    asked = stretches.by_cell(_needs(stretches, vector, stretches.speed).sum(axis=1))
    work: FloatArray = np.maximum(asked, 0.0) / vector[Coefficient.EFFICIENCY]
    return work


def work_slopes(stretches: Stretches, vector: FloatArray, speed: FloatArray) -> FloatArray:
    """How the work in each cell answers to each coefficient.

    Args:
        stretches: The ride.
        vector: (7,) coefficients.
        speed: (used,) at which drag is taken: the measured one, or the one without gusts. [m/s]

    Returns:
        (cells, 7) in joules by unit of the coefficient; 0 in cells that ask for no pedalling at that speed.
    """
    needs = _needs(stretches, vector, speed)
    air, roll, _, height, motion = needs.T
    efficiency = vector[Coefficient.EFFICIENCY]
    drag_area, mass = np.exp(vector[Coefficient.DRAG_AREA]), np.exp(vector[Coefficient.MASS])
    through = speed + _headwind(stretches, vector)
    by_wind = stretches.density * (drag_area + WHEEL_DRAG_AREA) * np.abs(through) * stretches.run
    columns = np.empty((len(speed), COUNT))
    columns[:, Coefficient.DRAG_AREA] = air * drag_area / (drag_area + WHEEL_DRAG_AREA)
    columns[:, Coefficient.ROLLING] = roll
    columns[:, Coefficient.EFFICIENCY] = -needs.sum(axis=1) / efficiency
    columns[:, Coefficient.MASS] = roll + height + motion * mass / (mass + WHEEL_MASS)
    columns[:, Coefficient.WIND_NORTH] = by_wind * stretches.north
    columns[:, Coefficient.WIND_EAST] = by_wind * stretches.east
    columns[:, Coefficient.DRIFT] = -mass * STANDARD_GRAVITY * stretches.step
    ridden = stretches.by_cell(needs.sum(axis=1)) > 0.0
    return np.asarray(stretches.by_cell(columns) / efficiency * ridden[:, None])


def free_speed(stretches: Stretches, vector: FloatArray) -> FloatArray:
    """Speed at each sample that measured power and road alone would give, without gusts, noise and brakes.

    Args:
        stretches: The ride with its measured work.
        vector: (7,) coefficients, steady wind included.

    Returns:
        (used,) from a walk to 20 m/s; each piece starts from its measured speed. [m/s]

    Notes:
        m dv/dt = η P/v − forces, step by step. A real rider slows in a gust: measured speed answers to the
        very disturbance that a fit must average out, which makes ordinary least squares take drag too low and
        rolling resistance too high. This speed does not answer to gusts, so it serves as instrument (see
        ``calibration.py``).
    """
    mass = float(np.exp(vector[Coefficient.MASS]))
    slope = stretches.grade / np.sqrt(1.0 + stretches.grade**2)
    steady = mass * STANDARD_GRAVITY * (slope + float(np.exp(vector[Coefficient.ROLLING]))) + BEARING_FORCE
    drag = 0.5 * stretches.density * (float(np.exp(vector[Coefficient.DRAG_AREA])) + WHEEL_DRAG_AREA)
    push = vector[Coefficient.EFFICIENCY] * stretches.work / stretches.step
    columns = (push, steady, drag, _headwind(stretches, vector), stretches.step, stretches.speed)
    return _integrated(np.stack(columns, axis=1), stretches.piece, mass + WHEEL_MASS)


def _integrated(columns: FloatArray, piece: npt.NDArray[np.int64], mass: Kilogram) -> FloatArray:
    """Speed after each step; plain numbers in a plain loop, since each step needs the one before."""
    slowest, fastest = FREE_SPEEDS
    speeds, here, speed = [], -1, slowest
    for (power, force, drag, headwind, step, measured), number in zip(
        columns.tolist(), piece.tolist(), strict=True
    ):
        speed = speed if number == here else measured
        here = number
        through = speed + headwind
        gain = (
            power / max(speed, 2.0) - force - BEARING_SLOPE * speed - drag * through * abs(through)
        ) / mass
        speed = min(max(speed + gain * step, slowest), fastest)
        speeds.append(speed)
    return np.array(speeds)


def _headwind(stretches: Stretches, vector: FloatArray) -> FloatArray:
    heading = np.arctan2(stretches.east, stretches.north)
    known = np.hypot(stretches.east, stretches.north) > 0.0
    against = headwind_of_components(heading, vector[Coefficient.WIND_NORTH], vector[Coefficient.WIND_EAST])
    return np.where(known, against, 0.0)


def _needs(stretches: Stretches, vector: FloatArray, speed: FloatArray) -> FloatArray:
    """(used, 5) work at the wheel against air, rolling, bearings, height and inertia, in joules."""
    mass = float(np.exp(vector[Coefficient.MASS]))
    weight = mass * STANDARD_GRAVITY
    drag_area = float(np.exp(vector[Coefficient.DRAG_AREA])) + WHEEL_DRAG_AREA
    through = speed + _headwind(stretches, vector)
    drift = vector[Coefficient.DRIFT] * stretches.step
    return np.stack(
        [
            0.5 * stretches.density * drag_area * through * np.abs(through) * stretches.run,
            float(np.exp(vector[Coefficient.ROLLING])) * weight * stretches.run,
            (BEARING_FORCE + BEARING_SLOPE * speed) * stretches.run,
            weight * (stretches.rise - drift),
            (mass + WHEEL_MASS) * stretches.half_square_gain,
        ],
        axis=1,
    )
