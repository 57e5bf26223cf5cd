"""Motor and controller against the check rows, and their laws."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference_values import reference
from wattwright.parts.drive import (
    AssistKind,
    AssistLaw,
    Controller,
    Drive,
    Motor,
    MotorPosition,
)
from wattwright.ride.motor import (
    NEODYMIUM_COEFFICIENT,
    OperatingPoint,
    battery_current,
    best_efficiency,
    copper_resistance_change,
    copper_resistance_ratio,
    duty,
    duty_current_limit,
    full_duty_point,
    highest_torque,
    hub_motor_speed,
    hub_no_load_speed,
    idle_drag_torque,
    motor_current,
    no_load_speed,
    operating_point,
    output_torque,
    power_current_limit,
    regeneration_current_limit,
    rollback,
    shaft_torque,
    torque_constant,
    winding_resistance,
)
from wattwright.units import (
    kelvin_from_celsius,
    radians_per_second_from_rpm,
    rpm_from_radians_per_second,
    torque_constant_from_speed_constant,
)

MOTOR = Motor(
    torque_constant=torque_constant_from_speed_constant(9.2),
    resistance=0.15,
    no_load_current=0.8,
    winding_heat_capacity=350.0,
    housing_heat_capacity=2400.0,
    winding_to_housing=0.25,
    housing_to_air=0.45,
    airflow_gain=0.25,
    rollback_start=kelvin_from_celsius(110.0),
    hottest_winding=kelvin_from_celsius(150.0),
)
"""The motor of references.md topic 3; thermal values invented."""
DRIVE = Drive(
    name="example",
    title="Example",
    position=MotorPosition.HUB,
    motor=MOTOR,
    controller=Controller(
        battery_current_limit=20.0,
        phase_current_limit=55.0,
        regeneration_current_limit=8.0,
        efficiency=0.95,
        standby_power=1.5,
        rollback_start_voltage=33.0,
        cutoff_voltage=30.0,
        maximum_voltage=45.0,
    ),
    assist=AssistLaw(
        kind=AssistKind.HELD_POWER, multiple=0.0, power=250.0, speed=0.0, fade_start=6.0, cutoff=7.0
    ),
    gear_ratio=1.0,
    gear_efficiency=1.0,
    freewheels=False,
    peak_torque=60.0,
    rated_power=250.0,
    mass=4.0,
    price=400.0,
)

speeds = st.floats(0.5, 60.0)
torques = st.floats(-60.0, 60.0)
windings = st.floats(250.0, 430.0)


def at(torque: float, speed_rpm: float) -> OperatingPoint[float]:
    return operating_point(torque, radians_per_second_from_rpm(speed_rpm), MOTOR)


def test_torque_constant_from_speed_constant() -> None:
    """Row M1: Kt = 60/(2π Kv)."""
    assert MOTOR.torque_constant == reference("M1").approx()


@pytest.mark.parametrize("index", range(5))
def test_full_duty_at_250_rpm(index: int) -> None:
    """Row M2: closed form."""
    point = full_duty_point(radians_per_second_from_rpm(250.0), 36.0, MOTOR)
    found = (point.current, point.torque, point.shaft_power, point.electrical_power, point.efficiency)

    assert found[index] == reference("M2").approx(index)


@pytest.mark.parametrize(
    ("speed_rpm", "amperes", "torque", "out", "into", "efficiency"),
    [
        (150.0, 131.30, 135.46, 2127.8, 4727.0, 0.4501),
        (200.0, 95.07, 97.85, 2049.4, 3422.6, 0.5988),
        (300.0, 22.61, 22.64, 711.2, 813.9, 0.8737),
    ],
)
def test_full_duty_table(
    *, speed_rpm: float, amperes: float, torque: float, out: float, into: float, efficiency: float
) -> None:
    """references.md topic 3, relative 1e-3: computed there from the closed form."""
    point = full_duty_point(radians_per_second_from_rpm(speed_rpm), 36.0, MOTOR)

    assert point.current == pytest.approx(amperes, rel=1e-3)
    assert point.torque == pytest.approx(torque, rel=1e-3)
    assert point.shaft_power == pytest.approx(out, rel=1e-3)
    assert point.electrical_power == pytest.approx(into, rel=1e-3)
    assert point.efficiency == pytest.approx(efficiency, rel=1e-3)


def test_best_efficiency_and_no_load_speed() -> None:
    """Row M3: √(I₀ V/R), (1 − √(I₀ R/V))²."""
    row = reference("M3")
    current, efficiency, speed = best_efficiency(MOTOR, 36.0)

    assert current == row.approx(0)
    assert efficiency == row.approx(1)
    assert rpm_from_radians_per_second(speed) == row.approx(2)
    assert rpm_from_radians_per_second(no_load_speed(MOTOR, 36.0)) == row.approx(3)


def test_commanded_torque_at_200_rpm() -> None:
    """Row M4: closed form, loss-free step-down."""
    row = reference("M4")
    point = at(20.0, 200.0)
    found = (
        point.current,
        point.voltage,
        duty(point.voltage, 36.0),
        battery_current(point.electrical_power, 36.0),
    )

    for index, value in enumerate((*found, point.efficiency)):
        assert value == row.approx(index)


def test_commanded_torque_at_60_rpm() -> None:
    """Row M5: closed form; phase current three times the battery's."""
    row = reference("M5")
    point = at(35.0, 60.0)

    assert point.current == row.approx(0)
    assert battery_current(point.electrical_power, 36.0) == row.approx(1)
    assert point.efficiency == row.approx(2)
    assert point.current / battery_current(point.electrical_power, 36.0) == pytest.approx(3.08, abs=0.005)


