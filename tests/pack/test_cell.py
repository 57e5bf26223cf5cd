"""One module in time: check rows, laws, a plain reference of the compiled loop."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from reference_values import reference
from wattwright.errors import InputError, OutsideRangeError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.pack.cell import Course, course_of, current_for_power, power_ceiling
from wattwright.pack.open_circuit import mean_voltage, voltage_at
from wattwright.pack.supply import lane_factors, supply_of
from wattwright.parts.supply import Supply
from wattwright.units import FloatArray

SUPPLY = supply_of(NICKEL_MODULE, 1, open_circuit_table(NICKEL_MODULE.chemistry).voltage)


def flat_source(volts: float, r0: float, r1: float, time_constant: float, capacity: float) -> Supply:
    """A source that does not change with charge."""
    return Supply(
        modules=1,
        open_circuit_voltage=np.full(2, volts),
        resistance=np.full(2, r0),
        relaxation_resistance=np.full(2, r1),
        relaxation_time=time_constant,
        capacity=capacity,
        protection=(),
        minimum_voltage=0.0,
        maximum_voltage=volts,
        regeneration_current=0.0,
    )


@pytest.mark.parametrize("step", [1.0, 10.0])
def test_drop_under_a_steady_current_matches_the_check_row(step: float) -> None:
    """C7: 30 mΩ, 20 mΩ, 1000 F, 5 A at 0, 10, 20, 60 s; exact whatever the step."""
    row = reference("C7")
    time = np.arange(0.0, 61.0, step)
    course = course_of(flat_source(3.7, 0.03, 0.02, 20.0, 1e9), time, np.full(len(time), 5.0))
    drop = 3.7 - np.interp([0.0, 10.0, 20.0, 60.0], time, course.voltage)

    assert drop == pytest.approx(row.values, abs=row.tolerance)


def test_constant_power_matches_the_check_row() -> None:
    """C8: 500 W from 36 V behind 0.1 Ω draws 14.47055 A; at most 3240 W."""
    row = reference("C8")

    assert float(current_for_power(500.0, 36.0, 0.1)) == pytest.approx(row.values[0], abs=row.tolerance)
    assert float(power_ceiling(36.0, 0.1)) == pytest.approx(row.values[1], abs=row.tolerance)


def test_more_than_the_ceiling_is_refused_and_the_ceiling_itself_is_half_the_voltage() -> None:
    with pytest.raises(OutsideRangeError, match="3240 W"):
        current_for_power(3241.0, 36.0, 0.1)
    assert float(current_for_power(3240.0, 36.0, 0.1)) == pytest.approx(180.0)


@given(power=st.floats(-2000, 2000), rest=st.floats(30, 60), resistance=st.floats(0.01, 0.1))
def test_the_current_found_gives_the_power_asked(power: float, rest: float, resistance: float) -> None:
    current = float(current_for_power(power, rest, resistance))

    assert current * (rest - resistance * current) == pytest.approx(power, abs=1e-6)


@given(rest=st.floats(30, 60), resistance=st.floats(0.01, 1.0), lowest=st.floats(0, 70))
def test_a_voltage_limit_never_raises_the_power_ceiling(
    rest: float, resistance: float, lowest: float
) -> None:
    limited = float(power_ceiling(rest, resistance, lowest))

    assert 0 <= limited <= float(power_ceiling(rest, resistance)) + 1e-9
    if lowest >= rest:
        assert limited == 0


def plain_course(supply: Supply, time: FloatArray, current: FloatArray, parts: int) -> FloatArray:
    """The same circuit by small trapezoidal steps, written for reading; voltage at each sample."""
    grid = np.linspace(0, 1, len(supply.open_circuit_voltage))
    charge, drop, volts = 1.0, 0.0, []
    for k in range(len(time)):
        if k:
            dt = (time[k] - time[k - 1]) / parts
            for part in range(parts):
                i = current[k - 1] + (current[k] - current[k - 1]) * (part + 0.5) / parts
                r1 = np.interp(charge - 0.5 * i * dt / supply.capacity, grid, supply.relaxation_resistance)
                half = 0.5 * dt / supply.relaxation_time
                drop = (drop * (1 - half) + 2 * half * r1 * i) / (1 + half)
                charge -= i * dt / supply.capacity
        rest = np.interp(charge, grid, supply.open_circuit_voltage)
        volts.append(rest - current[k] * np.interp(charge, grid, supply.resistance) - drop)
    return np.array(volts)


def test_the_compiled_loop_matches_small_steps_of_a_plain_one() -> None:
    """A made-up uneven load; the plain loop takes 200 trapezoidal steps for each second."""
    time = np.concatenate([[0.0], np.cumsum(np.tile([1.0, 0.5, 3.0, 1.0], 10))])
    current = 6 + 5 * np.sin(time)
    course = course_of(SUPPLY, time, current)

    assert course.voltage == pytest.approx(plain_course(SUPPLY, time, current, 200), abs=1e-4)


def held_power(power: float, capacity_factor: float, resistance_factor: float) -> float:
    """Energy a full module gives at a held power down to its lowest voltage, always relaxed, in joules."""
    charge = np.linspace(1, 0, 1001)
    rest = voltage_at(charge, SUPPLY.open_circuit_voltage)
    tables = SUPPLY.resistance + SUPPLY.relaxation_resistance
    resistance = voltage_at(charge, tables) * resistance_factor
    bearable = power <= power_ceiling(rest, resistance, SUPPLY.minimum_voltage)
    last = len(charge) if bearable.all() else int(np.argmin(bearable))
    current = current_for_power(power, rest[:last], resistance[:last])
    return float(power * np.sum(SUPPLY.capacity * capacity_factor / 1000 / current))


@given(power=st.floats(5, 500), temperature=st.floats(250, 310), colder=st.floats(0, 30))
def test_colder_never_yields_more_energy_at_the_same_power(
    power: float, temperature: float, colder: float
) -> None:
    warm, cold = (
        held_power(power, *(float(factor) for factor in lane_factors(NICKEL_MODULE, kelvin)))
        for kelvin in (temperature, temperature - colder)
    )

    assert cold <= warm * (1 + 1e-12)


def test_a_held_power_gives_less_than_the_rest_voltage_promises() -> None:
    """The invented module marked 93.6 Wh, its 2 Ah at the table's mean of 48.3 V: 96.7 Wh at no load."""
    rest = 7200 * mean_voltage(SUPPLY.open_circuit_voltage)

    assert 0.85 * rest < held_power(50.0, 1.0, 1.0) < rest
    assert held_power(200.0, 1.0, 1.0) < held_power(50.0, 1.0, 1.0)


