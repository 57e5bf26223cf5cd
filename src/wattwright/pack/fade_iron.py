"""Published fade of small LFP cells: Naumann 2018 and 2020, Wang 2011, and a refit to Naumann's data.

Only the rates stand here; how they add up over the years is in ageing.py.
"""

import numpy as np

from wattwright.errors import OutsideRangeError
from wattwright.pack.graphite import graphite_potential
from wattwright.units import GAS_CONSTANT, FloatArray, Fraction, Kelvin

REFERENCE: Kelvin = 298.15
"""[K] of Naumann's rates."""


def naumann_calendar(
    charge: FloatArray | Fraction, temperature: FloatArray | Kelvin
) -> tuple[FloatArray, FloatArray]:
    """Calendar rates of an LFP 26650 of 3 Ah.

    Args:
        charge: At which the cell stands, 0 to 1, any shape.
        temperature: Of the cell; data from 0 to 60 °C. [K]

    Returns:
        (k, k_R): capacity loss is k √t, resistance rise k_R t, t in seconds; 0 or more. [1/s^0.5], [1/s]

    Notes:
        k = 1.2571·10⁻⁵ exp[−17126/R (1/T − 1/298.15)] [2.8575 (z − 0.5)³ + 0.60225];
        k_R = 3.4194·10⁻¹⁰ exp[−71827/R (1/T − 1/298.15)] [−3.3903 (z − 0.5)² + 1.5604]. [1]_

    References:
        .. [1] Naumann et al., J. Energy Storage 17 (2018) 153–169.

    Examples:
        >>> round(float(naumann_calendar(0.5, 298.15)[0]) * (365 * 86400) ** 0.5, 6)
        0.042516
    """
    z = np.asarray(charge, dtype=np.float64) - 0.5
    inverse = (1 / np.asarray(temperature, dtype=np.float64) - 1 / REFERENCE) / GAS_CONSTANT
    capacity = 1.2571e-5 * np.exp(-17126 * inverse) * (2.8575 * z**3 + 0.60225)
    resistance = 3.4194e-10 * np.exp(-71827 * inverse) * (-3.3903 * z**2 + 1.5604)
    return np.maximum(capacity, 0.0), np.maximum(resistance, 0.0)


def naumann_cycle(rate: float, depth: Fraction) -> tuple[float, float]:
    """Cycle rates of an LFP 26650 of 3 Ah; fitted at 40 °C, no term for temperature.

    Args:
        rate: Mean of charge and discharge, in capacities per hour; data up to 1C.
        depth: Of a cycle, 0 to 1.

    Returns:
        (k, k_R): capacity loss is k √FEC, resistance rise k_R FEC, FEC equivalent full cycles; 0 or more.

    Notes:
        k = (0.0630 C + 0.0971) [4.0253 (D − 0.6)³ + 1.0923]/100;
        k_R = (−0.0020 C + 0.0021) [6.8477 (D − 0.5)³ + 0.91882]/100. [1]_

    References:
        .. [1] Naumann et al., J. Power Sources 451 (2020) 227666.

    Examples:
        >>> round(naumann_cycle(1.0, 0.8)[0] * 1000**0.5, 6)
        0.056931
    """
    capacity = (0.0630 * rate + 0.0971) * (4.0253 * (depth - 0.6) ** 3 + 1.0923) / 100
    resistance = (-0.0020 * rate + 0.0021) * (6.8477 * (depth - 0.5) ** 3 + 0.91882) / 100
    return max(capacity, 0.0), max(resistance, 0.0)


WANG_CAPACITY_AH = 2.2
"""[Ah] of the cell whose throughput the model counts."""
WANG_EXPONENT = 0.55
"""Of the charge taken out, in ampere-hours of that cell."""


