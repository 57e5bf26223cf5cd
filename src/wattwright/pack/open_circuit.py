"""Rest voltage by charge: published cell tables, and the module they make in series."""

from dataclasses import dataclass

import numpy as np

from wattwright.errors import InputError
from wattwright.units import FloatArray, Kelvin
from wattwright.working import Source

POINTS = 101
"""Rows of a table: one for each per cent of charge."""
TABLE_TEMPERATURE: Kelvin = 298.15
"""[K] at which the tables hold: 25 °C."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenCircuit:
    """The rest voltage of one cell along its charge, from the published set it was evaluated from.

    Charge runs evenly from 0 (first) to 1 (last), linear in lithium between the two rest voltages at the
    ends of the table. Between rows straight lines are meant.
    """

    title: str
    voltage: FloatArray
    """(101,) of one cell at 25 °C. [V]"""
    change_with_temperature: FloatArray | None
    """(101,) of one cell [V/K]; None where no usable figure is published for the set."""
    source: Source


def voltage_at(charge: FloatArray | float, voltage: FloatArray) -> FloatArray:
    """Rest voltage at a charge, on straight lines between the rows of an even table.

    Args:
        charge: 0 to 1, any shape; held at the ends outside.
        voltage: (points,), charge 0 first, 1 last. [V]

    Returns:
        Same shape as ``charge``. [V]

    Notes:
        Straight lines between the 101 rows lie at most 1.3 mV per cell from the sets' own curves between
        5 and 98 % of charge; at the steep ends up to 46 mV (NCA below 1 %), 24 mV (LFP above 98 %).
        Measured by ``scripts/open_circuit_tables.py --error``.

    Examples:
        >>> round(float(voltage_at(0.25, np.array([3.0, 3.6, 4.2]))), 3)
        3.3
    """
    grid = np.linspace(0.0, 1.0, len(voltage))
    return np.asarray(np.interp(charge, grid, voltage), dtype=np.float64)


def at_temperature(table: OpenCircuit, temperature: Kelvin) -> FloatArray:
    """The cell's rest voltage at another temperature, (101,).

    Args:
        table: Of the cell.
        temperature: Of the cell. [K]

    Returns:
        The table itself where no change with temperature is published; what is then left out is below
        0.5 mV/K between 5 and 100 % of charge for the sets that do give one. [V]

    Notes:
        U(T) = U(25 °C) + (T − 298.15 K)·dU/dT, with dU/dT as in the table's source.
    """
    if table.change_with_temperature is None:
        return table.voltage
    return table.voltage + (temperature - TABLE_TEMPERATURE) * table.change_with_temperature


def module_voltage(cell_voltage: FloatArray, cells_in_series: int) -> FloatArray:
    """The table of a module of equal cells: series cells times the cell's, same charge.

    Args:
        cell_voltage: (points,) of one cell, rising strictly. [V]
        cells_in_series: 1 or more.

    Returns:
        (points,) [V]

    Raises:
        InputError: If there is no cell, or the table does not rise.

    Examples:
        >>> module_voltage(np.array([3.0, 3.7, 4.2]), 10).tolist()
        [30.0, 37.0, 42.0]
    """
    if cells_in_series < 1:
        raise InputError("cells_in_series", cells_in_series, "1 or more")
    if len(cell_voltage) < 2 or not np.all(np.diff(cell_voltage) > 0):
        raise InputError("open_circuit_voltage_v", cell_voltage.tolist(), "a table that rises with charge")
    return cell_voltage * float(cells_in_series)


def mean_voltage(voltage: FloatArray) -> float:
    """Mean along the whole charge (trapezoid): what the charge is worth in energy, in volts.

    Examples:
        >>> mean_voltage(np.array([3.0, 3.6, 4.2]))
        3.6
    """
    return float(np.trapezoid(voltage, dx=1.0 / (len(voltage) - 1)))
