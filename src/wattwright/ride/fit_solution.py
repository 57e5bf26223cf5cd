"""Solving the balance of work for its coefficients: instruments, robust weights, priors, honest errors."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.ride.fit_balance import COUNT, Coefficient, crank_work, free_speed, work_slopes
from wattwright.ride.fit_stretches import IDLE_POWER, WINDOW, Stretches
from wattwright.units import FloatArray, Fraction

MOST_IDLE: Final = 0.3
"""Windows coasted over more than this share of their length are left out: what the brakes took is unknown."""
LEAST_WINDOW: Final = 0.3
"""Windows of which less than this share can be used are left out."""
TUNING: Final = 2.5
"""Residuals beyond this many scales count less (Huber 1964); wider than the usual 1.345, since the energy of
a ride is a mean, which downweighting of honest extremes would shift."""
ROUNDS: Final = 40
FIRM: Final = 15
"""Rounds after which instruments stay and steps shrink: cells that come and go must not swing the answer."""
SETTLED: Final = 1e-4
"""Change of the coefficients, in prior standard deviations, at which the search ends."""
LONGEST_STEP: Final = 2.0
"""In prior standard deviations, per round."""
FEWEST_WINDOWS: Final = 8
_DRAG_AND_ROLLING: Final = slice(Coefficient.DRAG_AREA, Coefficient.ROLLING + 1)
_INSTRUMENTED: Final = (
    Coefficient.DRAG_AREA, Coefficient.ROLLING, Coefficient.WIND_NORTH, Coefficient.WIND_EAST,
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solution:
    """Coefficients that balance a ride, and what stands behind them; (7,) in the order of ``Coefficient``."""

    vector: FloatArray
    covariance: FloatArray
    """(7, 7)"""
    resolution: FloatArray
    """(7, 7) how the answer follows the data: identity where data decide, nothing where the prior does."""
    design_effect: float
    """Variance of a mean of residuals over that of independent ones, 1 or more."""
    noise: float
    """Robust standard deviation of a window's residual over its length. [J/√m]"""
    windows: int
    """Used."""
    left_out: int
    """Windows left out as too short or mostly coasted."""
    settled: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Windows:
    """Cells picked for the fit, and how they lie in windows."""

    cells: npt.NDArray[np.int64]
    begin: npt.NDArray[np.int64]
    root_length: FloatArray

    def weighed(self, by_cell: FloatArray) -> FloatArray:
        """Sum over each window, over the root of its length: of equal variance."""
        summed = np.add.reduceat(by_cell[self.cells], self.begin, axis=0)
        return np.asarray((summed.T / self.root_length).T)


