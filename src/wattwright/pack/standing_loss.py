"""What standing takes for good: by the ageing models, beside a handbook's table of a year."""

from typing import Final

import numpy as np

from wattwright.errors import OutsideRangeError
from wattwright.pack.ageing import Ageing, faded
from wattwright.pack.year import Year
from wattwright.parts.battery_module import Chemistry
from wattwright.units import FloatArray, Fraction, Kelvin, celsius_from_kelvin, kelvin_from_celsius
from wattwright.working import Source, Standing

HANDBOOK_CELSIUS: Final = (0.0, 25.0, 40.0)
HANDBOOK_CHARGE: Final = (0.4, 1.0)
HANDBOOK_LEFT: Final = ((0.98, 0.96, 0.85), (0.94, 0.80, 0.65))
"""Capacity left after one YEAR, first row stored at 40 %, second full.

These are permanent losses of a year. They circulate as self-discharge a *month* ("6, 20, 35 %"), which they
are not. A further column, 60 °C, is left out: full, it holds for three months only.
"""
HANDBOOK_SOURCE: Final = Source(
    text="Table of capacity left after a year of storage, handbook family, three reprints; full at 0 and "
    "40 °C (memory)",
    standing=Standing.PUBLISHED,
)


def standing_year(charge: FloatArray, temperature: FloatArray) -> Year:
    """A spell of standing, cut into equal parts, as the ageing models ask for it.

    Args:
        charge: (parts,) state of charge, in order. 0 to 1
        temperature: (parts,) of the cells. [K]
    """
    parts = len(charge)
    return Year(
        share=np.full(parts, 1.0 / parts),
        temperature=temperature,
        charge=charge,
        full_cycles=0.0,
        depth=0.0,
        highest_charge=float(charge.max()),
        discharge_rate=0.0,
        charge_rate=0.0,
        cycle_temperature=float(temperature.mean()),
    )


def standing_loss(chemistry: Chemistry, charge: FloatArray, temperature: FloatArray, years: float) -> Ageing:
    """Capacity and resistance after standing so: central estimate and bound, new cells.

    Args:
        chemistry: Of the cells.
        charge: (parts,) state of charge over equal parts of the time. 0 to 1
        temperature: (parts,) of the cells. [K]
        years: How long in all, 0 to 30.
    """
    return faded(chemistry, standing_year(charge, temperature), years)


def handbook_left(charge: Fraction, temperature: Kelvin) -> Fraction:
    """Capacity left after one year of storage, by the handbook's table.

    Args:
        charge: At which it is stored; below 40 % as at 40 %.
        temperature: 0 to 40 °C. [K]

    Raises:
        OutsideRangeError: Outside 0 to 40 °C.

    Notes:
        Straight lines between 0, 25 and 40 °C, and between 40 and 100 % of charge.

    Examples:
        >>> round(handbook_left(0.4, 298.15), 3), round(handbook_left(1.0, 298.15), 3)
        (0.96, 0.8)
    """
    lowest, highest = (kelvin_from_celsius(end) for end in (HANDBOOK_CELSIUS[0], HANDBOOK_CELSIUS[-1]))
    celsius = celsius_from_kelvin(temperature)
    if not lowest <= temperature <= highest:
        raise OutsideRangeError("the handbook's table", "temperature", celsius, "0 to 40 °C")
    rows = [np.interp(celsius, HANDBOOK_CELSIUS, row) for row in HANDBOOK_LEFT]
    return float(np.interp(charge, HANDBOOK_CHARGE, rows))
