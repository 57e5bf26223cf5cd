"""The tables a drive gets of a pack, and what cold and age make of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.supply import lane_factors, supply_of

CELL = open_circuit_table(NICKEL_MODULE.chemistry).voltage


def test_the_supply_is_one_module_and_a_count() -> None:
    supply = supply_of(NICKEL_MODULE, 4, CELL)

    assert supply.modules == 4
    assert supply.open_circuit_voltage.shape == supply.resistance.shape == (101,)
    assert supply.open_circuit_voltage[100] == pytest.approx(54.6)
    assert supply.open_circuit_voltage[50] == pytest.approx(13 * 3.7509, abs=13 * 0.002)
    assert supply.capacity == NICKEL_MODULE.capacity
    assert supply.protection == NICKEL_MODULE.discharge_protection


def test_the_factors_are_one_when_new_and_warm() -> None:
    capacity, resistance = lane_factors(NICKEL_MODULE, 298.15)

    assert float(capacity) == 1.0
    assert float(resistance) == 1.0


def test_cold_and_age_multiply_lane_by_lane() -> None:
    capacity, resistance = lane_factors(
        NICKEL_MODULE,
        np.array([298.15, 273.15]),
        capacity_left=np.array([0.8, 0.8]),
        resistance_risen=1.5,
    )

    assert capacity == pytest.approx([0.8, 0.8 * 0.924])
    assert resistance == pytest.approx([1.5, 1.5 * 2.0926], abs=2e-4)


@given(temperature=st.floats(243, 320), colder=st.floats(0, 30), left=st.floats(0.1, 1))
def test_colder_never_gives_more_charge_nor_less_resistance(
    temperature: float, colder: float, left: float
) -> None:
    warm, cold = (
        lane_factors(NICKEL_MODULE, t, capacity_left=left) for t in (temperature, temperature - colder)
    )

    assert cold[0] <= warm[0]
    assert cold[1] >= warm[1]


@pytest.mark.parametrize("share", [0.0, -0.2, float("nan")])
def test_a_pack_with_no_capacity_left_is_refused(share: float) -> None:
    with pytest.raises(InputError, match="capacity_left_pct"):
        lane_factors(NICKEL_MODULE, 280.0, capacity_left=share)


def test_no_module_and_a_short_table_are_refused() -> None:
    with pytest.raises(InputError, match="modules"):
        supply_of(NICKEL_MODULE, 0, CELL)
    with pytest.raises(InputError, match="101"):
        supply_of(NICKEL_MODULE, 1, CELL[::5])
