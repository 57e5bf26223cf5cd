"""Rest voltage tables against their published sources, and the module of cells in series."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.io import loadmat

from reference_values import FOLDER, reference
from stated import state
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import TABLES, open_circuit_table
from wattwright.pack.open_circuit import at_temperature, mean_voltage, module_voltage, voltage_at
from wattwright.parts.battery_module import Chemistry

CHECK_CHARGES = (0.0, 0.1, 0.2, 0.5, 0.8, 1.0)


@pytest.mark.parametrize(
    ("row", "chemistry"), [("C1", Chemistry.NMC811), ("C3", Chemistry.LFP), ("C4", Chemistry.NCA)]
)
def test_rest_voltage_matches_the_check_rows(row: str, chemistry: Chemistry) -> None:
    """C1, C3, C4: Chen 2020, Prada 2013, Kim 2011 as evaluated from PyBaMM's sets, 2 mV."""
    wanted = reference(row)
    voltage = voltage_at(np.array(CHECK_CHARGES), open_circuit_table(chemistry).voltage)

    assert voltage == pytest.approx(wanted.values, abs=wanted.tolerance)


def test_mean_and_lower_half_of_nmc811_match_the_check_row() -> None:
    """C2: mean 3.7175 V, share of energy below half charge 0.4648, from a table in 5 % steps."""
    wanted = reference("C2")
    table = open_circuit_table(Chemistry.NMC811).voltage[::5]
    lower = mean_voltage(table[:11]) / 2 / mean_voltage(table)

    assert (mean_voltage(table), lower) == pytest.approx(wanted.values, abs=wanted.tolerance)


PUBLISHED_TABLES = (
    (Chemistry.NMC811, "ocv_nmc811_chen2020.csv"),
    (Chemistry.NMC532, "ocv_nmc532_mohtat2020.csv"),
    (Chemistry.NCA, "ocv_nca_kim2011.csv"),
    (Chemistry.LFP, "ocv_lfp_prada2013.csv"),
    (Chemistry.LCO, "ocv_lco_marquis2019.csv"),
)
"""Each shipped table with the reference copy of the same set."""


@pytest.mark.parametrize(("chemistry", "name"), PUBLISHED_TABLES)
def test_every_row_of_the_reference_tables_is_met(chemistry: Chemistry, name: str) -> None:
    """All 21 rows of each set, evaluated independently; they print 0.1 mV, so half of that and a digit."""
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    rows = np.array([[float(cell) for cell in line.split(",")] for line in lines if line[0].isdigit()])
    voltage = voltage_at(rows[:, 0] / 100, open_circuit_table(chemistry).voltage)

    assert len(rows) == 21
    assert voltage == pytest.approx(rows[:, 1], abs=6e-5)


def test_every_family_has_a_table() -> None:
    assert set(TABLES) == set(Chemistry)


@given(chemistry=st.sampled_from(Chemistry), low=st.floats(0, 0.999), rise=st.floats(1e-6, 1))
def test_more_charge_means_more_rest_voltage(chemistry: Chemistry, low: float, rise: float) -> None:
    table = open_circuit_table(chemistry).voltage
    high = min(1.0, low + rise)

    assert voltage_at(high, table) > voltage_at(low, table)


def test_ten_cells_at_60_and_50_per_cent_stand_0_897_v_apart() -> None:
    """Reference sheet, section 4.2: ΔV 0.897 V drives 2.80 A through 0.32 Ω."""
    table = module_voltage(open_circuit_table(Chemistry.NMC811).voltage, 10)
    difference = float(voltage_at(0.6, table) - voltage_at(0.5, table))

    assert difference == pytest.approx(0.897, abs=5e-4)
    assert difference / 0.32 == pytest.approx(2.80, abs=5e-3)


def test_lfp_cannot_be_read_from_its_voltage_between_40_and_70_per_cent() -> None:
    """Reference sheet, section 4.1: 21.5 mV over 30 % of charge."""
    table = open_circuit_table(Chemistry.LFP).voltage

    assert float(voltage_at(0.7, table) - voltage_at(0.4, table)) == pytest.approx(0.0215, abs=2e-4)


def test_temperature_moves_the_table_only_where_a_figure_is_published() -> None:
    nickel, iron = open_circuit_table(Chemistry.NMC811), open_circuit_table(Chemistry.LFP)

    assert at_temperature(nickel, 298.15) == pytest.approx(nickel.voltage)
    assert at_temperature(nickel, 273.15)[50] == pytest.approx(nickel.voltage[50] - 25 * 0.0187e-3, abs=2e-6)
    assert at_temperature(iron, 273.15) is iron.voltage


@pytest.mark.parametrize("voltage", [[3.0, 3.0, 4.2], [4.2, 3.0], [3.7]])
def test_a_table_that_does_not_rise_is_refused(voltage: list[float]) -> None:
    with pytest.raises(InputError, match="rises with charge"):
        module_voltage(np.array(voltage), 10)


def test_a_module_without_cells_is_refused() -> None:
    with pytest.raises(InputError, match="cells_in_series"):
        module_voltage(np.array([3.0, 4.2]), 0)


def test_a_measured_cell_of_the_kind_lies_near_the_nmc811_table(
    shared_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """cell21700_5Ah_OCV_25C.mat: mean of charge and discharge of a 5 Ah NMC and graphite-silicon cell.

    Reference sheet: real cells differ by 20 to 50 mV. The measured charge runs from 2.87 to 4.18 V, the
    table's from 2.5 to 4.2 V, so that they part most near the ends.
    """
    file = loadmat(str(shared_data / "cells" / "cell21700_5Ah_OCV_25C.mat"), simplify_cells=True)
    measured = next(value for key, value in file.items() if not key.startswith("__"))["T25"]["meanOCV"]
    error = 1000 * (np.asarray(measured) - open_circuit_table(Chemistry.NMC811).voltage)[10:]
    rms = float(np.sqrt(np.mean(error**2)))
    state(
        capsys,
        f"measured rest voltage less the NMC811 table, 10 to 100 %: rms {rms:.1f} mV, "
        f"mean {error.mean():+.1f} mV, worst {np.abs(error).max():.1f} mV",
    )

    assert rms < 50