@settings(deadline=None)  # the first call may compile the loop
@given(current=st.floats(0.5, 10), start=st.floats(0.2, 1))
def test_charge_is_counted_to_the_coulomb(current: float, start: float) -> None:
    course = course_of(SUPPLY, np.array([0.0, 50.0, 100.0]), np.full(3, current), charge=start)

    assert course.charge[-1] == pytest.approx(start - current * 100 / SUPPLY.capacity, abs=1e-12)


def test_energy_and_end_of_a_course() -> None:
    course = Course(
        time=np.array([0.0, 1.0, 2.0]),
        current=np.full(3, 2.0),
        charge=np.zeros(3),
        voltage=np.array([40.0, 39.0, 38.0]),
        relaxation=np.zeros(3),
    )

    assert course.until(38.5) == 2
    assert course.until(30.0) == 3
    assert course.energy() == pytest.approx(156.0)
    assert course.energy(2) == pytest.approx(79.0)


@pytest.mark.parametrize(
    ("time", "current", "more"),
    [
        ([0.0, 1.0], [1.0], {}),
        ([], [], {}),
        ([1.0, 0.0], [1.0, 1.0], {}),
        ([0.0, math.nan], [1.0, 1.0], {}),
        ([0.0, 1.0], [1.0, 1.0], {"charge": 1.2}),
        ([0.0, 1.0], [1.0, 1.0], {"capacity_factor": 0.0}),
        ([0.0, 1.0], [1.0, 1.0], {"resistance_factor": math.nan}),
    ],
)
def test_an_impossible_course_is_refused(
    time: list[float], current: list[float], more: dict[str, float]
) -> None:
    with pytest.raises(InputError):
        course_of(SUPPLY, np.array(time), np.array(current), **more)
