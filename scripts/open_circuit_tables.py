"""Make the open-circuit tables in ``src/wattwright/data/open-circuit-voltage`` from published parameter sets.

    python scripts/open_circuit_tables.py            writes the tables
    python scripts/open_circuit_tables.py --error    prints what linear interpolation between rows costs

Needs PyBaMM (an extra of the tests). Charge is linear in the lithium content of the electrodes between the
two compositions at which the resting cell has the set's lower and upper voltage.
"""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pybamm

FloatArray = npt.NDArray[np.float64]

FOLDER: Final = Path(__file__).resolve().parent.parent / "src/wattwright/data/open-circuit-voltage"
POINTS: Final = 101
SETS: Final = {
    "nmc811-chen-2020": ("Chen2020", "ORegan2022"),
    "nmc532-mohtat-2020": ("Mohtat2020", None),
    "nca-kim-2011": ("NCA_Kim2011", None),
    "lfp-prada-2013": ("Prada2013", None),
    "lco-marquis-2019": ("Marquis2019", "Marquis2019"),
}
"""File stem: (set for the voltage, set for its change with temperature or None where none is usable)."""


def contents(name: str, points: int) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Charge, and the lithium content of the negative and positive electrode along it."""
    electrodes = pybamm.lithium_ion.ElectrodeSOHSolver(
        pybamm.ParameterValues(name), pybamm.LithiumIonParameters()
    )
    x0, x100, y100, y0 = electrodes.get_min_max_stoichiometries()
    charge = np.linspace(0.0, 1.0, points)
    return charge, x0 + charge * (x100 - x0), y0 + charge * (y100 - y0)


def evaluated(name: str, function: Callable[..., Any], content: FloatArray, *more: object) -> FloatArray:
    """An electrode's function of its lithium content, at each value."""
    values = pybamm.ParameterValues(name)
    return np.array([float(values.evaluate(function(pybamm.Scalar(value), *more))) for value in content])


def open_circuit(name: str, points: int) -> FloatArray:
    """Rest voltage of the whole cell at 25 °C, (points,), in volts."""
    _, x, y = contents(name, points)
    parameters = pybamm.LithiumIonParameters()
    at = pybamm.Scalar(298.15)
    return evaluated(name, parameters.p.prim.U, y, at) - evaluated(name, parameters.n.prim.U, x, at)


def change_with_temperature(name: str, of_set: str, points: int) -> FloatArray:
    """How the rest voltage moves with temperature, (points,), in volts per kelvin."""
    _, x, y = contents(name, points)
    parameters = pybamm.LithiumIonParameters()
    return evaluated(of_set, parameters.p.prim.dUdT, y) - evaluated(of_set, parameters.n.prim.dUdT, x)


def write(stem: str, name: str, of_set: str | None) -> None:
    """Write one table."""
    voltage = open_circuit(name, POINTS)
    slope = change_with_temperature(name, of_set, POINTS) if of_set else None
    lines = ["charge_pct,open_circuit_voltage_v" + (",change_v_per_k" if slope is not None else "")]
    for row in range(POINTS):
        change = f",{slope[row]:.3e}" if slope is not None else ""
        lines.append(f"{100 * row // (POINTS - 1)},{voltage[row]:.5f}{change}")
    (FOLDER / f"{stem}.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(f"{stem}.csv written")


def interpolation_error(stem: str, name: str) -> None:
    """Print how far straight lines between the rows lie from the set's own curve."""
    fine = open_circuit(name, 10 * (POINTS - 1) + 1)
    straight = np.interp(np.linspace(0, 1, len(fine)), np.linspace(0, 1, POINTS), fine[::10])
    error = 1000 * np.abs(straight - fine)
    print(f"{stem}: worst {error.max():.1f} mV, worst above 5 % {error[50:].max():.2f} mV, "
          f"rms {np.sqrt((error**2).mean()):.2f} mV")  # fmt: skip


if __name__ == "__main__":
    FOLDER.mkdir(parents=True, exist_ok=True)
    for file_stem, (voltage_set, slope_set) in SETS.items():
        if "--error" in sys.argv:
            interpolation_error(file_stem, voltage_set)
        else:
            write(file_stem, voltage_set, slope_set)
