"""May modules be joined: equalising currents against hand values, and when the voltage cannot tell."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pack_examples import NICKEL_MODULE
from reference_values import reference
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.connecting import RestReading, charge_from_voltage, connect_check
from wattwright.pack.supply import supply_of
from wattwright.parts.battery_module import Chemistry

SUPPLY = supply_of(NICKEL_MODULE, 1, open_circuit_table(NICKEL_MODULE.chemistry).voltage)
TEN_CELLS = replace(
    NICKEL_MODULE, cells_in_series=10, maximum_voltage=42.0, minimum_voltage=30.0, relaxation_resistance=0.0
)
LFP = replace(
    NICKEL_MODULE,
    chemistry=Chemistry.LFP,
    cells_in_series=12,
    maximum_voltage=43.2,
    minimum_voltage=30.0,
)
LFP_SUPPLY = supply_of(LFP, 1, open_circuit_table(Chemistry.LFP).voltage)


def test_two_modules_a_tenth_apart_equalise_as_worked_out_by_hand() -> None:
    """NMC811 10s at 60 and 50 %: 0.897 V over 0.32 Ω drives 2.80 A at first (references 4.2)."""
    module = replace(TEN_CELLS, resistance=0.16)
    supply = supply_of(module, 1, open_circuit_table(module.chemistry).voltage)
    # The series resistance is 1.004 of its value at 60 % charge, so the hand value is 0.2 % lower.
    answer = connect_check(module, supply, [RestReading(charge=0.6), RestReading(charge=0.5)])

    assert answer.peak_current == pytest.approx([2.80, 2.80], abs=0.01)
    assert answer.course.current[0].sum() == pytest.approx(0.0, abs=1e-9)


def test_the_check_row_of_circulating_current_is_met() -> None:
    """C10: 0.5 V over 0.40 Ω circulates 1.25 A; here as charges that rest 0.5 V apart."""
    module = replace(TEN_CELLS, resistance=0.20)
    supply = replace(
        supply_of(module, 1, open_circuit_table(module.chemistry).voltage), resistance=np.full(101, 0.20)
    )
    low = float(np.interp(37.0, supply.open_circuit_voltage, np.linspace(0, 1, 101)))
    high = float(np.interp(37.5, supply.open_circuit_voltage, np.linspace(0, 1, 101)))
    answer = connect_check(module, supply, [RestReading(charge=high), RestReading(charge=low)])

    assert answer.peak_current[0] == pytest.approx(reference("C10").values[0], abs=1e-6)


def test_equal_modules_may_be_joined() -> None:
    answer = connect_check(NICKEL_MODULE, SUPPLY, [RestReading(charge=0.8)] * 4)

    assert answer.may_join
    assert answer.reasons == ()
    assert answer.first == ()
    assert answer.peak_current == pytest.approx(np.zeros(4), abs=1e-9)


def test_modules_far_apart_may_not_and_the_emptier_are_charged_first() -> None:
    answer = connect_check(
        NICKEL_MODULE, SUPPLY, [RestReading(charge=0.95), RestReading(charge=0.2), RestReading(charge=0.9)]
    )
    # 75 % apart: by hand (U₁ − U₂)/(R₁ + R₂ ∥ …) is far above the 4 A a module takes for a short while.
    assert not answer.may_join
    assert "Module 2 would be charged" in answer.reasons[0]
    assert answer.first[0].startswith("Charge module 2 by itself")
    assert answer.peak_current[1] > 4.0
    assert answer.course.charge[-1].max() - answer.course.charge[-1].min() < 0.02


def test_what_it_tells_to_do_first_makes_joining_possible() -> None:
    """Charged to the voltage it names, the same set may be joined."""
    before = connect_check(NICKEL_MODULE, SUPPLY, [RestReading(charge=0.95), RestReading(charge=0.2)])
    charge = charge_from_voltage(
        SUPPLY, NICKEL_MODULE.chemistry, NICKEL_MODULE.cells_in_series, before.target_voltage
    ).value
    after = connect_check(NICKEL_MODULE, SUPPLY, [RestReading(charge=0.95), RestReading(charge=charge)])

    assert not before.may_join
    assert after.may_join


def test_a_module_too_cold_to_charge_is_not_joined_to_a_fuller_one() -> None:
    """Equalising charges the emptier: below its sheet's 0 °C that is charging in the frost."""
    cold = connect_check(
        NICKEL_MODULE,
        SUPPLY,
        [RestReading(charge=0.6, temperature=268.15), RestReading(charge=0.55, temperature=268.15)],
    )

    assert not cold.may_join
    assert any("Module 2 would be charged at -5 °C" in reason for reason in cold.reasons)


def test_the_voltage_of_lfp_cells_does_not_tell_the_charge() -> None:
    """40 to 70 % lie within 21.5 mV a cell (references 4.1): another reading is asked for."""
    flat = LFP_SUPPLY.open_circuit_voltage[55]
    found = charge_from_voltage(LFP_SUPPLY, Chemistry.LFP, 12, float(flat))
    answer = connect_check(LFP, LFP_SUPPLY, [RestReading(voltage=float(flat))] * 2)

    assert found.low < 0.45
    assert found.high > 0.68
    assert not found.is_told
    assert answer.cannot_tell == (0, 1)
    assert not answer.may_join
    assert "another reading" in answer.first[0]
    told = connect_check(LFP, LFP_SUPPLY, [RestReading(charge=0.55)] * 2)
    assert told.may_join


def test_the_voltage_of_nickel_cells_does() -> None:
    found = charge_from_voltage(SUPPLY, Chemistry.NMC811, 13, float(SUPPLY.open_circuit_voltage[50]))

    assert found.value == pytest.approx(0.5, abs=1e-9)
    assert found.is_told
    assert found.high - found.low < 0.04  # 9.5 mV a per cent near the middle (references 4.1)


def test_a_weak_joint_forbids_what_the_modules_would_bear() -> None:
    readings = [RestReading(charge=0.60), RestReading(charge=0.50)]
    free = connect_check(NICKEL_MODULE, SUPPLY, readings)
    bound = connect_check(NICKEL_MODULE, SUPPLY, readings, joint_limit=0.5)

    assert free.may_join
    assert free.peak_joint == pytest.approx(free.peak_current[0])
    assert any("A contact would carry" in reason for reason in bound.reasons)
    assert 0.0 < free.settled < math.inf


def test_readings_that_cannot_be_are_refused() -> None:
    with pytest.raises(InputError, match="2 or more"):
        connect_check(NICKEL_MODULE, SUPPLY, [RestReading(charge=0.5)])
    with pytest.raises(InputError, match="another kind of module"):
        connect_check(NICKEL_MODULE, SUPPLY, [RestReading(voltage=60.0), RestReading(charge=0.5)])
    with pytest.raises(InputError, match="may be damaged"):
        connect_check(NICKEL_MODULE, SUPPLY, [RestReading(voltage=20.0), RestReading(charge=0.5)])
    with pytest.raises(InputError, match="in its place"):
        connect_check(NICKEL_MODULE, SUPPLY, [RestReading(), RestReading(charge=0.5)])
    with pytest.raises(InputError, match="charge_pct"):
        connect_check(NICKEL_MODULE, SUPPLY, [RestReading(charge=1.5), RestReading(charge=0.5)])
