"""How a standing module's charge goes: cells by themselves, and the electronics that never quite sleep."""

import math
from dataclasses import dataclass
from typing import Final

from wattwright.errors import InputError
from wattwright.pack.resistance import REFERENCE_TEMPERATURE
from wattwright.units import SECONDS_PER_MONTH, Ampere, Coulomb, Fraction, Kelvin, PerSecond, Second

DOUBLING: Kelvin = 10.0
"""[K] by which temperature must rise for self-discharge to double (secondary sources, several)."""
SHARE_AT_EMPTY: Final = 7 / 12
"""Of the rate at half charge, at none; it rises in a straight line to 17/12 when full.

New NMC/silicon-graphite 18650 at 25 °C: 0.2 % a month at 10 % of charge and 0.4 % at 90 % (Zilberman et al.
2019, seen in a note on measuring self-discharge that cites it), put on a straight line through 1 at 50 %.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SelfDischarge:
    """What cells lose by themselves at 25 °C: dz/dt = −(constant + proportional · z), z state of charge."""

    constant: PerSecond
    """Of rated charge, whatever the charge."""
    proportional: PerSecond
    """Of the charge that is there."""

    def times(self, factor: float) -> "SelfDischarge":
        """So many times as fast."""
        return SelfDischarge(constant=self.constant * factor, proportional=self.proportional * factor)


def of_rated(rate: PerSecond) -> SelfDischarge:
    """A rate said of *rated* charge, the same at any charge."""
    return SelfDischarge(constant=rate, proportional=0.0)


def of_remaining(share_per_month: Fraction) -> SelfDischarge:
    """A share said of the *remaining* charge, lost each month: k = −ln(1 − s)/month.

    Raises:
        InputError: If the share is not from 0 to below 1.
    """
    if not 0 <= share_per_month < 1:
        raise InputError("self_discharge_pct_per_month", 100 * share_per_month, "from 0 to below 100 %")
    return SelfDischarge(constant=0.0, proportional=-math.log1p(-share_per_month) / SECONDS_PER_MONTH)


def by_charge(rate_at_half: PerSecond) -> SelfDischarge:
    """A rate said of rated charge at half charge, faster above and slower below as measured cells are.

    Examples:
        >>> loss = by_charge(0.003)
        >>> [round(loss.constant + z * loss.proportional, 6) for z in (0.1, 0.9)]
        [0.002, 0.004]
    """
    return SelfDischarge(
        constant=SHARE_AT_EMPTY * rate_at_half, proportional=2 * (1 - SHARE_AT_EMPTY) * rate_at_half
    )


def warmth_factor(temperature: Kelvin) -> float:
    """How much faster cells lose charge than at 25 °C: 2^((T − 298.15 K)/10 K).

    Examples:
        >>> round(warmth_factor(308.15), 6)
        2.0
    """
    return float(2.0 ** ((temperature - REFERENCE_TEMPERATURE) / DOUBLING))


def charge_after(
    start: Fraction,
    duration: Second,
    loss: SelfDischarge,
    *,
    drain: Ampere,
    capacity: Coulomb,
    temperature: Kelvin = REFERENCE_TEMPERATURE,
) -> Fraction:
    """State of charge after standing at one temperature; 0 once it is empty.

    Args:
        start: State of charge, 0 to 1.
        duration: 0 or more. [s]
        loss: Of the cells, at 25 °C.
        drain: Of the electronics: through the whole series string, so counted once and not per cell. [A]
        capacity: Rated, of the module. [C]
        temperature: Of the cells. [K]

    Notes:
        z(t) = z₀ − (a + b z₀)(1 − e^(−bt))/b with a = I_q/C + constant · w, b = proportional · w, w the
        factor of warmth; z₀ − a t where b = 0. The same as Q(t) = (Q₀ + I_q/k) e^(−kt) − I_q/k where all
        self-discharge is of what remains.

    Examples:
        >>> month = 30.4375 * 86400
        >>> left = charge_after(0.5, 6 * month, of_remaining(0.02), drain=100e-6, capacity=2.6 * 3600)
        >>> round(2.6 * left, 5)
        0.73882
    """
    a, b = _slopes(loss, drain, capacity, temperature)
    decay = b * duration
    slowed = -math.expm1(-decay) / decay if decay > 0 else 1.0
    return max(start - (a + b * start) * duration * slowed, 0.0)


def time_until(
    floor: Fraction,
    start: Fraction,
    loss: SelfDischarge,
    *,
    drain: Ampere,
    capacity: Coulomb,
    temperature: Kelvin = REFERENCE_TEMPERATURE,
) -> Second:
    """How long until the charge has fallen to a floor; infinite where nothing is lost, 0 where it is below.

    Notes:
        t = ln[1 + b (z₀ − z)/(a + b z)]/b; (z₀ − z)/a where b = 0. Arguments as `charge_after`.

    Examples:
        >>> month = 30.4375 * 86400
        >>> round(time_until(0.0, 0.5, of_rated(0.0), drain=100e-6, capacity=2.6 * 3600) / month, 3)
        17.796
    """
    a, b = _slopes(loss, drain, capacity, temperature)
    if start <= floor:
        return 0.0
    slowest = a + b * floor
    if slowest == 0:
        return math.inf
    grown = b * (start - floor) / slowest
    return (start - floor) / slowest * (math.log1p(grown) / grown if grown > 0 else 1.0)


def _slopes(
    loss: SelfDischarge, drain: Ampere, capacity: Coulomb, temperature: Kelvin
) -> tuple[float, float]:
    """What goes whatever the charge, and what goes with it. [1/s]"""
    if drain < 0:
        raise InputError("quiescent_current_ma", 1000 * drain, "0 mA or more")
    if not capacity > 0:
        raise InputError("capacity_ah", capacity / 3600, "more than 0 Ah")
    warmth = warmth_factor(temperature)
    return drain / capacity + loss.constant * warmth, loss.proportional * warmth