def wang_cycle(rate: float, temperature: Kelvin) -> float:
    """Cycle rate of an LFP 26650 of 2.2 Ah: k in loss = k · Ah^0.55.

    Args:
        rate: Of discharge, 0.5 to 10 capacities per hour.
        temperature: Of the cell, −30 to 60 °C. [K]

    Returns:
        k, Ah being depth times 2.2 Ah times cycles. [1/Ah^0.55]

    Raises:
        OutsideRangeError: Outside C/2 to 10C.

    Notes:
        k = B/100 · exp[−(31700 − 370.3 C)/(8.314 T)], B from the cubic −47.836 C³ + 1214.955 C² − 9418.914 C
        + 36041.698 that meets the paper's B at C/2, 2C, 6C and 10C. A 2C below C/2 at equal charge is an
        artefact of the fit. [1]_

    References:
        .. [1] Wang et al., J. Power Sources 196 (2011) 3942–3948.

    Examples:
        >>> round(100 * wang_cycle(0.5, 298.15) * 1800**0.55, 3)
        5.875
    """
    if not 0.5 <= rate <= 10:
        raise OutsideRangeError("Wang 2011", "rate", rate, "C/2 to 10C")
    prefactor = -47.836 * rate**3 + 1214.955 * rate**2 - 9418.914 * rate + 36041.698
    return float(prefactor / 100 * np.exp(-(31700 - 370.3 * rate) / (8.314 * temperature)))


REFIT_CALENDAR_RATE = 0.000130510034211874
"""[1/d] k of the saturating form, time in days."""
REFIT_CYCLE_EXPONENT = 1.12847759334355
"""p in loss = (k · full cycles)ᵖ."""


def refit_calendar(
    charge: FloatArray | Fraction, temperature: FloatArray | Kelvin
) -> tuple[FloatArray, FloatArray]:
    """Calendar stress of the LFP 26650 of 3 Ah, refitted to Naumann's storage data.

    Args:
        charge: At which the cell stands, 0 to 1, any shape.
        temperature: Of the cell. [K]

    Returns:
        (y∞, p) of `wattwright.pack.growth.saturating_growth` with `REFIT_CALENDAR_RATE`.

    Notes:
        u = U_graphite: y∞ = 0.98969 exp(−2881067.56 u^½/T²) exp(8742.063 u^½/T);
        p = 3.3285·10⁻⁴ exp(7.34553·10¹¹ u^⅓/T⁴) exp(−2.82162·10⁻⁶ T³ u^¼) exp(−3.28499·10⁹ u^⅓/T³)
        exp(1.27228·10⁻³ T² u^¼). [1]_

    References:
        .. [1] Gasper et al., Journal of the Electrochemical Society 169 (2022) 080518; constants as in
           the open lifetime library of the same authors (BSD-3).
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    u = graphite_potential(charge)
    most = 0.98968715129359 * np.exp(
        -2881067.56019324 * u**0.5 / kelvin**2 + 8742.06309157261 * u**0.5 / kelvin
    )
    exponent = 0.000332850281062177 * np.exp(
        734553185711.369 * u ** (1 / 3) / kelvin**4
        - 2.8216157562078e-06 * kelvin**3 * u**0.25
        - 3284991315.45121 * u ** (1 / 3) / kelvin**3
        + 0.0012722759365729 * kelvin**2 * u**0.25
    )
    return np.asarray(most), np.asarray(exponent)


def refit_cycle(rate: float, depth: Fraction) -> float:
    """Cycle rate of the refit: k in loss = (k · full cycles)^1.1285.

    Args:
        rate: Mean while charging or discharging, capacities per hour; data to 1C charge and 2C discharge.
        depth: Of a cycle; data at 0.8 to 1.

    Notes:
        k = |−6.8126·10⁻⁶ + 2.59616·10⁻⁵ D + 2.11560·10⁻⁶ exp(D² C³)|. The data's break-in loss, which its
        source counts only above three full cycles a day, is left out. No term for temperature. Source as
        above.
    """
    return float(
        abs(
            -6.81260579372875e-06
            + 2.59615973160844e-05 * depth
            + 2.11559710307295e-06 * np.exp(depth**2 * rate**3)
        )
    )