def test_third_command_of_the_table() -> None:
    """references.md topic 3: 8 N·m at 250 rpm."""
    point = at(8.0, 250.0)

    assert point.current == pytest.approx(8.507, rel=1e-3)
    assert duty(point.voltage, 36.0) == pytest.approx(0.7903, rel=1e-3)
    assert battery_current(point.electrical_power, 36.0) == pytest.approx(6.723, rel=1e-3)
    assert point.efficiency == pytest.approx(0.8653, rel=1e-3)


def test_copper_by_both_forms() -> None:
    """Row M6: IEC 60028 (memory)."""
    row = reference("M6")
    hot = kelvin_from_celsius(100.0)

    assert copper_resistance_ratio(hot) == row.approx(0)
    assert copper_resistance_change(hot, kelvin_from_celsius(25.0)) == row.approx(1)
    # Sibling: the coefficient is 1 / (234.5 + 20), rounded.
    assert copper_resistance_change(hot, kelvin_from_celsius(20.0)) == pytest.approx(row.values[0], abs=1e-4)


@given(torque=torques, speed=speeds, winding=windings)
def test_power_in_is_power_out_and_losses(torque: float, speed: float, winding: float) -> None:
    """Law, driving and braking alike."""
    point = operating_point(torque, speed, MOTOR, winding_temperature=winding)

    balance = point.shaft_power + point.copper_loss + point.no_load_loss
    assert point.electrical_power == pytest.approx(balance, rel=1e-9, abs=1e-9)
    assert point.copper_loss >= 0.0
    assert point.no_load_loss >= 0.0


@given(torque=torques, speed=speeds, winding=windings)
def test_efficiency_lies_between_0_and_1(torque: float, speed: float, winding: float) -> None:
    """Law: and what comes back to the pack is never more than what the brake took."""
    point = operating_point(torque, speed, MOTOR, winding_temperature=winding)

    assert 0.0 <= point.efficiency < 1.0
    if torque < 0.0:
        assert point.electrical_power >= point.shaft_power


