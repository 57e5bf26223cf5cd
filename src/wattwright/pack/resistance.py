"""Series resistance by charge and temperature, and the one RC pair behind it."""

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.open_circuit import POINTS
from wattwright.parts.battery_module import BatteryModule, Chemistry
from wattwright.units import GAS_CONSTANT, FloatArray, JoulePerMole, Kelvin

REFERENCE_TEMPERATURE: Kelvin = 298.15
"""[K] at which a module's resistance is given: 25 °C."""

SHAPE_CHARGE = (0.0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
"""Charges at which the shapes below are given."""
NICKEL_SERIES_SHAPE = (1.35, 1.35, 1.26, 1.171, 1.045, 1.011, 1.007, 1.0, 1.004, 1.009, 1.014, 1.028, 1.06)
"""Instant resistance over that at half charge, layered-oxide cells.

10 to 90 %: mean of six 5 Ah 21700 cells, drop within about 0.1 s of a 7.5 A pulse at 25 °C, worked out by us
from an open data set (W. D. Widanage, in PyBOP's examples, BSD-3). Below and above, the rise of the 10 s
resistance in a porous-electrode model of the same kind of cell (O'Kane et al., Physical Chemistry Chemical
Physics 24 (2022) 7909, in PyBaMM), set on at 10 and 90 %.
"""
NICKEL_RELAXATION_SHAPE = (2.44, 2.44, 2.28, 2.12, 1.16, 1.14, 0.9, 1.0, 1.31, 1.06, 1.13, 1.05, 1.11)
"""The further rise up to 10 s, less the fall of the rest voltage, over that at half charge; same source."""
LFP_SHAPE = (1.7, 1.7, 1.514, 1.343, 1.168, 1.078, 1.027, 1.0, 0.991, 1.0, 1.026, 1.079, 1.147)
"""Instant resistance over that at half charge, LFP: porous-electrode model, 1C, 25 °C.

Prada et al., Journal of the Electrochemical Society 160 (2013) A616, in PyBaMM; a model, not a measurement.
The relaxation is taken to have the same shape.
"""


def arrhenius_factor(temperature: FloatArray | Kelvin, activation_energy: JoulePerMole) -> FloatArray:
    """How much a resistance grows from 25 °C to another temperature.

    Args:
        temperature: Of the cell, any shape, above 0 K; sensible between 250 and 330 K. [K]
        activation_energy: Effective, of the whole resistance; 0 or more. [J/mol]

    Returns:
        Factor, same shape; 1 at 25 °C, above 1 in the cold. [-]

    Raises:
        InputError: If a temperature is not above 0 K or the energy is negative.

    Notes:
        k = exp[Ea/R (1/T − 1/298.15 K)], Arrhenius. Measured on 10 s pulses of a 5 Ah 21700 cell between
        0 and 25 °C: Ea about 11 kJ/mol (see docs/models/cell.md); single reactions inside a cell have
        17.8 to 39.6 kJ/mol. [1]_ [2]_

    References:
        .. [1] Chen et al., Journal of the Electrochemical Society 167 (2020) 080534.
        .. [2] Prada et al., Journal of the Electrochemical Society 160 (2013) A616.

    Examples:
        >>> round(float(arrhenius_factor(263.15, 20e3)), 4)
        2.9243
    """
    if activation_energy < 0:
        raise InputError("activation_energy_kj_mol", activation_energy / 1000, "0 kJ/mol or more")
    kelvin = np.asarray(temperature, dtype=np.float64)
    if not np.all(kelvin > 0):
        raise InputError("temperature_k", float(kelvin.min()), "above absolute zero")
    return np.asarray(np.exp(activation_energy / GAS_CONSTANT * (1 / kelvin - 1 / REFERENCE_TEMPERATURE)))


def series_shape(chemistry: Chemistry, charge: FloatArray | float) -> FloatArray:
    """Series resistance at a charge (0 to 1, any shape) over that at half charge.

    Examples:
        >>> float(series_shape(Chemistry.NMC811, 0.5))
        1.0
    """
    shape = LFP_SHAPE if chemistry is Chemistry.LFP else NICKEL_SERIES_SHAPE
    return np.asarray(np.interp(charge, SHAPE_CHARGE, shape))


def relaxation_shape(chemistry: Chemistry, charge: FloatArray | float) -> FloatArray:
    """R1 at a charge (0 to 1, any shape) over that at half charge.

    Examples:
        >>> float(relaxation_shape(Chemistry.LFP, 0.1))
        1.343
    """
    shape = LFP_SHAPE if chemistry is Chemistry.LFP else NICKEL_RELAXATION_SHAPE
    return np.asarray(np.interp(charge, SHAPE_CHARGE, shape))


def resistance_tables(battery_module: BatteryModule) -> tuple[FloatArray, FloatArray]:
    """Series and relaxation resistance of one new module at 25 °C, on the even grid of charge.

    Returns:
        Two arrays (101,), charge 0 first, 1 last; at half charge the data sheet's own values. [Ω]

    Notes:
        The whole resistance is given the cell's shape, protection and contacts too: a little too much at
        low charge, never too little.

        The cells' share in it is not on the data sheet.
    """
    grid = np.linspace(0.0, 1.0, POINTS)
    chemistry = battery_module.chemistry
    return (
        battery_module.resistance * series_shape(chemistry, grid),
        battery_module.relaxation_resistance * relaxation_shape(chemistry, grid),
    )
