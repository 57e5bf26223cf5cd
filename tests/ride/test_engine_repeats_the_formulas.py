"""Siblings: the compiled engine, ridden until it is steady, against the plain formulas it repeats."""

import math
from dataclasses import replace

import numpy as np
import pytest

from wattwright.parts.battery_module import ProtectionPoint
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import (
    AssistKind,
    AssistLaw,
    Controller,
    Drive,
    Motor,
    MotorPosition,
)
from wattwright.parts.supply import Supply
from wattwright.ride.air import air_density
from wattwright.ride.assist import asked_power
from wattwright.ride.lanes import Lanes
from wattwright.ride.motor import operating_point
from wattwright.ride.motor_heat import steady_temperatures
from wattwright.ride.outcome import Outcome
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.ride.road_load import WHEEL_DRAG_AREA, RoadLoad, steady_speed, wheel_power
from wattwright.ride.simulation import ride_out
from wattwright.ride.spread import CentralValues, Spread, draw_lanes

AIR = 288.15
BICYCLE = Bicycle(
    title="example", mass=18.0, wheel_radius=0.34, wheel_inertia=0.2, rolling_coefficient=0.008,
    drag_area=0.55, drivetrain_efficiency=0.96, lowest_gear=0.7, highest_gear=3.0,
)  # fmt: skip
RIDER = Rider(
    mass=80.0, power=90.0, power_per_grade=0.0, cadence=7.5, easing_speed=30.0, coasting_speed=40.0,
    strongest_push=150.0,
)  # fmt: skip
LAW = AssistLaw(
    kind=AssistKind.HELD_POWER, multiple=0.0, power=180.0, speed=0.0, fade_start=20.0, cutoff=25.0,
    needs_pedalling=True,
)  # fmt: skip
DRIVE = Drive(
    name="example", title="Example", position=MotorPosition.HUB,
    motor=Motor(
        torque_constant=0.25, resistance=0.18, no_load_current=0.6, winding_heat_capacity=300.0,
        housing_heat_capacity=2000.0, winding_to_housing=0.25, housing_to_air=0.45, airflow_gain=0.25,
        rollback_start=400.0, hottest_winding=430.0,
    ),
    controller=Controller(
        battery_current_limit=20.0, phase_current_limit=60.0, regeneration_current_limit=0.0, efficiency=0.95,
        standby_power=2.0, rollback_start_voltage=36.0, cutoff_voltage=33.0, maximum_voltage=60.0,
    ),
    assist=LAW, gear_ratio=4.4, gear_efficiency=0.93, freewheels=True, peak_torque=45.0, rated_power=250.0,
    mass=3.5, price=300.0,
)  # fmt: skip
SUPPLY = Supply(
    modules=40,
    open_circuit_voltage=np.linspace(42.0, 54.0, 101),
    resistance=np.full(101, 0.2),
    relaxation_resistance=np.zeros(101),
    relaxation_time=60.0,
    capacity=2.0 * 3600.0,
    protection=(ProtectionPoint(current=30.0, duration=1.0),),
    minimum_voltage=33.0,
    maximum_voltage=54.6,
    regeneration_current=2.0,
)
HEADING = math.radians(70.0)
NO_SPREAD = Spread(**dict.fromkeys(Spread.__dataclass_fields__, 0.0))


def path_of(grade: float, kilometres: float, fastest: float) -> RidePath:
    segments = round(kilometres * 100)
    flat = np.zeros(segments)
    return RidePath(
        title="example", length=flat + 10.0, grade=flat + grade, heading=flat + HEADING,
        altitude=flat + 200.0, speed_cap=flat + fastest, dwell=flat, rolling_factor=flat + 1.0,
        latitude=flat + np.nan, longitude=flat + np.nan,
    )  # fmt: skip


def lanes_of(wind: float = 0.0) -> Lanes:
    centre = CentralValues(
        mass=105.0, drag_area=0.55, rolling_coefficient=0.008, rider_power=90.0, drivetrain_efficiency=0.96,
        altitude=200.0, temperature=AIR, temperature_spread=0.0, humidity=0.6,
        wind=abs(wind), wind_from=math.radians(40.0 if wind >= 0.0 else 220.0), shelter=1.0,
        wind_direction_spread=0.0,
    )  # fmt: skip
    return draw_lanes(centre, NO_SPREAD, samples=1, seed=1)


def ridden(
    drive: Drive, *, grade: float = 0.0, wind: float = 0.0, kilometres: float = 6.0, fastest: float = 40.0
) -> Outcome:
    return ride_out(
        path_of(grade, kilometres, fastest),
        bicycle=BICYCLE,
        rider=RIDER,
        drive=drive,
        supply=SUPPLY,
        lanes=lanes_of(wind),
    )


def load_of(grade: float, wind: float) -> RoadLoad:
    """The road as the formulas see it; wind from 40° on a heading of 70°."""
    return RoadLoad(
        mass=105.0,
        drag_area=0.55 + WHEEL_DRAG_AREA,
        rolling_coefficient=0.008,
        density=air_density(200.0, AIR, 0.6),
        grade=grade,
        headwind=wind * math.cos(math.radians(30.0)),
    )


