"""Riding a path out: prepares the arrays for the compiled kernel and reads its results back."""

from typing import TYPE_CHECKING, Final

import numpy as np

from wattwright.errors import InputError
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import AssistKind, Drive, MotorPosition
from wattwright.parts.supply import Supply
from wattwright.ride.air import density_ratio
from wattwright.ride.lanes import Lanes
from wattwright.ride.outcome import EnergyBook, Outcome, Trace
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.units import STANDARD_GRAVITY, FloatArray

if TYPE_CHECKING:
    from wattwright.ride.kernel import Fixed

BEARING_FORCE: Final = 0.091
"""[N] both wheels; Martin et al. 1998."""
BEARING_SLOPE: Final = 0.0087
"""[N s/m] both wheels; Martin et al. 1998."""
WHEEL_DRAG_AREA: Final = 0.0044
"""[m²] spokes turning; Martin et al. 1998."""
COPPER_TEMPERATURE_COEFFICIENT: Final = 0.00393
"""[1/K] at 20 °C; IEC 60028 (memory)."""
WALKING_SPEED: Final = 0.8
"""[m/s] pushing a loaded bicycle uphill; assumption."""
MARKS: Final = 101
"""Places along the ride where every lane's charge is noted, the start included."""
LEAST_EFFORT: Final = 0.5
MOST_EFFORT: Final = 2.0
"""Rider power downhill and uphill over that on the flat; assumption."""


def ride_out(
    path: RidePath,
    *,
    bicycle: Bicycle,
    rider: Rider,
    drive: Drive,
    supply: Supply,
    lanes: Lanes,
    effort: FloatArray | None = None,
) -> Outcome:
    """Ride the path in every lane; speeds follow from power.

    Args:
        path: The road.
        bicycle: Wheels, gears and drive-train; its mass and coefficients come with the lanes.
        rider: Pacing; the lanes carry the power.
        drive: Motor, controller and law.
        supply: The pack's tables and how many modules stand in parallel.
        lanes: Samples; lane 0 is traced.
        effort: (segments,) rider power over the lane's, replacing the pacing by grade, where given.

    Returns:
        What the ride came to, lane by lane.

    Raises:
        InputError: If the pack's voltage or the effort's shape does not suit.

    Notes:
        Over each segment the balance of work is solved for the speed at its end (implicit, Newton):
        ½ (m + I/r²)(v₁² − v₀²) / Δs = P_rider/v + P_motor/v − ½ ρ (CdA + Fw) vₐ|vₐ|
        − m g (Crr cos β + sin β) − bearings, with v = (v₀ + v₁)/2. The road load is that of Martin et al.,
        J. Applied Biomechanics 14(3), 1998. What braking, walking or a cap leaves over closes the balance,
        so that energy is conserved.
    """
    from wattwright.ride.kernel import (  # noqa: PLC0415 - compiled code loads when a ride is ridden
        LANES_PER_BLOCK,
        ROWS,
        TRACE_COLUMNS,
        ride_blocks,
    )

    _check(path, supply, effort)
    given = lane_rows(lanes, supply)
    blocks = given.shape[0]
    mark_of, marks = _marks(path)
    results = np.empty((blocks, ROWS, LANES_PER_BLOCK))
    at_mark = np.empty((len(marks), blocks, LANES_PER_BLOCK))
    trace = np.empty((path.segments, TRACE_COLUMNS))
    fixed = fixed_numbers(bicycle, rider, drive, supply)
    road = road_columns(path, rider, effort)
    tables, thresholds = _tables(supply), _thresholds(supply)
    ride_blocks(road, fixed, tables, thresholds, given, mark_of, results, at_mark, trace)
    return _outcome(path, supply, lanes, results=results, at_mark=at_mark, marks=marks, trace=trace)


def road_columns(path: RidePath, rider: Rider, effort: FloatArray | None) -> FloatArray:
    """The path as the kernel's (segments, ROAD_COLUMNS) table."""
    from wattwright.ride.kernel import ROAD_COLUMNS  # noqa: PLC0415

    slope = np.arctan(path.grade)
    road = np.empty((path.segments, ROAD_COLUMNS))
    by_grade = np.clip(
        1.0 + rider.power_per_grade / max(rider.power, 1.0) * path.grade, LEAST_EFFORT, MOST_EFFORT
    )
    columns = (
        path.length,
        np.sin(slope),
        np.cos(slope),
        np.cos(path.heading),
        np.sin(path.heading),
        density_ratio(path.altitude, float(path.altitude[0])),
        path.speed_cap,
        path.dwell,
        path.rolling_factor,
        by_grade if effort is None else effort,
    )
    for index, column in enumerate(columns):
        road[:, index] = column
    return road


