"""Published fade of small nickel-based cells: NMC111 (Schmalstieg 2014), NCA 3.2 Ah, NCA with silicon 2.5 Ah.

Only the rates stand here; how they add up over the years is in ageing.py.
"""

from dataclasses import dataclass

import numpy as np

from wattwright.pack.graphite import POTENTIAL_AT_HALF_CHARGE, graphite_potential
from wattwright.units import FloatArray, Fraction, Kelvin, Volt

# NMC111 against graphite, 18650, 2.15 Ah

SCHMALSTIEG_CAPACITY_AH = 2.15
"""[Ah] of the cell whose throughput the model counts."""
SCHMALSTIEG_EXPONENT = 0.75
"""Of time in days, calendar part."""
NMC111_REST_VOLTAGE = (
    (0.0, 3.331), (0.05, 3.4197), (0.1, 3.491), (0.15, 3.5436), (0.2, 3.5812),
    (0.25, 3.6079), (0.3, 3.6267), (0.35, 3.6411), (0.4, 3.6552), (0.45, 3.6726),
    (0.5, 3.6974), (0.55, 3.7322), (0.6, 3.7747), (0.65, 3.8209), (0.7, 3.8688),
    (0.75, 3.9154), (0.8, 3.9649), (0.85, 4.0194), (0.9, 4.073), (0.95, 4.1183),
    (1.0, 4.162),
)  # fmt: skip
"""(charge, rest voltage [V]) of that cell: Ecker et al., J. Power Sources 248 (2014) 839, and Schmalstieg's
figure 1, as digitised in an open BSD-licensed lifetime library; every 5 %, rounded by us."""


def nmc111_voltage(charge: FloatArray | float) -> FloatArray:
    """Rest voltage of the cell Schmalstieg's model was fitted to, any shape. [V].

    Examples:
        >>> round(float(nmc111_voltage(0.5)), 3)
        3.697
    """
    grid, voltage = zip(*NMC111_REST_VOLTAGE, strict=True)
    return np.asarray(np.interp(charge, grid, voltage))


