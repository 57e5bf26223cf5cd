"""How a recorded rider paces: power on the flat, by grade, and where they ease and coast."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.ride.fit_solution import long_run_covariance
from wattwright.ride.fit_stretches import Stretches
from wattwright.ride.rider import Rider
from wattwright.units import FloatArray, Fraction, MetrePerSecond, Watt

SPAN: Final = 100.0
"""[m] Power, grade and speed are averaged over this length."""
BRAKING: Final = -0.4
"""[m/s²] Spans that slow down harder than this are left out: corners and stops, not pacing; assumption."""
STARTING: Final = 3.0
"""[m/s] Slower spans are starts and walks, not pacing; assumption."""
LEAST_EFFORT: Final = 0.5
MOST_EFFORT: Final = 2.0
"""Bounds of power by grade over that on the flat, as the ride engine has them; assumption."""
TUNING: Final = 2.5
"""Huber's: spans farther off than this many scales count less."""
FEWEST_SPANS: Final = 40
PRIOR: Final = ((140.0, 60.0), (1000.0, 800.0), (10.0, 3.0), (4.0, 2.0))
"""Mean and spread of power [W], power per grade [W], easing speed [m/s] and coasting above easing [m/s];
assumption."""
LEAST_BAND: Final = 0.5
"""[m/s] Between easing and coasting."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pacing:
    """One rider's habits; errors are standard errors in the same unit."""

    power: Watt
    power_error: Watt
    power_per_grade: Watt
    """Added for each unit of grade."""
    power_per_grade_error: Watt
    easing_speed: MetrePerSecond
    easing_speed_error: MetrePerSecond
    coasting_speed: MetrePerSecond
    coasting_speed_error: MetrePerSecond
    data_share: tuple[Fraction, Fraction, Fraction, Fraction]
    """Of power, power by grade, easing speed and the band to coasting: the rest is the prior's."""
    spans: int
    scatter: Watt
    """Robust standard deviation of a span's power about the fit."""

    def of(self, rider: Rider) -> Rider:
        """The same rider, pacing as recorded."""
        from dataclasses import replace  # noqa: PLC0415

        return replace(
            rider,
            power=self.power,
            power_per_grade=self.power_per_grade,
            easing_speed=self.easing_speed,
            coasting_speed=self.coasting_speed,
        )


def paced_power(habits: FloatArray, grade: FloatArray, speed: FloatArray) -> FloatArray:
    """Power a rider gives by grade and speed.

    Args:
        habits: (4,) power on the flat [W], per unit of grade [W], easing speed [m/s], band to coasting [m/s].
        grade: (spans,) rise over run.
        speed: (spans,) [m/s]

    Returns:
        (spans,) [W]

    Notes:
        P = clip(P₀ + k G, ½ P₀, 2 P₀) · clip((v_c − v)/(v_c − v_e), 0, 1), as the ride engine has it; common
        practice, no source.

    Examples:
        >>> habits = np.array([150.0, 1000.0, 10.0, 4.0])
        >>> paced_power(habits, np.array([0.0, 0.05, -0.03]), np.array([7.0, 4.0, 12.0])).tolist()
        [150.0, 200.0, 60.0]
    """
    power, by_grade, easing, band = habits
    willing = np.clip(power + by_grade * grade, LEAST_EFFORT * power, MOST_EFFORT * power)
    return np.asarray(willing * np.clip((easing + band - speed) / band, 0.0, 1.0), dtype=float)


