"""The module in time against PyBaMM's Thevenin equivalent-circuit model with the same parameters."""

import gzip
from pathlib import Path

import numpy as np
import pytest

from pack_examples import NICKEL_MODULE
from stated import state
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.cell import course_of
from wattwright.pack.supply import lane_factors, supply_of
from wattwright.units import FloatArray, kelvin_from_celsius

SUPPLY = supply_of(NICKEL_MODULE, 1, open_circuit_table(NICKEL_MODULE.chemistry).voltage)
CELLS = NICKEL_MODULE.cells_in_series
START = 0.9
GRID = np.linspace(0.0, 1.0, 101)


def drive_cycle(folder: Path, name: str) -> tuple[FloatArray, FloatArray]:
    """Time and current of one cell at 1 s; WLTC's power is brought to 18 W at most and divided by 3.7 V."""
    if name == "WLTC":
        with gzip.open(folder / "cell_power_WLTC.csv.gz", "rt", encoding="utf-8") as file:
            time, power = np.loadtxt(file, delimiter=",", comments="#")[::10].T
        return time.round(), power / power.max() * 18.0 / 3.7
    time, current = np.loadtxt(folder / f"cell_current_{name}.csv", delimiter=",", comments="#").T
    return time, current


def thevenin(time: FloatArray, current: FloatArray, celsius: float) -> FloatArray:
    """Voltage of one cell by PyBaMM, its temperature held by an endless heat capacity."""
    pybamm = pytest.importorskip("pybamm")

    def at_charge(table: FloatArray, charge: object) -> object:
        return pybamm.Interpolant(GRID, table / CELLS, charge)

    def growth(cell_celsius: object) -> object:
        energy = NICKEL_MODULE.activation_energy / 8.314462618
        return pybamm.exp(energy * (1 / (cell_celsius + 273.15) - 1 / 298.15))

    def r0(cell_celsius: object, _current: object, charge: object) -> object:
        return at_charge(SUPPLY.resistance, charge) * growth(cell_celsius)

    def r1(cell_celsius: object, _current: object, charge: object) -> object:
        return at_charge(SUPPLY.relaxation_resistance, charge) * growth(cell_celsius)

    values = pybamm.ParameterValues("ECM_Example")
    values.update(
        {
            "Cell capacity [A.h]": SUPPLY.capacity / 3600,
            "Nominal cell capacity [A.h]": SUPPLY.capacity / 3600,
            "Initial SoC": START,
            "Initial temperature [K]": celsius + 273.15,
            "Ambient temperature [K]": celsius + 273.15,
            "Cell thermal mass [J/K]": 1e12,
            "Current function [A]": pybamm.Interpolant(time, current, pybamm.t),
            "Upper voltage cut-off [V]": 6.0,
            "Lower voltage cut-off [V]": 0.1,
            "Open-circuit voltage [V]": lambda charge: at_charge(SUPPLY.open_circuit_voltage, charge),
            "Entropic change [V/K]": 0.0,
            "R0 [Ohm]": r0,
            "R1 [Ohm]": r1,
            "C1 [F]": lambda *state: SUPPLY.relaxation_time / r1(*state),
        }
    )
    simulation = pybamm.Simulation(
        pybamm.equivalent_circuit.Thevenin(),
        parameter_values=values,
        solver=pybamm.IDAKLUSolver(rtol=1e-8, atol=1e-8),
    )
    return np.asarray(simulation.solve(time)["Voltage [V]"](time))


@pytest.mark.slow
@pytest.mark.parametrize("celsius", [-10.0, 0.0, 25.0, 40.0])
@pytest.mark.parametrize("cycle", ["UDDS", "US06", "WLTC"])
def test_voltage_follows_pybamm_within_a_millivolt_per_cell(
    shared_data: Path, capsys: pytest.CaptureFixture[str], cycle: str, celsius: float
) -> None:
    """Isothermal, on three drive cycles that PyBaMM shipped (23.5), −10 to 40 °C."""
    time, current = drive_cycle(shared_data / "cycles", cycle)
    _, resistance_factor = lane_factors(NICKEL_MODULE, kelvin_from_celsius(celsius))
    ours = course_of(SUPPLY, time, current, charge=START, resistance_factor=float(resistance_factor))
    error = 1000 * (ours.voltage / CELLS - thevenin(time, current, celsius))
    rms = float(np.sqrt(np.mean(error**2)))
    state(capsys, f"{cycle} {celsius:.0f} °C: {rms:.5f} mV rms, worst {np.abs(error).max():.5f} mV per cell")

    assert rms <= 0.01  # the bound asked for is 1 mV; both solve the same circuit, so far less is due
