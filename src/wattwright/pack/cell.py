"""One module in time: rest voltage, series resistance and one RC pair; and what a steady power draws."""

from dataclasses import dataclass

import numpy as np

from wattwright.errors import InputError, OutsideRangeError
from wattwright.parts.supply import Supply
from wattwright.units import (
    FloatArray,
    Fraction,
    Joule,
    Ohm,
    Volt,
    Watt,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Course:
    """How one module fared; every array has shape (samples,), as the current it was given."""

    time: FloatArray
    """[s]"""
    current: FloatArray
    """Positive when discharging. [A]"""
    charge: FloatArray
    """Of the capacity it has in this cold and at this age; runs below 0 where more was drawn."""
    voltage: FloatArray
    """At the contacts. [V]"""
    relaxation: FloatArray
    """Drop across the RC pair. [V]"""

    def until(self, lowest: Volt) -> int:
        """How many samples pass before the voltage first falls below ``lowest``."""
        below = np.flatnonzero(self.voltage < lowest)
        return int(below[0]) if len(below) else len(self.voltage)

    def energy(self, samples: int | None = None) -> Joule:
        """Given at the contacts over the first so many samples (all if None); trapezoid. [J]."""
        power = (self.voltage * self.current)[:samples]
        return float(np.trapezoid(power, self.time[:samples]))


def course_of(
    supply: Supply,
    time: FloatArray,
    current: FloatArray,
    *,
    charge: Fraction = 1.0,
    relaxation: Volt = 0.0,
    capacity_factor: float = 1.0,
    resistance_factor: float = 1.0,
) -> Course:
    """Voltage and charge of one module along a given current.

    Args:
        supply: Tables of one module; its count is not used.
        time: (samples,) not falling. [s]
        current: (samples,) of this module, positive when discharging; straight between samples. [A]
        charge: At the first sample, 0 to 1.
        relaxation: Drop across the RC pair at the first sample. [V]
        capacity_factor: Cold and age on the capacity, see `wattwright.pack.supply.lane_factors`.
        resistance_factor: Cold and age on both resistances.

    Returns:
        The course; charge below 0 or above 1 is kept, with the tables held at their ends.

    Raises:
        InputError: If the arrays differ in length, are empty or not finite, time falls, or the charge or a
            factor is out of its range.

    Notes:
        dz/dt = −I/Q; dv₁/dt = (R₁ I − v₁)/τ; V = U(z) − R₀(z) I − v₁. Within a step the current is a straight
        line and R₁ that of the middle, for which the pair's answer is exact: with a = exp(−Δt/τ)
        v₁' = a v₁ + R₁ [I' − a I − (I' − I)(1 − a) τ/Δt]. First-order Thevenin circuit. [1]_

    References:
        .. [1] Barletta et al., Energies 15 (2022) 8411 (as cited by PyBaMM's Thevenin model).

    Examples:
        A held 5 A through 30 mΩ and 20 mΩ with 20 s drops 0.15 V at once and 0.2132 V after 20 s.

        >>> flat = np.full(2, 3.7)
        >>> supply = Supply(modules=1, open_circuit_voltage=flat, resistance=np.full(2, 0.03),
        ...     relaxation_resistance=np.full(2, 0.02), relaxation_time=20.0, capacity=18000.0,
        ...     protection=(), minimum_voltage=2.5, maximum_voltage=4.2, regeneration_current=0.0)
        >>> course_of(supply, np.array([0.0, 20.0]), np.array([5.0, 5.0])).voltage.round(4).tolist()
        [3.55, 3.4868]
    """
    time, current = (np.ascontiguousarray(values, dtype=np.float64) for values in (time, current))
    _check_course(time, current)
    for field, value in (("capacity_factor", capacity_factor), ("resistance_factor", resistance_factor)):
        if not value > 0:
            raise InputError(field, value, "more than 0")
    if not 0 <= charge <= 1:
        raise InputError("charge_pct", 100 * charge, "from 0 to 100 %")
    from wattwright.pack.kernel import course  # noqa: PLC0415 -- the compiler loads slowly

    answers = np.empty((3, len(time)))
    course(
        time,
        current,
        charge,
        relaxation,
        supply.open_circuit_voltage,
        supply.resistance * resistance_factor,
        supply.relaxation_resistance * resistance_factor,
        supply.relaxation_time,
        supply.capacity * capacity_factor,
        *answers,
    )
    return Course(time=time, current=current, charge=answers[0], voltage=answers[1], relaxation=answers[2])


def _check_course(time: FloatArray, current: FloatArray) -> None:
    if time.ndim != 1 or time.shape != current.shape or len(time) == 0:
        raise InputError("current_a", current.shape, f"one value for each of {time.size} times")
    if not (np.all(np.isfinite(time)) and np.all(np.isfinite(current))):
        raise InputError("current_a", "not finite", "finite times and currents")
    if np.any(np.diff(time) < 0):
        raise InputError("time_s", float(np.diff(time).min()), "never falling")


def power_ceiling(
    rest_voltage: FloatArray | Volt, resistance: FloatArray | Ohm, minimum_voltage: Volt = 0.0
) -> FloatArray:
    """Most power a source gives behind a resistance, without falling below a voltage.

    Args:
        rest_voltage: Less the drop already across the RC pair; any shape. [V]
        resistance: Series; above 0, any shape that fits. [Ω]
        minimum_voltage: Where the source lets go; 0 for none. [V]

    Returns:
        V²/4R, at half the rest voltage; or Vmin (V − Vmin)/R where Vmin is above that half; 0 where the
        source rests below Vmin. [W]

    Raises:
        InputError: If a resistance is not above 0.

    Examples:
        >>> round(float(power_ceiling(36.0, 0.1)), 6)
        3240.0
    """
    if not np.all(np.asarray(resistance) > 0):
        raise InputError("resistance_mohm", float(1000 * np.min(resistance)), "more than 0 mΩ")
    lowest = np.maximum(np.asarray(rest_voltage) / 2.0, minimum_voltage)
    return np.asarray(lowest * np.maximum(rest_voltage - lowest, 0.0) / resistance)


def current_for_power(
    power: FloatArray | Watt, rest_voltage: FloatArray | Volt, resistance: FloatArray | Ohm
) -> FloatArray:
    """Current that a given power draws from a source behind a resistance; the smaller of the two roots.

    Args:
        power: At the contacts, negative when charging; any shape. [W]
        rest_voltage: Less the drop already across the RC pair. [V]
        resistance: Series; above 0. [Ω]

    Returns:
        Same shape as the arguments together. [A]

    Raises:
        OutsideRangeError: If more is asked than `power_ceiling`.
        InputError: If a resistance is not above 0.

    Notes:
        P = V I = (U − R I) I, so I = [U − √(U² − 4 R P)] / 2R; written 2P/[U + √(U² − 4 R P)], which
        keeps its digits at small power.

    Examples:
        >>> round(float(current_for_power(500.0, 36.0, 0.1)), 5)
        14.47055
    """
    ceiling = power_ceiling(rest_voltage, resistance)
    if not np.all(power <= ceiling):
        worst = float(np.max(power - ceiling) + ceiling.min())
        raise OutsideRangeError(
            "a source behind a resistance", "power", worst, f"up to {ceiling.min():.0f} W"
        )
    under = np.square(rest_voltage) - 4.0 * np.asarray(resistance) * power
    root = np.sqrt(np.maximum(under, 0.0))  # at the ceiling itself rounding may leave it below 0
    return np.asarray(2.0 * np.asarray(power) / (rest_voltage + root))