@given(voltage=st.floats(20.0, 60.0), resistance=st.floats(0.02, 0.6), no_load=st.floats(0.1, 2.0))
def test_best_efficiency_is_the_highest_to_be_found(
    voltage: float, resistance: float, no_load: float
) -> None:
    """Sibling: the formula against a search along the whole full-duty line."""
    motor = replace(MOTOR, resistance=resistance, no_load_current=no_load)
    current, efficiency, speed = best_efficiency(motor, voltage)
    line = np.linspace(0.001, 0.9999, 20_001) * no_load_speed(motor, voltage)

    found = full_duty_point(line, voltage, motor).efficiency

    assert found.max() <= efficiency + 1e-12
    assert found.max() == pytest.approx(efficiency, abs=2e-6)
    assert full_duty_point(speed, voltage, motor).current == pytest.approx(current, rel=1e-9)


@given(speed=speeds, power=st.floats(0.0, 3000.0), winding=windings)
def test_battery_power_limit_is_met_exactly(speed: float, power: float, winding: float) -> None:
    current = power_current_limit(speed, power, MOTOR, winding_temperature=winding)
    point = operating_point(shaft_torque(current, MOTOR), speed, MOTOR, winding_temperature=winding)

    assert current >= 0.0
    assert point.electrical_power == pytest.approx(power, rel=1e-6, abs=1e-6)


@given(speed=speeds, power=st.floats(0.0, 3000.0), winding=windings)
def test_regeneration_limit_returns_what_it_may_or_the_most_there_is(
    speed: float, power: float, winding: float
) -> None:
    current = regeneration_current_limit(speed, power, MOTOR, winding_temperature=winding)
    resistance = winding_resistance(winding, MOTOR)
    back_voltage = MOTOR.torque_constant * speed
    most = back_voltage**2 / (4.0 * resistance)
    point = operating_point(shaft_torque(current, MOTOR), speed, MOTOR, winding_temperature=winding)

    assert current <= 0.0
    assert -point.electrical_power == pytest.approx(min(power, most), rel=1e-6, abs=1e-6)
    # No other current returns more.
    assert all(
        -amperes * (back_voltage + amperes * resistance) <= most + 1e-9 for amperes in (-1.0, -20.0, -90.0)
    )


def test_regeneration_charges_the_battery_and_loses_on_the_way() -> None:
    """Braking 20 N·m at 200 rpm, worked by hand from the model's equations."""
    point = at(-20.0, 200.0)
    current = -20.0 / 1.037967 + 0.8
    voltage = 1.037967 * 20.943951 + current * 0.15

    assert point.current == pytest.approx(current, rel=1e-6)
    assert point.voltage == pytest.approx(voltage, rel=1e-6)
    assert battery_current(point.electrical_power, 36.0, 0.95) == pytest.approx(
        voltage * current / 36.0 * 0.95, rel=1e-6
    )
    assert battery_current(point.electrical_power, 36.0, 0.95) < 0.0
    assert point.efficiency == pytest.approx(voltage * current / (-20.0 * 20.943951), rel=1e-6)


def test_slow_hard_braking_costs_the_battery() -> None:
    """Law: below E = −I R nothing comes back, and the efficiency says 0."""
    point = at(-40.0, 30.0)

    assert point.electrical_power > 0.0
    assert battery_current(point.electrical_power, 36.0) > 0.0
    assert point.efficiency == 0.0


@given(speed=st.floats(0.0, 60.0), volts=st.floats(25.0, 45.0), limit=st.floats(0.0, 30.0), winding=windings)
def test_highest_torque_breaks_no_limit_and_leaves_none_unused(
    speed: float, volts: float, limit: float, winding: float
) -> None:
    torque = highest_torque(
        speed, DRIVE, battery_voltage=volts, battery_current_limit=limit, winding_temperature=winding
    )
    point = operating_point(torque, speed, MOTOR, winding_temperature=winding)
    drawn = battery_current(point.electrical_power, volts, DRIVE.controller.efficiency)
    phase = DRIVE.controller.phase_current_limit * rollback(
        winding, MOTOR.rollback_start, MOTOR.hottest_winding
    )

    assert torque >= 0.0
    if torque > 0.0:
        slack = (
            limit - drawn,
            phase - point.current,
            1.0 - duty(point.voltage, volts),
            DRIVE.peak_torque - torque,
        )
        assert min(slack) == pytest.approx(0.0, abs=1e-6)