def fixed_numbers(bicycle: Bicycle, rider: Rider, drive: Drive, supply: Supply) -> "Fixed":
    """Everything that is the same in every lane."""
    from wattwright.ride.kernel import Fixed  # noqa: PLC0415

    motor, controller, law = drive.motor, drive.controller, drive.assist
    at_hub = drive.position is MotorPosition.HUB
    peak = drive.peak_torque / (drive.gear_ratio * drive.gear_efficiency * motor.torque_constant)
    regenerates = controller.regeneration_current_limit > 0 and not drive.freewheels
    cutoff = max(controller.cutoff_voltage, supply.minimum_voltage)
    numbers = Fixed(
        modules=supply.modules,
        wheel_radius=bicycle.wheel_radius,
        inertia_mass=bicycle.wheel_inertia / bicycle.wheel_radius**2,
        wheel_drag_area=WHEEL_DRAG_AREA,
        bearing_force=BEARING_FORCE,
        bearing_slope=BEARING_SLOPE,
        easing_speed=rider.easing_speed,
        coasting_speed=rider.coasting_speed,
        strongest_push=rider.strongest_push,
        walking_speed=WALKING_SPEED,
        cadence=0.0 if at_hub else rider.cadence,
        slowest_drive=1.0 if at_hub else 1.0 / bicycle.highest_gear,
        fastest_drive=1.0 if at_hub else 1.0 / bicycle.lowest_gear,
        through_chain=0.0 if at_hub else 1.0,
        gear_ratio=drive.gear_ratio,
        gear_efficiency=drive.gear_efficiency,
        torque_constant=motor.torque_constant,
        motor_resistance=motor.resistance,
        copper_coefficient=COPPER_TEMPERATURE_COEFFICIENT,
        no_load_current=motor.no_load_current,
        phase_limit=min(controller.phase_current_limit, peak + motor.no_load_current),
        battery_limit=controller.battery_current_limit,
        controller_efficiency=controller.efficiency,
        standby=controller.standby_power,
        rollback_voltage=max(controller.rollback_start_voltage, cutoff + 0.1),
        cutoff_voltage=cutoff,
        full_voltage=min(supply.maximum_voltage, controller.maximum_voltage),
        regeneration_limit=min(
            controller.regeneration_current_limit, supply.regeneration_current * supply.modules
        )
        if regenerates
        else 0.0,
        freewheels=1.0 if drive.freewheels else 0.0,
        multiple=law.multiple,
        assist_power=law.power,
        held_power=1.0 if law.kind is AssistKind.HELD_POWER else 0.0,
        held_speed=law.speed if law.kind is AssistKind.HELD_SPEED else 0.0,
        fade_start=min(law.fade_start, law.cutoff - 0.05),
        cutoff_speed=law.cutoff,
        needs_pedalling=1.0 if law.needs_pedalling else 0.0,
        winding_capacity=motor.winding_heat_capacity,
        housing_capacity=motor.housing_heat_capacity,
        winding_conductance=1.0 / motor.winding_to_housing,
        housing_conductance=1.0 / motor.housing_to_air,
        airflow_gain=motor.airflow_gain,
        rollback_temperature=motor.rollback_start,
        hottest_winding=motor.hottest_winding,
        relaxation_time=supply.relaxation_time,
        gravity=STANDARD_GRAVITY,
    )
    return Fixed._make(float(number) for number in numbers)  # one machine type, so one compiled kernel


