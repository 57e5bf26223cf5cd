"""Record branch currents of parallel networks by liionpack 0.4.0 over PyBaMM's Thevenin model, once.

It cannot live beside our own tools: make an environment apart with ``liionpack==0.4.0``, ``pybamm==25.1``,
``pandas<3`` and ``numpy==1.26.4``, and run it there from the checkout:
``python scripts/record_network_reference.py``. It writes ``tests/reference/network_liionpack.csv``.

Its troubles: it fails with newer PyBaMM and pandas; a cell's inputs are matched by place, so their names must
sort behind "Current function [A]"; a branch's resistance is |rest voltage - voltage| over current, so that
sign changes of a branch's current, and rests, cannot be followed; it takes each step's current from the
state before. Hence cells that all discharge throughout, under a steady load.
"""

import csv
import time as clock
from pathlib import Path
from typing import Any, Final

import liionpack  # type: ignore[import-not-found]  # not installed beside our own tools
import numpy as np
import pybamm

ROOT: Final = Path(__file__).resolve().parent.parent
TABLE: Final = ROOT / "src" / "wattwright" / "data" / "open-circuit-voltage" / "nmc811-chen-2020.csv"
TARGET: Final = ROOT / "tests" / "reference" / "network_liionpack.csv"
SECONDS: Final = 600
KEEP: Final = 60
SERIES, RELAXATION, TIME_CONSTANT, CAPACITY_AH = 0.030, 0.015, 20.0, 5.0
CONNECTION, RAIL = 0.010, 0.0005
"""[Ω] of each cell to the rails; of each piece of either rail."""


def rest_voltage() -> np.ndarray:
    """(101,) of the shipped NMC811 table."""
    lines = [line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    name = next(key for key in rows[0] if "voltage" in key)
    return np.array([float(row[name]) for row in rows])


def simulation(values: "pybamm.ParameterValues") -> "pybamm.Simulation":
    """One cell with the names liionpack asks for."""
    model = pybamm.equivalent_circuit.Thevenin()
    model.events = []
    model.variables["Terminal voltage [V]"] = model.variables["Voltage [V]"]
    model.variables["Surface open-circuit voltage [V]"] = model.variables["Open-circuit voltage [V]"]
    return pybamm.Simulation(
        model, parameter_values=values, solver=pybamm.CasadiSolver(mode="safe", rtol=1e-9, atol=1e-9)
    )


def parameters() -> "pybamm.ParameterValues":
    """A cell of our own numbers; resistance and charge of each come as inputs."""
    table = rest_voltage()
    grid = np.linspace(0.0, 1.0, len(table))
    values = pybamm.ParameterValues("ECM_Example")

    def grown(_t: Any, _i: Any, _z: Any) -> Any:  # noqa: ANN401 -- PyBaMM's symbols
        return SERIES * pybamm.InputParameter("R factor")

    def slow(_t: Any, _i: Any, _z: Any) -> Any:  # noqa: ANN401 -- as above
        return RELAXATION * pybamm.InputParameter("R factor")

    values.update(
        {
            "Cell capacity [A.h]": CAPACITY_AH,
            "Nominal cell capacity [A.h]": CAPACITY_AH,
            "Initial SoC": "[input]",
            "Cell thermal mass [J/K]": 1e12,
            "Upper voltage cut-off [V]": 6.0,
            "Lower voltage cut-off [V]": 0.1,
            "Open-circuit voltage [V]": lambda z: pybamm.Interpolant(grid, table, z),
            "Entropic change [V/K]": 0.0,
            "R0 [Ohm]": grown,
            "R1 [Ohm]": slow,
            "C1 [F]": lambda *state: TIME_CONSTANT / slow(*state),
            "Current function [A]": "[input]",
        }
    )
    values["Initial SoC"] = pybamm.InputParameter("Start charge")
    return values


def cases(branches: int) -> dict[str, tuple[np.ndarray, np.ndarray]]:
    """Resistance factor and start charge of each branch."""
    even, spread = np.ones(branches), np.linspace(-1.0, 1.0, branches)
    return {
        "equal": (even, np.full(branches, 0.8)),
        "resistance": (1.0 + 0.4 * spread, np.full(branches, 0.8)),
        "charge": (even, 0.8 + 0.01 * spread),
    }


def run(branches: int, factor: np.ndarray, charge: np.ndarray) -> tuple[np.ndarray, float]:
    """(samples, branches) currents, positive when discharging, and the seconds it took."""
    netlist = liionpack.setup_circuit(
        Np=branches, Ns=1, Ri=SERIES, Rc=CONNECTION, Rb=RAIL, Rt=1e-9, I=3.0 * branches, V=4.0,
        terminals="left",
    )  # fmt: skip
    experiment = pybamm.Experiment([f"Discharge at {3.0 * branches} A for {SECONDS} s"], period="1 second")
    begun = clock.perf_counter()
    output = liionpack.solve(
        netlist=netlist, sim_func=simulation, parameter_values=parameters(), experiment=experiment,
        inputs={"R factor": factor, "Start charge": charge}, initial_soc=None, nproc=1,
    )  # fmt: skip
    return np.asarray(output["Cell current [A]"]), clock.perf_counter() - begun


def main() -> None:
    """Run all cases and write every minute of them down."""
    rows = []
    for branches in (6, 16):
        for name, (factor, charge) in cases(branches).items():
            currents, seconds = run(branches, factor, charge)
            print(f"{name} {branches}: {len(currents)} steps in {seconds:.1f} s; first {currents[0]}")
            for sample in range(KEEP, len(currents), KEEP):
                rows += [
                    (name, branches, sample, branch, f"{current:.6f}")
                    for branch, current in enumerate(currents[sample])
                ]
    with TARGET.open("w", encoding="utf-8", newline="") as file:
        file.write(
            "# liionpack 0.4.0 over PyBaMM 25.1 Thevenin; made by scripts/record_network_reference.py\n"
            f"# cells: {SERIES} + {RELAXATION} ohm times factor, {TIME_CONSTANT} s, {CAPACITY_AH} Ah, NMC811;"
            f" connection {CONNECTION} ohm, rail {RAIL} ohm each way; 3 A each; sample k is 1 s steps\n"
        )
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("case", "branches", "step", "branch", "current_a"))
        writer.writerows(rows)


if __name__ == "__main__":
    main()
