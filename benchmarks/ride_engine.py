"""How fast the engine rides: a hundred kilometres in ten thousand segments, a thousand lanes."""

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from multiprocessing import get_context
from typing import Any, Final

import numpy as np

from benchmarks.harness import Arithmetic, Case, benchmark
from benchmarks.reference_ride import ride_out_plainly
from wattwright.parts.battery_module import ProtectionPoint
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import AssistKind, AssistLaw, Controller, Drive, Motor, MotorPosition
from wattwright.parts.supply import Supply
from wattwright.ride.lanes import Lanes
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.ride.simulation import ride_out
from wattwright.ride.spread import CentralValues, Spread, draw_lanes
from wattwright.ride.synthetic import synthetic_path

LANES: Final = 1000
SEGMENTS: Final = 10_000
PROCESSES: Final = 2
WORK: Final = Arithmetic(fused=492.0)
"""Of one lane in one segment, counted in the kernel's loops that every segment goes through.

Reciprocals (13) and roots (2) are counted as the six and nine operations they are made of: the dividers are
not used. Loads, stores, gathers and conversions are not counted.
"""


@cache
def long_ride() -> dict[str, Any]:
    """A hundred kilometres with a thousand metres up, eighty stops and a hub motor that follows the rider."""
    path = hundred_kilometres()
    centre = CentralValues(
        mass=105.0, drag_area=0.55, rolling_coefficient=0.008, rider_power=95.0, drivetrain_efficiency=0.96,
        altitude=float(path.altitude[0]), temperature=283.0, temperature_spread=4.0, humidity=0.7, wind=3.0,
        wind_from=0.7, shelter=0.6,
    )  # fmt: skip
    spread = Spread(
        mass=3.0, drag_area=0.08, rolling_coefficient=0.15, rider_power=0.15, wind=0.52, capacity=0.02,
        resistance=0.1,
    )  # fmt: skip
    return {
        "path": path,
        "bicycle": BICYCLE,
        "rider": RIDER,
        "drive": HUB,
        "supply": SUPPLY,
        "lanes": draw_lanes(centre, spread, LANES, seed=1),
    }


def hundred_kilometres() -> RidePath:
    """The telephone's ride, laid out in exactly ``SEGMENTS`` segments."""
    path = synthetic_path(distance=100_000.0, ascent=1000.0, stops=80)
    if path.segments != SEGMENTS:
        raise RuntimeError(f"the ride has {path.segments} segments, not {SEGMENTS}")
    return path


BICYCLE: Final = Bicycle(
    title="example", mass=18.0, wheel_radius=0.34, wheel_inertia=0.16, rolling_coefficient=0.008,
    drag_area=0.55, drivetrain_efficiency=0.96, lowest_gear=0.9, highest_gear=3.2,
)  # fmt: skip
RIDER: Final = Rider(
    mass=75.0, power=95.0, power_per_grade=800.0, cadence=7.3, easing_speed=9.0, coasting_speed=11.0,
    strongest_push=180.0,
)  # fmt: skip
HUB: Final = Drive(
    name="hub", title="Hub", position=MotorPosition.HUB,
    motor=Motor(
        torque_constant=1.04, resistance=0.15, no_load_current=0.8, winding_heat_capacity=350.0,
        housing_heat_capacity=2500.0, winding_to_housing=0.25, housing_to_air=0.5, airflow_gain=0.15,
        rollback_start=383.0, hottest_winding=413.0,
    ),
    controller=Controller(
        battery_current_limit=15.0, phase_current_limit=40.0, regeneration_current_limit=0.0, efficiency=0.96,
        standby_power=2.0, rollback_start_voltage=42.0, cutoff_voltage=39.0, maximum_voltage=60.0,
    ),
    assist=AssistLaw(
        kind=AssistKind.TORQUE_MULTIPLE, multiple=1.8, power=500.0, speed=0.0, fade_start=6.4, cutoff=6.94,
    ),
    gear_ratio=1.0, gear_efficiency=0.95, freewheels=True, peak_torque=40.0, rated_power=250.0, mass=4.0,
    price=500.0,
)  # fmt: skip
CHARGE: Final = np.linspace(0.0, 1.0, 101)
SUPPLY: Final = Supply(
    modules=12,
    open_circuit_voltage=39.0 + 15.6 * CHARGE,
    resistance=0.5 + 0.15 * (1.0 - CHARGE) ** 4,
    relaxation_resistance=0.2 + 0.1 * (1.0 - CHARGE) ** 2,
    relaxation_time=30.0,
    capacity=2.0 * 3600.0,
    protection=(
        ProtectionPoint(current=20.0, duration=0.5),
        ProtectionPoint(current=15.0, duration=10.0),
        ProtectionPoint(current=10.0, duration=60.0),
    ),
    minimum_voltage=35.0,
    maximum_voltage=54.6,
    regeneration_current=2.0,
)


def share_of(lanes: Lanes, part: int) -> Lanes:
    """Every ``PROCESSES``-th lane."""
    return Lanes(**{name: getattr(lanes, name)[part::PROCESSES] for name in Lanes.__dataclass_fields__})


def plainly(part: int) -> float:
    """One process's lanes; the mean time, so that something comes back."""
    ride = long_ride()
    return float(ride_out_plainly(**{**ride, "lanes": share_of(ride["lanes"], part)}).time.mean())


@cache
def workers() -> ProcessPoolExecutor:
    """Fresh processes, kept: starting them is not what is timed."""
    pool = ProcessPoolExecutor(PROCESSES, mp_context=get_context("spawn"))
    list(pool.map(abs, range(PROCESSES)))
    return pool


def case(title: str, reference: Callable[[], object], *, aim_ratio: float | None) -> Case:
    """Our engine on all cores against one way of running the twin."""
    return Case(
        title=f"{LANES} lanes, {SEGMENTS} segments, against {title}",
        run=lambda: ride_out(**long_ride()),
        reference=reference,
        reference_title=title,
        things=LANES * SEGMENTS,
        thing="lane-segment",
        arithmetic=WORK,
        cores=2,
        reference_repeats=1,
        aim_ratio=aim_ratio,
        aim_memory_mb=300.0,
    )


@benchmark
def ride_engine() -> list[Case]:
    """The engine against its plain twin, on one core and on two."""
    return [
        case("NumPy, same model", lambda: ride_out_plainly(**long_ride()), aim_ratio=25.0),
        case(
            "NumPy, same model, two processes",
            lambda: list(workers().map(plainly, range(PROCESSES))),
            aim_ratio=25.0,
        ),
    ]