def lane_rows(lanes: Lanes, supply: Supply) -> FloatArray:
    """The lanes as (blocks, GIVEN_ROWS, LANES_PER_BLOCK), the last block filled up with lane 0."""
    from wattwright.ride.kernel import GIVEN_ROWS, LANES_PER_BLOCK  # noqa: PLC0415

    blocks = -(-lanes.count // LANES_PER_BLOCK)
    rows = np.empty((GIVEN_ROWS, blocks * LANES_PER_BLOCK))
    columns = (
        lanes.mass,
        lanes.drag_area,
        lanes.rolling_coefficient,
        lanes.air_density,
        lanes.wind_north,
        lanes.wind_east,
        lanes.air_temperature,
        lanes.rider_power,
        lanes.drivetrain_efficiency,
        lanes.capacity_factor * supply.capacity,
        lanes.resistance_factor,
        lanes.start_charge,
    )
    for index, column in enumerate(columns):
        rows[index, : lanes.count] = column
        rows[index, lanes.count :] = column[0]
    return np.ascontiguousarray(rows.reshape(GIVEN_ROWS, blocks, LANES_PER_BLOCK).transpose(1, 0, 2))


def _tables(supply: Supply) -> FloatArray:
    return np.ascontiguousarray(
        np.stack([supply.open_circuit_voltage, supply.resistance, supply.relaxation_resistance])
    )


def _thresholds(supply: Supply) -> FloatArray:
    from wattwright.ride.kernel import PROTECTION_POINTS  # noqa: PLC0415

    thresholds = np.full(PROTECTION_POINTS, np.inf)
    for index, point in enumerate(supply.protection):
        thresholds[index] = point.current
    return thresholds


def _marks(path: RidePath) -> tuple[np.ndarray, FloatArray]:
    """Index of the mark at each segment's end (or −1), and the marks' distances."""
    ends = np.cumsum(path.length)
    count = min(MARKS - 1, path.segments)
    segment = np.unique(np.linspace(0, path.segments - 1, count + 1).round().astype(np.int64)[1:])
    mark_of = np.full(path.segments, -1, dtype=np.int64)
    mark_of[segment] = np.arange(1, len(segment) + 1)
    return mark_of, np.concatenate([[0.0], ends[segment]])


def _check(path: RidePath, supply: Supply, effort: FloatArray | None) -> None:
    from wattwright.ride.kernel import PROTECTION_POINTS, TABLE_INTERVALS  # noqa: PLC0415

    if supply.modules < 1:
        raise InputError("modules", supply.modules, "1 or more")
    if len(supply.open_circuit_voltage) != TABLE_INTERVALS + 1:
        raise InputError("supply table", len(supply.open_circuit_voltage), f"{TABLE_INTERVALS + 1} points")
    if len(supply.protection) > PROTECTION_POINTS:
        raise InputError(
            "discharge_protection", len(supply.protection), f"at most {PROTECTION_POINTS} points"
        )
    if effort is not None and effort.shape != (path.segments,):
        raise InputError("effort", effort.shape, f"one value for each of {path.segments} segments")


def _outcome(
    path: RidePath,
    supply: Supply,
    lanes: Lanes,
    *,
    results: FloatArray,
    at_mark: FloatArray,
    marks: FloatArray,
    trace: FloatArray,
) -> Outcome:
    from wattwright.ride import kernel  # noqa: PLC0415

    by_row = results.transpose(1, 0, 2).reshape(kernel.ROWS, -1)[:, : lanes.count]
    charge_at_mark = at_mark.reshape(len(marks), -1)[:, : lanes.count]
    charge_at_mark[0] = lanes.start_charge
    points = len(supply.protection)
    return Outcome(
        modules=supply.modules,
        distance=path.distance,
        time=by_row[kernel.TIME],
        standing=by_row[kernel.STANDING],
        charge_left=by_row[kernel.CHARGE],
        mark=marks,
        charge_at_mark=charge_at_mark,
        lowest_voltage=by_row[kernel.LOWEST_VOLTAGE],
        peak_current=by_row[kernel.PEAK_CURRENT],
        longest_above=by_row[kernel.LONGEST_ABOVE : kernel.LONGEST_ABOVE + points],
        peak_charge_current=by_row[kernel.PEAK_CHARGE_CURRENT],
        hottest_winding=by_row[kernel.HOTTEST_WINDING],
        rolled_back=by_row[kernel.ROLLED_BACK],
        unassisted=by_row[kernel.UNASSISTED],
        walked=by_row[kernel.WALKED],
        energy=_books(by_row),
        trace=_trace(path, trace),
    )


def _books(by_row: FloatArray) -> EnergyBook:
    from wattwright.ride import kernel  # noqa: PLC0415

    return EnergyBook(
        rider=by_row[kernel.RIDER_WORK],
        battery_out=by_row[kernel.BATTERY_OUT],
        battery_in=by_row[kernel.BATTERY_IN],
        pack_loss=by_row[kernel.PACK_LOSS],
        climb=by_row[kernel.CLIMB],
        kinetic=by_row[kernel.KINETIC],
        air=by_row[kernel.AIR],
        rolling=by_row[kernel.ROLLING_LOSS],
        bearings=by_row[kernel.BEARINGS],
        drivetrain=by_row[kernel.DRIVETRAIN_LOSS],
        motor_copper=by_row[kernel.COPPER],
        motor_iron=by_row[kernel.IRON],
        gear=by_row[kernel.GEAR],
        controller=by_row[kernel.CONTROLLER],
        brake=by_row[kernel.BRAKE],
    )


def _trace(path: RidePath, trace: FloatArray) -> Trace:
    return Trace(
        distance=np.cumsum(path.length),
        time=trace[:, 0],
        speed=trace[:, 1],
        rider_power=trace[:, 2],
        motor_power=trace[:, 3],
        battery_current=trace[:, 4],
        pack_voltage=trace[:, 5],
        charge_left=trace[:, 6],
        winding_temperature=trace[:, 7],
    )
