"""Write docs/measured-cells.md: the circuit and the network beside measured cells.

Run it from the checkout after changing what a cell or a pack comes to:
``.venv/bin/python scripts/measured_cells_report.py``.
"""

import csv
import gzip
from pathlib import Path
from typing import Any, Final

import numpy as np
from scipy.io import loadmat
from scipy.optimize import least_squares

from wattwright.pack.branches import parallel_sources
from wattwright.pack.cell import course_of
from wattwright.pack.network import pack_course
from wattwright.parts.supply import Supply
from wattwright.units import FloatArray

REPOSITORY: Final = Path(__file__).resolve().parent.parent
DATA: Final = REPOSITORY.parent / "shared" / "data"
PAGE: Final = REPOSITORY / "docs" / "measured-cells.md"
GRID: Final = np.linspace(0.0, 1.0, 101)
KNOTS: Final = np.array([0.0, 0.1, 0.25, 0.5, 0.75, 1.0])
"""Charges at which the two resistances are fitted."""
SPARSE: Final = 5
"""Every so-manieth random run is used for the fit; all are predicted."""

HEAD: Final = """# Measured cells

Written by `scripts/measured_cells_report.py` from the cells in the data folder beside the repository;
origin and licences stand in its notes. Aim of the first table: 20 mV rms. **It is missed over whole runs**;
above the rest voltage at 10 % of charge it is met. One RC pair does not follow the steep end (taken to be
diffusion; not traced).
"""


def supply(voltage: FloatArray, r0: FloatArray, r1: FloatArray, tau: float, capacity: float) -> Supply:
    """One cell's tables as the solvers take them."""
    return Supply(
        modules=1,
        open_circuit_voltage=voltage,
        resistance=r0,
        relaxation_resistance=r1,
        relaxation_time=tau,
        capacity=capacity,
        protection=(),
        minimum_voltage=2.5,
        maximum_voltage=4.2,
        regeneration_current=0.0,
    )


def specimen(name: str) -> dict[str, Any]:
    """One cell's record."""
    return dict(loadmat(DATA / "cells" / f"{name}.mat", squeeze_me=True, struct_as_record=False))


def rest_voltage(record: dict[str, Any]) -> tuple[FloatArray, float]:
    """(101,) from the discharge at C/20, and its charge. [C]."""
    slow = record["ocv_data"]
    order = np.argsort(slow.SOC)
    share = (slow.SOC[order] - slow.SOC.min()) / np.ptp(slow.SOC)
    return np.interp(GRID, share, slow.V[order]), float(np.ptp(slow.Q))


def errors(cell: Supply, run: Any) -> FloatArray:  # noqa: ANN401 -- a MATLAB structure
    """Modelled less measured voltage along one random run, from the charge its first voltage tells. [V]."""
    first = float(run.V[0] + run.I[0] * cell.resistance[-1])
    charge = float(np.interp(first, cell.open_circuit_voltage, GRID))
    course = course_of(cell, run.t - run.t[0], run.I, charge=charge)
    return np.asarray(course.voltage - run.V, dtype=np.float64)


def fitted(record: dict[str, Any]) -> Supply:
    """Resistances by charge and one time constant, by least squares on every fifth random run."""
    voltage, capacity = rest_voltage(record)
    runs = record["rw_data"][::SPARSE]

    def made(x: FloatArray) -> Supply:
        r0, r1 = (np.interp(GRID, KNOTS, np.exp(part)) for part in (x[:6], x[6:12]))
        return supply(voltage, r0, r1, float(np.exp(x[12])), capacity)

    start = np.log([*[0.06] * 6, *[0.03] * 6, 60.0])

    def all_errors(x: FloatArray) -> FloatArray:
        return np.concatenate([errors(made(x), run) for run in runs])

    answer = least_squares(all_errors, start, max_nfev=40)
    return made(answer.x)


def random_runs() -> list[str]:
    """The first table."""
    cell = fitted(specimen("Exp25_R1"))
    fit = (
        f"Ten of fifty runs of Exp25_R1 give R₀ {1000 * cell.resistance[50]:.1f} mΩ, R₁ "
        f"{1000 * cell.relaxation_resistance[50]:.1f} mΩ at half charge, τ {cell.relaxation_time:.0f} s.\n"
    )
    lines = [
        "\n## Random currents, fitted on one specimen, predicted for two others\n",
        fit,
        "| specimen | runs | rms mV | worst run, rms mV | rms mV while above the rest voltage at 10 % |",
        "|---|---|---|---|---|",
    ]
    for name in ("Exp25_R1", "Exp25_R2", "Exp25_R3"):
        runs = specimen(name)["rw_data"]
        found = [errors(cell, run) for run in runs]
        upper = np.concatenate(
            [error[cell.open_circuit_voltage[10] < run.V] for error, run in zip(found, runs, strict=True)]
        )
        each = [1000 * float(np.sqrt(np.mean(error**2))) for error in found]
        whole = 1000 * float(np.sqrt(np.mean(np.concatenate(found) ** 2)))
        top = 1000 * float(np.sqrt(np.mean(upper**2)))
        lines.append(f"| {name} | {len(runs)} | {whole:.1f} | {max(each):.1f} | {top:.1f} |")
    return lines


def parallel_cells() -> list[str]:
    """Two unequal aged cells side by side over a charge, a hold and a discharge."""
    cells = []
    for name, capacity in (("151805", 1.83), ("152098", 1.93)):
        table = np.genfromtxt(DATA / "parallel" / f"params_cell{name}.csv", delimiter=",", skip_header=1)
        share = table[:, 1] / 100.0
        cells.append(
            supply(
                np.interp(GRID, share, table[:, 2]),
                np.interp(GRID, share, table[:, 3]),
                np.full(101, 1e-6),
                60.0,
                3600 * capacity,
            )
        )
    with gzip.open(DATA / "parallel" / "expt_c_over_10.csv.gz", "rt", encoding="utf-8") as file:
        rows = np.array([[float(cell or "nan") for cell in row[1:]] for row in list(csv.reader(file))[1:]])
    rows = rows[np.isfinite(rows).all(axis=1)]
    time, voltage, *measured = rows.T
    drawn = -np.array(measured)
    load = drawn.sum(axis=0)
    charges = [float(np.interp(voltage[0], cell.open_circuit_voltage, GRID)) for cell in cells]
    course = pack_course(parallel_sources(cells, charge=charges), np.maximum.accumulate(time), load)
    apart, found = (part[0] - part[1] for part in (drawn, course.current.T))
    driven = np.abs(load) > 0.4
    rms = [1000 * float(np.sqrt(np.mean((found - apart)[mask] ** 2))) for mask in (driven, ~driven)]
    most = [1000 * float(np.abs(part).max()) for part in (apart, found)]
    together = 1000 * float(np.sqrt(np.mean((course.voltage - voltage) ** 2)))
    return [
        "\n## Two unequal cells in parallel\n",
        f"Over {len(time)} samples at about C/10 (0.5 A together), from both cells' published tables.\n",
        "| what | measured | modelled |",
        "|---|---|---|",
        f"| largest difference of the two currents, mA | {most[0]:.0f} | {most[1]:.0f} |",
        f"| error of the difference while driven, mA rms | | {rms[0]:.0f} |",
        f"| error while held or left to equalise, mA rms | | {rms[1]:.0f} |",
        f"| error of the common voltage, mV rms | | {together:.0f} |",
    ]


if __name__ == "__main__":
    PAGE.write_text("\n".join([HEAD, *random_runs(), *parallel_cells()]) + "\n", encoding="utf-8")
    print(f"wrote {PAGE.name}")
