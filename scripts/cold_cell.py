"""Make ``tests/reference/cell_low_rate_nmc811_okane2022.csv``: what the cold leaves of a cell at C/10.

    python scripts/cold_cell.py

Porous-electrode (DFN) model, isothermal, O'Kane et al. 2022 set in PyBaMM (an extra of the tests), from full
to 3.0 V.
"""

from pathlib import Path
from typing import Final

import numpy as np
import pybamm

FILE: Final = Path(__file__).resolve().parent.parent / "tests/reference/cell_low_rate_nmc811_okane2022.csv"
CURRENT: Final = 0.5
"""[A] C/10 of a 5 Ah cell."""
LOWEST: Final = 3.0


def charge_and_energy(celsius: float) -> tuple[float, float]:
    """Ampere-hours and watt-hours down to 3.0 V."""
    values = pybamm.ParameterValues("OKane2022")
    values.set_initial_state(1.0, inplace=True)
    kelvin = celsius + 273.15
    values.update(
        {
            "Ambient temperature [K]": kelvin,
            "Initial temperature [K]": kelvin,
            "Current function [A]": CURRENT,
        }
    )
    solution = pybamm.Simulation(pybamm.lithium_ion.DFN(), parameter_values=values).solve([0, 40000])
    time = np.linspace(0, solution["Time [s]"].entries[-1], 20001)
    voltage = solution["Voltage [V]"](time)
    end = int(np.argmax(voltage < LOWEST))
    charge = CURRENT * time / 3600
    return float(charge[end]), float(np.trapezoid(voltage[: end + 1], charge[: end + 1]))


if __name__ == "__main__":
    lines = ["# DFN model, isothermal, OKane2022 parameter set (PyBaMM 26.10.1.1), C/10 from full to 3.0 V"]
    lines.append("temperature_c,charge_ah,energy_wh")
    for degrees in (-20.0, -10.0, 0.0, 10.0, 25.0, 40.0):
        ampere_hours, watt_hours = charge_and_energy(degrees)
        lines.append(f"{degrees:.0f},{ampere_hours:.4f},{watt_hours:.3f}")
        print(lines[-1])
    FILE.write_text("\n".join(lines) + "\n", encoding="utf-8")