def paced(stretches: Stretches) -> Pacing:
    """Estimate a rider's pacing from a recorded ride.

    Args:
        stretches: The ride, with its measured work.

    Returns:
        Habits with standard errors.

    Raises:
        InputError: If fewer than forty spans of 100 m can be used.

    Notes:
        Least squares with Huber's loss over spans, priors as further residuals; errors by the sandwich with
        S after Newey and West 1987 (memory) over √n spans. Without fast descents easing and coasting rest on
        their priors: see ``data_share``.
    """
    from scipy.optimize import least_squares  # noqa: PLC0415 -- slow to import, and only a calibration needs it

    grade, speed, power = _spans(stretches)
    centre, spread = np.array(PRIOR).T
    start = centre.copy()
    start[0] = max(float(np.median(power)), 20.0)
    scale = max(float(np.median(np.abs(power - np.median(power)))) / 0.6745, 1.0)
    habits = start
    effect = 1.0
    for _ in range(4):

        def off(trial: FloatArray, scale: float = scale, effect: float = effect) -> FloatArray:
            ratio = (paced_power(trial, grade, speed) - power) / scale
            return np.concatenate([_huber_root(ratio) / effect**0.5, (trial - centre) / spread])

        habits = least_squares(
            off, habits, x_scale=spread, bounds=([1.0, -20_000.0, 1.0, LEAST_BAND], np.inf)
        ).x
        residual = paced_power(habits, grade, speed) - power
        scale = max(float(np.median(np.abs(residual))) / 0.6745, 1.0)
        slopes = _slopes(habits, grade, speed)
        weight = np.minimum(1.0, TUNING / np.maximum(np.abs(residual / scale), 1e-12))
        meat = long_run_covariance(slopes * (weight * residual / scale**2)[:, None], round(len(power) ** 0.5))
        curvature = (slopes * weight[:, None]).T @ slopes / scale**2
        effect = max(1.0, float(meat[0, 0] / curvature[0, 0]))
    information = curvature / effect
    inverse = np.linalg.inv(information + np.diag(spread**-2))
    covariance = inverse @ (meat / effect**2 + np.diag(spread**-2)) @ inverse.T
    return _pacing(habits, covariance, inverse @ information, len(power), scale)


def _pacing(
    habits: FloatArray, covariance: FloatArray, resolution: FloatArray, spans: int, scatter: Watt
) -> Pacing:
    errors = np.sqrt(np.diag(covariance))
    shares = np.clip(np.diag(resolution), 0.0, 1.0)
    coasting_error = (covariance[2, 2] + covariance[3, 3] + 2.0 * covariance[2, 3]) ** 0.5
    return Pacing(
        power=float(habits[0]),
        power_error=float(errors[0]),
        power_per_grade=float(habits[1]),
        power_per_grade_error=float(errors[1]),
        easing_speed=float(habits[2]),
        easing_speed_error=float(errors[2]),
        coasting_speed=float(habits[2] + habits[3]),
        coasting_speed_error=float(coasting_error),
        data_share=(float(shares[0]), float(shares[1]), float(shares[2]), float(shares[3])),
        spans=spans,
        scatter=scatter,
    )


def _huber_root(ratio: FloatArray) -> FloatArray:
    """Residual whose half square is Huber's loss."""
    far = 2.0 * TUNING * np.abs(ratio) - TUNING**2
    return np.asarray(np.sign(ratio) * np.sqrt(np.where(np.abs(ratio) < TUNING, ratio**2, np.abs(far))))


def _slopes(habits: FloatArray, grade: FloatArray, speed: FloatArray) -> FloatArray:
    """(spans, 4) by central differences."""
    nudges = np.array([0.1, 5.0, 0.01, 0.01])
    columns = [
        (paced_power(habits + nudge, grade, speed) - paced_power(habits - nudge, grade, speed)) / (2.0 * size)
        for nudge, size in zip(np.diag(nudges), nudges, strict=True)
    ]
    return np.stack(columns, axis=1)


def _spans(stretches: Stretches) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Grade, speed and power of each span that shows pacing."""
    travelled = np.cumsum(stretches.run) - stretches.run
    key = np.stack([stretches.piece, (travelled // SPAN).astype(np.int64)])
    _, span = np.unique(key, axis=1, return_inverse=True)
    begin = np.flatnonzero(np.diff(span.ravel(), prepend=-1))
    run, time, rise, work, gain = (
        np.add.reduceat(values, begin)
        for values in (
            stretches.run,
            stretches.step,
            stretches.rise,
            stretches.work,
            stretches.half_square_gain,
        )
    )
    speed = run / time
    shown = (run > 0.5 * SPAN) & (gain / run > BRAKING) & (speed > STARTING)
    if shown.sum() < FEWEST_SPANS:
        raise InputError(
            "recording", f"{int(shown.sum())} spans of {SPAN:g} m", f"at least {FEWEST_SPANS} ridden steadily"
        )
    return (rise / run)[shown], speed[shown], (work / time)[shown]
