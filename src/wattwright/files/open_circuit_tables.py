"""Reads the open-circuit tables that ship with Wattwright, with the source that stands beside each."""

import csv
import tomllib
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

import numpy as np

from wattwright.errors import FileError
from wattwright.pack.open_circuit import POINTS, OpenCircuit
from wattwright.parts.battery_module import Chemistry
from wattwright.units import FloatArray
from wattwright.working import Source, Standing

TABLES = {
    Chemistry.NMC811: "nmc811-chen-2020",
    Chemistry.NMC532: "nmc532-mohtat-2020",
    Chemistry.NCA: "nca-kim-2011",
    Chemistry.LFP: "lfp-prada-2013",
    Chemistry.LCO: "lco-marquis-2019",
}
"""Which table stands for which cell family."""
REINSTALL = "Install Wattwright anew."


@cache
def open_circuit_table(chemistry: Chemistry) -> OpenCircuit:
    """The rest voltage of one cell of that family, 101 points at 25 °C.

    Raises:
        FileError: If the shipped table is damaged.
    """
    folder = resources.files("wattwright") / "data" / "open-circuit-voltage"
    stem = TABLES[chemistry]
    with (folder / f"{stem}.source.toml").open("rb") as file:
        note = tomllib.load(file)
    voltage, change = _columns(folder / f"{stem}.csv", f"{stem}.csv")
    return OpenCircuit(
        title=note["title"],
        voltage=voltage,
        change_with_temperature=change,
        source=Source(
            text=f"{note['publication']}; set {note['parameter_set']} in {note['library']}",
            standing=Standing.PUBLISHED,
        ),
    )


def _columns(file: Traversable, name: str) -> tuple[FloatArray, FloatArray | None]:
    """Voltage [V] and its change with temperature [V/K], checked."""
    try:
        rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
        charge = np.array([float(row["charge_pct"]) for row in rows])
        voltage = np.array([float(row["open_circuit_voltage_v"]) for row in rows])
        change = (
            np.array([float(row["change_v_per_k"]) for row in rows])
            if rows and "change_v_per_k" in rows[0]
            else None
        )
    except (KeyError, TypeError, ValueError) as error:
        raise FileError(name, f"the table cannot be read ({error})", REINSTALL) from error
    if len(rows) != POINTS or not np.allclose(charge, np.arange(POINTS)):
        raise FileError(name, "the rows do not run from 0 to 100 % in steps of 1 %", REINSTALL)
    if not np.all(np.diff(voltage) > 0):
        raise FileError(name, "the voltage does not rise with charge", REINSTALL)
    return voltage, change