def solved(
    stretches: Stretches,
    centre: FloatArray,
    spread: FloatArray,
    cells: npt.NDArray[np.bool_] | None = None,
) -> Solution:
    """Find the coefficients under which asked and measured work agree, window by window.

    Args:
        stretches: The ride.
        centre: (7,) prior means in the order of ``Coefficient``.
        spread: (7,) prior standard deviations, more than 0.
        cells: (cells,) which to fit on; all by default.

    Returns:
        Coefficients with their covariance.

    Raises:
        InputError: If fewer than eight windows can be used.

    Notes:
        Solves Zᵀ ψ(r/s)/s + Λ(θ − θ₀) = 0 by Gauss-Newton. r: asked less measured work of each window over
        the root of its length; s: its scale (median absolute deviation); ψ: Huber's function [1]_; Λ: prior
        precision; Z: slopes of r, with drag, rolling and wind columns taken at the speed *without* gusts
        (``free_speed``): instrumental variables [2]_. Covariance: sandwich B⁻¹ (S + Λ) B⁻ᵀ with
        B = ZᵀJ/s² + Λ and S after Newey and West [3]_ over √n windows, widened for small n (see
        ``small_sample_factor``). Where residuals hang together the data's weight against the prior is divided
        by the design effect.

    References:
        .. [1] P. J. Huber, Robust estimation of a location parameter, Ann. Math. Statist. 35, 1964. (memory)
        .. [2] J. D. Sargan, The estimation of economic relationships using instrumental variables,
           Econometrica 26, 1958. (memory)
        .. [3] W. K. Newey, K. D. West, A simple, positive semi-definite, heteroskedasticity and
           autocorrelation consistent covariance matrix, Econometrica 55, 1987. (memory)
    """
    windows, left_out = _picked(stretches, cells)
    measured = windows.weighed(stretches.by_cell(stretches.work))
    vector, step = centre.copy(), np.full(COUNT, np.inf)
    free = stretches.speed
    for turn in range(ROUNDS):
        if turn % 3 == 0 and turn < FIRM:
            free = free_speed(stretches, vector)
        parts = _equations(stretches, windows, measured, vector, free)
        scaled = _Scaled.of(parts, spread)
        step = np.linalg.solve(scaled.bread, -(scaled.score + (vector - centre) / spread))
        longest = LONGEST_STEP if turn < FIRM else 0.5 * LONGEST_STEP * 0.8 ** (turn - FIRM)
        step *= min(1.0, longest / max(float(np.abs(step).max()), 1e-12))
        vector = vector + step * spread
        if np.abs(step).max() < SETTLED and turn > 3:
            break
    inverse = np.linalg.inv(scaled.bread)
    covariance = inverse @ (scaled.meat + np.eye(COUNT)) @ inverse.T
    return Solution(
        vector=vector,
        covariance=covariance * np.outer(spread, spread),
        resolution=inverse @ scaled.information,
        design_effect=scaled.design_effect,
        noise=parts.scale,
        windows=len(windows.begin),
        left_out=left_out,
        settled=bool(np.abs(step).max() < 100 * SETTLED),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Equations:
    residual: FloatArray
    slopes: FloatArray
    instruments: FloatArray
    scale: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Scaled:
    """The equations in prior standard deviations, with the data's weight settled against the prior's."""

    score: FloatArray
    bread: FloatArray
    meat: FloatArray
    information: FloatArray
    design_effect: float

    @classmethod
    def of(cls, parts: _Equations, spread: FloatArray) -> "_Scaled":
        """Weigh robustly, and measure how residuals hang together."""
        ratio = parts.residual / parts.scale
        weight = np.minimum(1.0, TUNING / np.maximum(np.abs(ratio), 1e-12))
        instruments = parts.instruments * spread / parts.scale
        slopes = parts.slopes * spread / parts.scale
        scores = instruments * (weight * ratio)[:, None]
        count = len(ratio)
        lags = round(count**0.5)
        meat = long_run_covariance(scores, lags) * small_sample_factor(lags / count) ** 2
        alone = (instruments * weight[:, None]).T @ instruments
        part = _DRAG_AND_ROLLING
        together = np.trace(np.linalg.pinv(alone[part, part]) @ meat[part, part]) / 2
        design_effect = max(1.0, float(together))
        information = (instruments * weight[:, None]).T @ slopes / design_effect
        return cls(
            score=scores.sum(axis=0) / design_effect,
            bread=information + np.eye(COUNT),
            meat=meat / design_effect**2,
            information=information,
            design_effect=design_effect,
        )


def long_run_covariance(scores: FloatArray, lags: int) -> FloatArray:
    """Covariance of a sum of scores that may hang together.

    Args:
        scores: (n, k) in their order along the road.
        lags: Neighbours counted on each side, 0 or more and below n.

    Returns:
        (k, k) S = Γ₀ + Σ (1 − l/(L+1)) (Γ_l + Γ_lᵀ), Newey and West 1987 (memory).

    Examples:
        >>> long_run_covariance(np.array([[1.0], [-1.0], [1.0], [-1.0]]), 1).tolist()
        [[1.0]]
    """
    total = scores.T @ scores
    for lag in range(1, lags + 1):
        shifted = scores[lag:].T @ scores[:-lag]
        total = total + (1.0 - lag / (lags + 1)) * (shifted + shifted.T)
    return np.asarray(total)


def small_sample_factor(share: Fraction) -> float:
    """By how much errors must be widened since their own estimate is uncertain.

    Args:
        share: Lags over windows, 0 to 1.

    Returns:
        Critical value at 95 % over that of many windows, 1 or more.

    Notes:
        (1.96 + 2.9694 b + 0.4160 b² − 0.5324 b³) / 1.96 for Bartlett's weights: N. M. Kiefer and
        T. J. Vogelsang, A new asymptotic theory for heteroskedasticity-autocorrelation robust tests,
        Econometric Theory 21, 2005. (memory)

    Examples:
        >>> round(small_sample_factor(0.1), 3)
        1.153
    """
    return (1.96 + 2.9694 * share + 0.4160 * share**2 - 0.5324 * share**3) / 1.96


def _equations(
    stretches: Stretches, windows: _Windows, measured: FloatArray, vector: FloatArray, free: FloatArray
) -> _Equations:
    residual = windows.weighed(crank_work(stretches, vector)) - measured
    slopes = windows.weighed(work_slopes(stretches, vector, stretches.speed))
    at_free_speed = windows.weighed(work_slopes(stretches, vector, free))
    instruments = slopes.copy()
    instruments[:, _INSTRUMENTED] = at_free_speed[:, _INSTRUMENTED]
    return _Equations(
        residual=residual,
        slopes=slopes,
        instruments=instruments,
        scale=max(float(np.median(np.abs(residual))) / 0.6745, 1e-9),
    )


def _picked(stretches: Stretches, cells: npt.NDArray[np.bool_] | None) -> tuple[_Windows, int]:
    """Windows long enough and pedalled enough, of the cells asked for."""
    wanted = np.ones(len(stretches.window), dtype=bool) if cells is None else cells
    length: FloatArray = stretches.by_cell(stretches.run)
    idle = stretches.by_cell(stretches.run * (stretches.work < IDLE_POWER * stretches.step))
    count = int(stretches.window[-1]) + 1
    whole = np.bincount(stretches.window, length * wanted, count)
    coasted = np.bincount(stretches.window, idle * wanted, count)
    good = (whole >= LEAST_WINDOW * WINDOW) & (coasted <= MOST_IDLE * whole)
    chosen = np.flatnonzero(wanted & good[stretches.window])
    begin = np.flatnonzero(np.diff(stretches.window[chosen], prepend=-1))
    if len(begin) < FEWEST_WINDOWS:
        raise InputError(
            "recording",
            f"{len(begin)} windows of {WINDOW:g} m",
            f"at least {FEWEST_WINDOWS} pedalled windows",
            "Ride farther, or with fewer stops.",
        )
    picked = _Windows(cells=chosen, begin=begin, root_length=np.sqrt(np.add.reduceat(length[chosen], begin)))
    return picked, int((whole > 0).sum()) - len(begin)
