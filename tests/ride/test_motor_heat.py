"""Heat in the motor: energy, steady state, and the implicit step against the exact solution."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wattwright.errors import OutsideRangeError
from wattwright.parts.drive import Motor
from wattwright.ride.motor import winding_resistance
from wattwright.ride.motor_heat import continuous_current, housing_conductance, steady_temperatures, warmed

MOTOR = Motor(
    torque_constant=1.0, resistance=0.15, no_load_current=0.8, winding_heat_capacity=350.0,
    housing_heat_capacity=2400.0, winding_to_housing=0.25, housing_to_air=0.45, airflow_gain=0.25,
    rollback_start=383.15, hottest_winding=423.15,
)  # fmt: skip
"""Invented values of a hub motor's size."""
AIR = 293.15

kelvins = st.floats(255.0, 420.0)
losses = st.floats(0.0, 400.0)


@given(
    winding=kelvins, housing=kelvins, copper=losses, iron=losses, air=st.floats(255.0, 315.0),
    past=st.floats(-5.0, 15.0), duration=st.floats(0.05, 7200.0),
)  # fmt: skip
def test_no_heat_is_lost(
    *, winding: float, housing: float, copper: float, iron: float, air: float, past: float, duration: float
) -> None:
    """Law: stored = given − taken by the air, for steps of any length."""
    after = warmed(
        winding, housing, MOTOR, copper_loss=copper, no_load_loss=iron, air_temperature=air, air_speed=past,
        duration=duration,
    )  # fmt: skip
    stored = MOTOR.winding_heat_capacity * (after[0] - winding) + MOTOR.housing_heat_capacity * (
        after[1] - housing
    )
    taken = housing_conductance(past, MOTOR) * (after[1] - air) * duration

    assert stored == pytest.approx((copper + iron) * duration - taken, rel=1e-9, abs=1e-4)


@given(winding=kelvins, housing=kelvins, copper=losses, duration=st.floats(0.05, 1e5))
def test_no_step_overshoots(winding: float, housing: float, copper: float, duration: float) -> None:
    """Law: temperatures stay between the coldest and the hottest that drive them."""
    after = warmed(
        winding, housing, MOTOR, copper_loss=copper, no_load_loss=0.0, air_temperature=AIR, air_speed=0.0,
        duration=duration,
    )  # fmt: skip
    hottest = max(winding, housing, AIR) + copper * (MOTOR.winding_to_housing + MOTOR.housing_to_air)

    assert min(winding, housing, AIR) - 1e-9 <= min(after)
    assert max(after) <= hottest + 1e-9


def test_steady_state_is_the_hand_calculation() -> None:
    """150 W copper, 30 W no-load, still air at 20 °C: housing 180 W · 0.45, winding 150 W · 0.25 above it."""
    steady = warmed(
        AIR, AIR, MOTOR, copper_loss=150.0, no_load_loss=30.0, air_temperature=AIR, air_speed=0.0,
        duration=1e12,
    )  # fmt: skip

    assert steady[1] - AIR == pytest.approx(180.0 * 0.45, abs=1e-5)
    assert steady[0] - steady[1] == pytest.approx(150.0 * 0.25, abs=1e-5)


def test_steady_temperatures_are_where_many_small_steps_end() -> None:
    """Sibling: the closed form with warm copper against an hour-long march, 18 A, 4 m/s."""
    winding = housing = AIR
    for _ in range(4000):
        copper = 18.0**2 * winding_resistance(winding, MOTOR)
        winding, housing = warmed(
            winding, housing, MOTOR, copper_loss=copper, no_load_loss=12.0, air_temperature=AIR,
            air_speed=4.0, duration=5.0,
        )  # fmt: skip

    assert steady_temperatures(MOTOR, 18.0, 12.0, AIR, 4.0) == pytest.approx((winding, housing), abs=1e-3)


def exact(duration: float, copper: float, iron: float) -> np.ndarray:
    """Winding and housing after a time from cold, by the matrix exponential; the independent solution."""
    linalg = pytest.importorskip("scipy.linalg")
    across, outside = 1.0 / MOTOR.winding_to_housing, housing_conductance(0.0, MOTOR)
    heat = np.diag([1.0 / MOTOR.winding_heat_capacity, 1.0 / MOTOR.housing_heat_capacity])
    flow = heat @ np.array([[-across, across], [across, -across - outside]])
    steady = np.linalg.solve(-flow, heat @ np.array([copper, iron]))
    return AIR + steady - linalg.expm(flow * duration) @ steady


@pytest.mark.parametrize(("step", "worst"), [(0.5, 0.07), (1.0, 0.14), (2.0, 0.28), (10.0, 1.35)])
def test_steps_follow_the_exact_solution(step: float, worst: float) -> None:
    """Sibling: 300 W into the cold winding for ten minutes; first order: half the step, half the error."""
    winding = housing = AIR
    error = 0.0
    for count in range(1, round(600.0 / step) + 1):
        winding, housing = warmed(
            winding, housing, MOTOR, copper_loss=300.0, no_load_loss=20.0, air_temperature=AIR, air_speed=0.0,
            duration=step,
        )  # fmt: skip
        error = max(error, abs(winding - exact(count * step, 300.0, 20.0)[0]))

    assert 0.9 * worst < error < worst


def test_continuous_current_holds_exactly_the_temperature() -> None:
    current = continuous_current(MOTOR, 383.15, 15.0, AIR, 5.0)

    assert steady_temperatures(MOTOR, current, 15.0, AIR, 5.0)[0] == pytest.approx(383.15, abs=1e-9)
    assert continuous_current(MOTOR, 300.0, 500.0, AIR, 0.0) == 0.0


def test_too_much_current_runs_away_and_says_where() -> None:
    """Hand: k = 1/α at I = 1/√(0.00393 · 0.15 · 0.7) = 49.2 A."""
    with pytest.raises(OutsideRangeError, match=r"below 49\.2 A"):
        steady_temperatures(MOTOR, 50.0, 0.0, AIR, 0.0)


def test_moving_air_cools_and_wind_from_behind_does_not_heat() -> None:
    assert housing_conductance(8.0, MOTOR) == pytest.approx(3.0 / 0.45)
    assert housing_conductance(-3.0, MOTOR) == pytest.approx(1.0 / 0.45)
    assert steady_temperatures(MOTOR, 15.0, 10.0, AIR, 8.0) < steady_temperatures(MOTOR, 15.0, 10.0, AIR, 0.0)


def test_heat_takes_lanes() -> None:
    lanes = np.array([290.0, 330.0, 400.0])
    together = warmed(
        lanes, 300.0, MOTOR, copper_loss=np.array([0.0, 50.0, 200.0]), no_load_loss=5.0, air_temperature=AIR,
        air_speed=4.0, duration=2.0,
    )  # fmt: skip
    alone = warmed(
        330.0, 300.0, MOTOR, copper_loss=50.0, no_load_loss=5.0, air_temperature=AIR, air_speed=4.0,
        duration=2.0,
    )  # fmt: skip

    assert (together[0][1], together[1][1]) == pytest.approx(alone, rel=1e-14)