def schmalstieg_calendar(
    voltage: FloatArray | Volt, temperature: FloatArray | Kelvin
) -> tuple[FloatArray, FloatArray]:
    """Calendar rates of capacity loss and resistance rise.

    Args:
        voltage: Rest voltage at which the cell stands, any shape. [V]
        temperature: Of the cell, any shape that fits; fitted from 35 to 50 °C at several charges and from
            ambient at half charge. [K]

    Returns:
        (α, α_R), to be multiplied with days^0.75; 0 where the fit would go negative. [1/d^0.75]

    Notes:
        α = (7.543 V − 23.75)·10⁶ exp(−6976/T); α_R = (5.270 V − 16.32)·10⁵ exp(−5986/T); clipped at 0 below
        3.149 and 3.097 V. [1]_

    References:
        .. [1] Schmalstieg et al., J. Power Sources 257 (2014) 325–334.

    Examples:
        >>> capacity, resistance = schmalstieg_calendar(3.70, 298.15)
        >>> round(float(capacity) * 365**0.75, 6), round(float(resistance) * 365**0.75, 6)
        (0.023948, 0.050654)
    """
    volts, kelvin = np.asarray(voltage, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    capacity = np.maximum(7.543 * volts - 23.75, 0.0) * 1e6 * np.exp(-6976.0 / kelvin)
    resistance = np.maximum(5.270 * volts - 16.32, 0.0) * 1e5 * np.exp(-5986.0 / kelvin)
    return np.asarray(capacity), np.asarray(resistance)


def schmalstieg_cycle(mean_voltage: Volt, depth: Fraction) -> tuple[float, float]:
    """Cycle rates of capacity loss and resistance rise; fitted at 35 °C and 1C, no term for either.

    Args:
        mean_voltage: Root-mean-square voltage of the cycle. [V]
        depth: Of discharge, 0 to 1.

    Returns:
        (β, β_R): loss is β √Q, rise is β_R Q (0 or more), Q the charge in *and* out of the 2.15 Ah cell in
        ampere-hours. [1/Ah^0.5], [1/Ah]

    Notes:
        β = 7.348·10⁻³ (ØV − 3.667)² + 7.6·10⁻⁴ + 4.081·10⁻³ ΔDoD;
        β_R = 2.153·10⁻⁴ (ØV − 3.725)² − 1.521·10⁻⁵ + 2.798·10⁻⁴ ΔDoD. Schmalstieg et al. 2014, as above.
        For another cell Q is scaled by the capacities: Q = 2 · 2.15 Ah · equivalent full cycles.

    Examples:
        >>> capacity, resistance = schmalstieg_cycle(3.7, 0.5)
        >>> round(capacity * 1000**0.5, 6), round(resistance * 1000, 6)
        (0.088813, 0.124825)
    """
    capacity = 7.348e-3 * (mean_voltage - 3.667) ** 2 + 7.6e-4 + 4.081e-3 * depth
    resistance = 2.153e-4 * (mean_voltage - 3.725) ** 2 - 1.521e-5 + 2.798e-4 * depth
    return capacity, max(resistance, 0.0)


# NCA against graphite, 18650, 3.2 Ah

NCA_CALENDAR_EXPONENT = 0.512
"""Of time in days."""
NCA_CYCLE_EXPONENT = 0.699
"""Of equivalent full cycles."""


def nca_calendar(charge: FloatArray | Fraction, temperature: FloatArray | Kelvin) -> FloatArray:
    """Calendar rate of capacity loss, NCA 18650 of 3.2 Ah.

    Args:
        charge: At which the cell stands, 0 to 1, any shape.
        temperature: Of the cell; data at 25, 40 and 50 °C, up to 300 days. [K]

    Returns:
        k in loss = k · days^0.512.

    Notes:
        k = 75.4 exp(−3340/T) exp(353 z/T): fit of an open lifetime library [2]_ to published storage data
        [1]_.

    References:
        .. [1] Keil et al., Journal of the Electrochemical Society 163 (2016) A1872.
        .. [2] Gasper, open lifetime library of a national laboratory (BSD-3), NCA-graphite 3 Ah.

    Examples:
        >>> round(1 - float(nca_calendar(0.5, 298.15)) * 365**0.512, 3)
        0.962
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    return np.asarray(75.4 * np.exp(-3340.0 / kelvin) * np.exp(353.0 * np.asarray(charge) / kelvin))


def nca_cycle(depth: Fraction) -> float:
    """Cycle rate of capacity loss, NCA 18650 of 3.2 Ah: k in loss = k · (full cycles)^0.699.

    Args:
        depth: Of discharge; data at 0.8 to 1, straight below (assumption of the fit).

    Notes:
        k = 2 (1.86·10⁻⁶ + 1.77·10⁻⁴ ΔDoD). The fit's terms in temperature and rate (4.74·10⁻¹¹ C in the
        bracket, exp(3.34·10⁻¹¹/T) + exp(−2.81·10⁻⁹/T) in place of the 2) change no printed digit, so cycling
        at any temperature and rate counts alike. Cycle data: Preger et al., Journal of the Electrochemical
        Society 167 (2020) 120532; fit as in `nca_calendar`.

    Examples:
        >>> round(nca_cycle(0.8) * 365**0.699, 4)
        0.0177
    """
    return 2.0 * (1.86e-6 + 1.77e-4 * depth)


# NCA against graphite with silicon, 18650, 2.5 Ah

SILICON_REFERENCE: Kelvin = 318.15
"""[K] by which the fit scales temperature: 45 °C."""
SILICON_CALENDAR_RATE = 3.41 / 5000.0
"""[1/d] k of the saturating form, time in days."""
SILICON_CYCLE_RATE = 0.479 / 1e5
"""k of the saturating form, use in equivalent full cycles."""
SILICON_LEAST_CYCLE_LOSS = 0.15
"""Floor of the cycle part's y∞, as in the fit's own code, near the least seen in its data."""


def silicon_calendar(
    charge: FloatArray | Fraction, temperature: FloatArray | Kelvin
) -> tuple[FloatArray, FloatArray]:
    """Calendar stress of the NCA and graphite-silicon 18650 of 2.5 Ah.

    Args:
        charge: At which the cell stands, 0 to 1, any shape.
        temperature: Of the cell. [K]

    Returns:
        (y∞, p) of `wattwright.pack.growth.saturating_growth` with `SILICON_CALENDAR_RATE`.

    Notes:
        t = T/318.15 K, u = U_graphite/0.123 V, z = charge:
        y∞ = 0.00748 exp(8.9 t² u^(−1/3)) exp(−4.87 t² u^(−1/2));
        p = 1.01 exp(−0.133 t³) exp(1.22 t³ z³) exp(−0.56 t² u⁻³). Fit of an open lifetime library [2]_ to
        published data [1]_.

    References:
        .. [1] Wildfeuer et al., J. Power Sources 561 (2023) 232498.
        .. [2] Gasper, open lifetime library of a national laboratory (BSD-3), NCA and graphite-silicon.
    """
    t = np.asarray(temperature, dtype=np.float64) / SILICON_REFERENCE
    u = graphite_potential(charge) / POTENTIAL_AT_HALF_CHARGE
    z = np.asarray(charge, dtype=np.float64)
    most = 0.00748 * np.exp(8.9 * t**2 * u ** (-1 / 3)) * np.exp(-4.87 * t**2 * u**-0.5)
    exponent = 1.01 * np.exp(-0.133 * t**3) * np.exp(1.22 * t**3 * z**3) * np.exp(-0.56 * t**2 * u**-3)
    return np.asarray(most), np.asarray(exponent)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CycleStress:
    """What a cycle does to a cell; arrays over the moments of the cycle, or single values."""

    charge: FloatArray
    """(moments,) evenly in time. 0 to 1"""
    temperature: FloatArray
    """(moments,) of the cell. [K]"""
    lowest_charge: Fraction
    highest_charge: Fraction
    depth: Fraction
    discharge_rate: float
    """Mean while discharging, in capacities per hour (C-rate)."""
    charge_rate: float
    """Mean while charging, in capacities per hour."""


def silicon_cycle(stress: CycleStress) -> tuple[float, float]:
    """Cycle stress of the NCA and graphite-silicon 18650 of 2.5 Ah.

    Args:
        stress: Data at 5 to 35 °C, depth 0.2 to 1, charged up to 2C, discharged up to 10C.

    Returns:
        (y∞, p) of `wattwright.pack.growth.saturating_growth` with `SILICON_CYCLE_RATE`; y∞ at least 0.15.

    Notes:
        t = T/318.15 K, z charge, a = charge rate, b = discharge rate, D depth:
        y∞ = 5.49 − 64.9 a^½ z/t³ + 21.3 exp(a^½ z/t³) + 8.01·10⁻⁴ exp(b z^½/t³);
        p = |0.422 + 2.64 exp(b z_high^½/t³) + 0.00627 exp((D a)^½ t³ z_low²) − 0.0342 t² z_low
        + 1.29 (D a b)^½/t − 2.14 exp(D^½ a³ b^½ t)|; each averaged over the moments. Source as
        `silicon_calendar`. An empirical surface without a physical form: between its data points it bends.
    """
    t = stress.temperature / SILICON_REFERENCE
    z, a, b, depth = stress.charge, stress.charge_rate, stress.discharge_rate, stress.depth
    low, high = stress.lowest_charge, stress.highest_charge
    push = a**0.5 * z / t**3
    most = 5.49 - 64.9 * push + 21.3 * np.exp(push) + 0.000801 * np.exp(b * z**0.5 / t**3)
    exponent = np.abs(
        0.422
        + 2.64 * np.exp(b * high**0.5 / t**3)
        + 0.00627 * np.exp((depth * a) ** 0.5 * t**3 * low**2)
        - 0.0342 * t**2 * low
        + 1.29 * (depth * a * b) ** 0.5 / t
        - 2.14 * np.exp(depth**0.5 * a**3 * b**0.5 * t)
    )
    return max(float(np.mean(most)), SILICON_LEAST_CYCLE_LOSS), float(np.mean(exponent))
