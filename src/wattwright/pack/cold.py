"""What the cold leaves of the charge at low rate; the loss under load is the resistance's (resistance.py)."""

import numpy as np

from wattwright.errors import InputError
from wattwright.parts.battery_module import Chemistry
from wattwright.units import FloatArray, Kelvin, kelvin_from_celsius

CHARGE_FACTOR_CELSIUS = (-30.0, -20.0, -10.0, 0.0, 10.0, 25.0, 45.0)
"""[°C] Temperatures of the factors below."""
CHARGE_FACTOR = (0.66, 0.765, 0.859, 0.924, 0.967, 1.0, 1.0)
"""Charge at low rate over that at 25 °C.

0, 25 and 45 °C: a measured 5 Ah 21700 cell at C/10 (W. D. Widanage, in PyBOP's examples, BSD-3), the missing
start charge at 0 °C added back. 10 °C and below 0 °C: the course of a porous-electrode model of the same kind
of cell at C/10 to 3.0 V (O'Kane et al., Physical Chemistry Chemical Physics 24 (2022) 7909, in PyBaMM), its
losses scaled so that it meets the measurement at 0 °C (6.1 times: that model alone loses 1.2 % there).
−30 °C: continued on the same curve. So below 0 °C nothing of this is measured.
"""
CHARGE_FACTOR_OF = dict.fromkeys(Chemistry, CHARGE_FACTOR)
"""Which factors hold for which cells: one set for all until others are measured."""


def charge_factor(chemistry: Chemistry, temperature: FloatArray | Kelvin) -> FloatArray:
    """Share of the rated charge a cold cell gives at low rate, after a full charge in the warm.

    Args:
        chemistry: For LFP no measurement was at hand: it is given the nickel cells' factor (assumption;
            LFP is commonly held to be the weaker in the cold).
        temperature: Of the cell while riding, any shape; held at the ends outside −30…45 °C. [K]

    Returns:
        Factor, same shape, between 0.66 and 1. [-]

    Raises:
        InputError: If a temperature is no number above 0 K.

    Notes:
        Linear between the values of `CHARGE_FACTOR`, which names the source. What a load loses beyond this
        comes from the resistance's growth, and must not be taken here again.

    Examples:
        >>> round(float(charge_factor(Chemistry.NMC811, 273.15)), 3)
        0.924
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    if not np.all(kelvin > 0):
        raise InputError("temperature_k", float(kelvin.min()), "above absolute zero")
    grid = [kelvin_from_celsius(celsius) for celsius in CHARGE_FACTOR_CELSIUS]
    return np.asarray(np.interp(kelvin, grid, CHARGE_FACTOR_OF[chemistry]))