@pytest.mark.parametrize(("grade", "wind"), [(0.0, 0.0), (0.02, 0.0), (0.0, 4.0), (0.0, -6.0), (-0.01, 3.0)])
def test_by_legs_alone_the_engine_settles_at_the_steady_speed(grade: float, wind: float) -> None:
    by_legs = replace(DRIVE, assist=replace(LAW, kind=AssistKind.TORQUE_MULTIPLE, multiple=0.0))

    speed = ridden(by_legs, grade=grade, wind=wind).trace.speed[-1]

    assert speed == pytest.approx(steady_speed(90.0 * 0.96, load_of(grade, wind)), rel=1e-6)


@pytest.mark.parametrize(("grade", "wind"), [(0.0, 0.0), (0.04, 0.0), (0.0, 5.0)])
def test_with_held_power_speed_current_and_heat_are_those_of_the_formulas(grade: float, wind: float) -> None:
    """Steady after 60 km: road load, motor, controller and heat in one."""
    trace = ridden(DRIVE, grade=grade, wind=wind, kilometres=60.0).trace
    load, motor = load_of(grade, wind), DRIVE.motor
    speed = steady_speed(90.0 * 0.96 + 180.0, load)
    shaft_speed = speed / BICYCLE.wheel_radius * DRIVE.gear_ratio
    torque = 180.0 / DRIVE.gear_efficiency / shaft_speed
    point = operating_point(
        torque, shaft_speed, motor, winding_temperature=float(trace.winding_temperature[-1])
    )

    assert trace.speed[-1] == pytest.approx(speed, rel=1e-6)
    assert trace.motor_power[-1] == pytest.approx(180.0, rel=1e-6)
    drawn = trace.battery_current[-1] * trace.pack_voltage[-1]
    assert drawn == pytest.approx(point.electrical_power / 0.95 + 2.0, rel=1e-6)
    steady = steady_temperatures(motor, point.current, point.no_load_loss, AIR, speed + load.headwind)
    assert trace.winding_temperature[-1] == pytest.approx(steady[0], abs=0.01)


@pytest.mark.parametrize("kind", [AssistKind.TORQUE_MULTIPLE, AssistKind.HELD_POWER])
def test_where_help_fades_the_engine_gives_what_the_law_asks(kind: AssistKind) -> None:
    """On the way out to a cut-off of 25 km/h the settled speed needs just the power that is left there."""
    law = replace(LAW, kind=kind, multiple=2.5, power=250.0, fade_start=22.0 / 3.6, cutoff=25.0 / 3.6)

    trace = ridden(replace(DRIVE, assist=law)).trace
    speed = float(trace.speed[-1])

    assert law.fade_start < speed < law.cutoff
    assert trace.motor_power[-1] == pytest.approx(asked_power(speed, law, rider_power=90.0), rel=1e-5)
    assert wheel_power(speed, load_of(0.0, 0.0)) == pytest.approx(
        90.0 * 0.96 + trace.motor_power[-1], rel=1e-5
    )


def test_held_speed_is_held_with_the_power_that_holding_takes() -> None:
    law = replace(LAW, kind=AssistKind.HELD_SPEED, power=250.0, speed=6.5)
    load = load_of(0.0, 0.0)
    holding = wheel_power(6.5, load) - 90.0 * 0.96

    trace = ridden(replace(DRIVE, assist=law)).trace

    assert trace.speed[-1] == pytest.approx(6.5, rel=1e-6)
    assert trace.motor_power[-1] == pytest.approx(
        asked_power(6.5, law, rider_power=90.0, holding_power=holding), rel=1e-5
    )


def test_held_back_downhill_the_motor_returns_what_the_formulas_return() -> None:
    """A direct motor at 7 m/s down 5 %: no-load loss helps to brake, copper and controller take theirs."""
    direct = replace(
        DRIVE,
        assist=replace(LAW, kind=AssistKind.TORQUE_MULTIPLE, multiple=0.0),
        controller=replace(DRIVE.controller, regeneration_current_limit=60.0),
        gear_efficiency=1.0,
        freewheels=False,
    )
    trace = ridden(direct, grade=-0.05, fastest=7.0).trace
    shaft_speed = 7.0 / BICYCLE.wheel_radius * DRIVE.gear_ratio
    torque = wheel_power(7.0, load_of(-0.05, 0.0)) / shaft_speed
    point = operating_point(
        torque, shaft_speed, DRIVE.motor, winding_temperature=float(trace.winding_temperature[-1])
    )

    returned = trace.battery_current[-1] * trace.pack_voltage[-1]
    assert trace.speed[-1] == pytest.approx(7.0, rel=1e-9)
    assert point.electrical_power < -100.0
    assert returned == pytest.approx(point.electrical_power * 0.95 + 2.0, rel=1e-4)
