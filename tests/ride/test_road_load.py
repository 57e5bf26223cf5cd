"""Road load against the worked trial of Martin et al. 1998 and closed forms; and its laws."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference_values import reference
from wattwright.errors import InputError, OutsideRangeError
from wattwright.ride.road_load import (
    DRIVETRAIN_EFFICIENCY,
    WHEEL_DRAG_AREA,
    RoadLoad,
    aerodynamic_force,
    bearing_force,
    crank_power,
    equivalent_mass,
    grade_force,
    inertia_force,
    kinetic_energy,
    kinetic_power,
    potential_energy,
    rolling_force,
    slope_cosine,
    slope_sine,
    steady_speed,
    wheel_force,
    wheel_power,
)
from wattwright.ride.wind import headwind, yaw
from wattwright.units import metres_per_second_from_km_h, radians_from_degrees, watt_hours_from_joules

PLAIN = RoadLoad(
    mass=110.0, drag_area=0.60, rolling_coefficient=0.008, density=1.225, has_bearing_friction=False
)
TRIAL_SPEED = 8.36
TRIAL_GRAVITY = 9.81


def km_h(speed_km_h: float) -> float:
    return metres_per_second_from_km_h(speed_km_h)


def watt_hours_per_km(power: float, speed: float) -> float:
    return watt_hours_from_joules(power / speed * 1000.0)


def trial_headwind() -> float:
    """Wind 2.94 m/s from 310°, heading 340°."""
    return headwind(radians_from_degrees(340.0), 2.94, radians_from_degrees(310.0))


def trial_powers() -> dict[str, float]:
    """The terms of the worked trial, in watts."""
    aero = aerodynamic_force(TRIAL_SPEED, trial_headwind(), 1.2234, 0.2565 + WHEEL_DRAG_AREA)
    rolling = rolling_force(90.0, 0.0032, 0.003, gravity=TRIAL_GRAVITY)
    gravity = grade_force(90.0, 0.003, gravity=TRIAL_GRAVITY)
    return {
        "R1a": aero * TRIAL_SPEED,
        "R1b": rolling * TRIAL_SPEED,
        "R1c": bearing_force(TRIAL_SPEED) * TRIAL_SPEED,
        "R1d": gravity * TRIAL_SPEED,
        "R1e": kinetic_power(8.28, 8.45, 56.42, 90.0, equivalent_mass(0.14, 0.311)),
    }


@pytest.mark.parametrize("name", ["R1a", "R1b", "R1c", "R1d", "R1e"])
def test_each_term_of_the_worked_trial(name: str) -> None:
    """Rows R1a to R1e: Martin et al. 1998, inputs (memory), terms recomputed."""
    assert trial_powers()[name] == reference(name).approx()


def test_worked_trial_asks_for_213_watts() -> None:
    """Row R1: Martin et al. 1998, inputs (memory); the paper prints about 213 W (memory)."""
    assert crank_power(sum(trial_powers().values()), DRIVETRAIN_EFFICIENCY) == reference("R1").approx()


def test_worked_trial_meets_the_wind_at_a_slant() -> None:
    """Row R1f, and references.md 1.1: yaw 7.676°."""
    assert TRIAL_SPEED + trial_headwind() == reference("R1f").approx()
    angle = yaw(TRIAL_SPEED, radians_from_degrees(340.0), 2.94, radians_from_degrees(310.0))
    assert abs(math.degrees(angle)) == pytest.approx(7.676, abs=5e-4)


@pytest.mark.parametrize(
    ("name", "speed_km_h", "grade", "wind"),
    [
        ("R2", 25.0, 0.0, 0.0),
        ("R3", 12.0, 0.08, 0.0),
        ("R4", 25.0, 0.0, 5.0),
        ("R5", 15.0, 0.0, -8.0),
        ("R6", 30.0, -0.05, 0.0),
    ],
)
def test_wheel_power_and_energy_by_km(name: str, speed_km_h: float, grade: float, wind: float) -> None:
    """Rows R2 to R6 and R2e to R6e: closed forms."""
    speed = km_h(speed_km_h)

    power = wheel_power(speed, replace(PLAIN, grade=grade, headwind=wind))

    assert power == reference(name).approx()
    assert watt_hours_per_km(power, speed) == reference(f"{name}e").approx()


def test_bearings_add_a_watt_at_25_km_h() -> None:
    """references.md 1.1: R2 with the bearing term, 184.056 W, 7.3622 Wh/km."""
    speed = km_h(25.0)

    power = wheel_power(speed, replace(PLAIN, has_bearing_friction=True))

    assert power == pytest.approx(184.056, abs=0.01)
    assert watt_hours_per_km(power, speed) == pytest.approx(7.3622, abs=0.001)


def test_coasting_down_five_per_cent() -> None:
    """Row R7: closed form."""
    assert steady_speed(0.0, replace(PLAIN, grade=-0.05)) == reference("R7").approx()


@pytest.mark.parametrize(("index", "grade"), [(0, 0.0), (1, 0.06)])
def test_speed_that_200_watts_hold(index: int, grade: float) -> None:
    """Row R8: closed form."""
    assert steady_speed(200.0, replace(PLAIN, grade=grade)) == reference("R8").approx(index)


def test_energy_of_height_and_of_motion() -> None:
    """Row R9: closed form."""
    row = reference("R9")

    assert watt_hours_from_joules(potential_energy(100.0, 110.0)) == row.approx(0)
    assert watt_hours_from_joules(kinetic_energy(km_h(25.0), 110.0)) == row.approx(1)


def test_wheels_weigh_a_kilogram_and_a_half_more_when_speeding_up() -> None:
    """Row R10: Martin's form."""
    wheel_mass = equivalent_mass(0.14, 0.311)

    assert wheel_mass == reference("R10").approx()
    assert inertia_force(1.0, 90.0, wheel_mass) == pytest.approx(90.0 + wheel_mass)