@given(speed=speeds, volts=st.floats(25.0, 45.0), winding=windings, less=st.floats(0.0, 10.0))
def test_a_weaker_pack_or_a_hotter_motor_never_pulls_harder(
    speed: float, volts: float, winding: float, less: float
) -> None:
    torque = highest_torque(
        speed, DRIVE, battery_voltage=volts, battery_current_limit=20.0, winding_temperature=winding
    )

    for changed in (
        {"battery_voltage": volts - less},
        {"battery_current_limit": 20.0 - less},
        {"winding_temperature": winding + less},
    ):
        limits = {"battery_voltage": volts, "battery_current_limit": 20.0, "winding_temperature": winding}
        assert highest_torque(speed, DRIVE, **{**limits, **changed}) <= torque + 1e-9


def test_rollback_falls_both_ways() -> None:
    assert [rollback(t, 380.0, 400.0) for t in (300.0, 380.0, 395.0, 400.0, 500.0)] == [
        1.0,
        1.0,
        0.25,
        0.0,
        0.0,
    ]
    assert [rollback(v, 36.0, 32.0) for v in (40.0, 36.0, 33.0, 32.0, 20.0)] == [1.0, 1.0, 0.25, 0.0, 0.0]


def test_reduction_loses_both_ways() -> None:
    """Law: geared power out is η of power in, driving; braking, the motor gets η of what the wheel gives."""
    geared = replace(DRIVE, gear_ratio=5.0, gear_efficiency=0.9)

    assert output_torque(10.0, geared) == pytest.approx(45.0)
    assert output_torque(-9.0, geared) == pytest.approx(-50.0)


def test_idle_motor_drags_only_where_it_cannot_let_go() -> None:
    assert idle_drag_torque(DRIVE) == pytest.approx(1.037967 * 0.8, rel=1e-6)
    assert idle_drag_torque(replace(DRIVE, freewheels=True)) == 0.0


def test_hub_motor_turns_with_the_wheel() -> None:
    """Row M3's no-load speed on a wheel of 0.34 m, by hand: 330.096 rpm, 11.75 m/s."""
    assert hub_no_load_speed(DRIVE, 36.0, 0.34) == pytest.approx(
        330.096 * 2.0 * math.pi / 60.0 * 0.34, rel=1e-5
    )
    assert hub_motor_speed(hub_no_load_speed(DRIVE, 36.0, 0.34), 0.34, 1.0) == pytest.approx(
        no_load_speed(MOTOR, 36.0)
    )


def test_warm_magnets_pull_less() -> None:
    assert torque_constant(MOTOR, 353.15, NEODYMIUM_COEFFICIENT) == pytest.approx(
        MOTOR.torque_constant * 0.934
    )
    assert torque_constant(MOTOR, 353.15) == MOTOR.torque_constant


def test_formulas_take_lanes() -> None:
    torque = np.array([-20.0, 5.0, 30.0])
    turning = np.array([10.0, 20.0, 30.0])
    points = operating_point(torque, turning, MOTOR, winding_temperature=350.0)
    limits = highest_torque(
        turning, DRIVE, battery_voltage=36.0, battery_current_limit=20.0, winding_temperature=350.0
    )

    for lane in range(3):
        alone = operating_point(float(torque[lane]), float(turning[lane]), MOTOR, winding_temperature=350.0)
        assert points.electrical_power[lane] == pytest.approx(alone.electrical_power, rel=1e-14)
        assert points.efficiency[lane] == pytest.approx(alone.efficiency, rel=1e-14)
        assert limits[lane] == pytest.approx(
            highest_torque(
                float(turning[lane]),
                DRIVE,
                battery_voltage=36.0,
                battery_current_limit=20.0,
                winding_temperature=350.0,
            ),
            rel=1e-14,
        )
    assert duty_current_limit(turning, 36.0, MOTOR).shape == (3,)
    assert motor_current(shaft_torque(torque, MOTOR), MOTOR) == pytest.approx(torque)