@given(grade=st.floats(-0.4, 0.4))
def test_slope_is_that_of_the_angle(grade: float) -> None:
    """Sibling: against the library's own trigonometry."""
    assert slope_sine(grade) == pytest.approx(math.sin(math.atan(grade)), abs=1e-12)
    assert slope_cosine(grade) == pytest.approx(math.cos(math.atan(grade)), abs=1e-12)


@given(
    speed=st.floats(0.0, 25.0),
    wind=st.floats(-20.0, 20.0),
    density=st.floats(0.8, 1.4),
    area=st.floats(0.1, 1.0),
)
def test_drag_pushes_exactly_where_the_tailwind_is_faster(
    speed: float, wind: float, density: float, area: float
) -> None:
    """Law: the force is odd in the apparent wind, and never less for more headwind."""
    force = aerodynamic_force(speed, wind, density, area)

    assert math.copysign(1.0, force) == math.copysign(1.0, speed + wind)
    assert aerodynamic_force(-speed, -wind, density, area) == -force
    assert aerodynamic_force(speed, wind + 1.0, density, area) > force


loads = st.builds(
    RoadLoad,
    mass=st.floats(40.0, 250.0),
    drag_area=st.floats(0.2, 1.2),
    rolling_coefficient=st.floats(0.002, 0.03),
    density=st.floats(0.8, 1.4),
    grade=st.floats(-0.2, 0.2),
    headwind=st.floats(-15.0, 15.0),
    has_bearing_friction=st.booleans(),
)


@given(load=loads, power=st.floats(1.0, 1500.0))
def test_steady_speed_needs_the_power_it_was_asked_for(load: RoadLoad, power: float) -> None:
    speed = steady_speed(power, load)

    assert wheel_power(speed, load) == pytest.approx(power, abs=1e-4)
    assert steady_speed(power + 10.0, load) > speed


@given(load=loads)
def test_coasting_balances_or_stands(load: RoadLoad) -> None:
    speed = steady_speed(0.0, load)

    if speed > 0.0:
        assert wheel_force(speed, load) == pytest.approx(0.0, abs=1e-5)
    else:
        assert wheel_force(0.0, load) >= 0.0


@given(load=loads, speed=st.floats(0.5, 15.0))
def test_more_mass_drag_or_headwind_never_lowers_the_force_on_the_flat_or_uphill(
    load: RoadLoad, speed: float
) -> None:
    """Law of the issue: at held speed. Drag area needs air from ahead, mass a road that does not fall."""
    level = replace(load, grade=abs(load.grade))
    force = wheel_force(speed, level)

    assert wheel_force(speed, replace(level, mass=level.mass + 5.0)) >= force
    assert wheel_force(speed, replace(level, headwind=level.headwind + 1.0)) >= force
    if speed + level.headwind >= 0.0:
        assert wheel_force(speed, replace(level, drag_area=level.drag_area + 0.1)) >= force
        assert wheel_force(speed, replace(level, density=level.density + 0.05)) >= force


def test_forces_take_lanes() -> None:
    speeds = np.array([2.0, 7.0, 12.0])

    forces = wheel_force(speeds, replace(PLAIN, grade=0.03, headwind=2.0))

    assert forces.shape == (3,)
    assert forces[1] == pytest.approx(wheel_force(7.0, replace(PLAIN, grade=0.03, headwind=2.0)), rel=1e-15)
    assert rolling_force(np.array([90.0, 110.0]), np.array([0.006, 0.008])).shape == (2,)
    assert crank_power(np.array([-50.0, 50.0]), 0.5).tolist() == [0.0, 100.0]


def test_braking_power_holds_no_one_speed() -> None:
    with pytest.raises(InputError, match="power_w"):
        steady_speed(-10.0, PLAIN)
    with pytest.raises(InputError, match="power_w"):
        steady_speed(float("nan"), PLAIN)


def test_a_megawatt_is_refused() -> None:
    with pytest.raises(OutsideRangeError, match="150 m/s"):
        steady_speed(1e7, PLAIN)
