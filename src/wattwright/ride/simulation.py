"""Riding a path out: prepares the arrays for the compiled kernel and reads its results back."""

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock
from typing import TYPE_CHECKING, Final

import numpy as np

from wattwright.errors import InputError
from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import AssistKind, Drive, MotorPosition
from wattwright.parts.supply import Supply
from wattwright.ride.air import density_ratio
from wattwright.ride.lanes import Lanes
from wattwright.ride.motor import COPPER_TEMPERATURE_COEFFICIENT
from wattwright.ride.outcome import EnergyBook, Outcome, Trace
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.ride.road_load import (
    BEARING_FORCE,
    BEARING_SLOPE,
    WHEEL_DRAG_AREA,
    equivalent_mass,
    slope_cosine,
    slope_sine,
)
from wattwright.units import STANDARD_GRAVITY, FloatArray

if TYPE_CHECKING:
    from wattwright.ride.kernel import Fixed

WALKING_SPEED: Final = 0.8
"""[m/s] pushing a loaded bicycle uphill; assumption."""
NARROWEST_BAND: Final = 0.05
"""[m/s] Span in which help or pedalling ends at least: a step would have no slope to solve by."""
MARKS: Final = 101
"""Places along the ride where every lane's charge is noted, the start included."""
_ONE_AT_A_TIME: Final = Lock()
"""The compiled loop takes all cores itself, and not every threading layer below it bears two callers."""
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
        LANES,
        RESULT_ROWS,
        TRACE_COLUMNS,
        ride_blocks,
    )

    _check(path, supply, effort)
    fixed = fixed_numbers(bicycle, rider, drive, supply)
    given = lane_rows(lanes, drive, supply, fixed)
    blocks = given.shape[0]
    mark_of, marks = _marks(path)
    results = np.empty((blocks, RESULT_ROWS, LANES))
    at_mark = np.empty((len(marks), blocks, LANES))
    trace = np.empty((path.segments, TRACE_COLUMNS))
    road = road_columns(path, rider, effort)
    tables, thresholds = _tables(supply), np.array([point.current for point in supply.protection])
    with _ONE_AT_A_TIME, threads_for(blocks):
        ride_blocks(road, fixed, tables, thresholds, given, mark_of, results, at_mark, trace)
    at_mark[0].reshape(-1)[: lanes.count] = lanes.start_charge
    rows = results.transpose(1, 0, 2).reshape(RESULT_ROWS, -1)[:, : lanes.count]
    return _outcome(
        path,
        supply,
        rows=rows,
        energy=_books(rows, path, lanes, fixed, chain_share(lanes, drive)),
        at_mark=at_mark.reshape(len(marks), -1)[:, : lanes.count],
        marks=marks,
        trace=trace,
    )


@contextmanager
def threads_for(blocks: int) -> Iterator[None]:
    """No more threads than there are blocks: one without work spins until the others are done."""
    import numba  # noqa: PLC0415 - as the kernel

    allowed: int = numba.get_num_threads()
    numba.set_num_threads(min(blocks, allowed))
    try:
        yield
    finally:
        numba.set_num_threads(allowed)


def road_columns(path: RidePath, rider: Rider, effort: FloatArray | None) -> FloatArray:
    """The path as the kernel's (segments, ROAD_COLUMNS) table."""
    from wattwright.ride.kernel import ROAD_COLUMNS  # noqa: PLC0415

    road = np.empty((path.segments, ROAD_COLUMNS))
    by_grade = np.clip(
        1.0 + rider.power_per_grade / max(rider.power, 1.0) * path.grade, LEAST_EFFORT, MOST_EFFORT
    )
    columns = (
        path.length,
        slope_sine(path.grade),
        slope_cosine(path.grade),
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
    drive_constant = motor.torque_constant * drive.gear_ratio
    radius = bicycle.wheel_radius
    numbers = Fixed(
        weight=STANDARD_GRAVITY,
        wheel_mass=equivalent_mass(bicycle.wheel_inertia, radius),
        bearing_force=BEARING_FORCE,
        bearing_slope=BEARING_SLOPE,
        free_drag=0.0 if drive.freewheels else drive_constant * motor.no_load_current / radius,
        strongest_push=rider.strongest_push,
        walking_speed=WALKING_SPEED,
        coasting_speed=rider.coasting_speed,
        rider_band=1.0 / max(rider.coasting_speed - rider.easing_speed, NARROWEST_BAND),
        multiple=law.multiple,
        assist_power=law.power,
        held_power=1.0 if law.kind is AssistKind.HELD_POWER else 0.0,
        held_speed=law.speed if law.kind is AssistKind.HELD_SPEED else 0.0,
        needs_pedalling=1.0 if law.needs_pedalling else 0.0,
        cutoff_speed=law.cutoff,
        assist_band=1.0 / max(law.cutoff - law.fade_start, NARROWEST_BAND),
        cadence=0.0 if at_hub else rider.cadence,
        slowest_drive=1.0 / radius if at_hub else 1.0 / (radius * bicycle.highest_gear),
        fastest_drive=1.0 / radius if at_hub else 1.0 / (radius * bicycle.lowest_gear),
        motor_constant=drive_constant,
        gear_efficiency=drive.gear_efficiency,
        motor_resistance=motor.resistance,
        copper_coefficient=COPPER_TEMPERATURE_COEFFICIENT,
        no_load_current=motor.no_load_current,
        phase_limit=min(controller.phase_current_limit, peak + motor.no_load_current),
        freewheels=1.0 if drive.freewheels else 0.0,
        hottest_winding=motor.hottest_winding,
        heat_band=1.0 / (motor.hottest_winding - motor.rollback_start),
        winding_capacity=motor.winding_heat_capacity,
        housing_capacity=motor.housing_heat_capacity,
        winding_conductance=1.0 / motor.winding_to_housing,
        housing_conductance=1.0 / motor.housing_to_air,
        airflow_gain=motor.airflow_gain,
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
        modules=supply.modules,
        relaxation_time=supply.relaxation_time,
    )
    return Fixed._make(float(number) for number in numbers)  # one machine type, so one compiled kernel


def lane_rows(lanes: Lanes, drive: Drive, supply: Supply, fixed: "Fixed") -> FloatArray:
    """The lanes as the kernel's (blocks, GIVEN_ROWS, LANES), the last block filled up with lane 0."""
    from wattwright.ride.kernel import GIVEN_ROWS, LANES  # noqa: PLC0415

    blocks = -(-lanes.count // LANES)
    chain = chain_share(lanes, drive)
    columns = (
        lanes.mass,
        0.5 * (lanes.mass + fixed.wheel_mass),
        0.5 * lanes.air_density * (lanes.drag_area + WHEEL_DRAG_AREA),
        lanes.rolling_coefficient,
        lanes.wind_north,
        lanes.wind_east,
        lanes.air_temperature,
        lanes.rider_power * lanes.drivetrain_efficiency,
        1.0 / lanes.drivetrain_efficiency,
        chain,
        1.0 / chain,
        1.0 / (lanes.capacity_factor * supply.capacity),
        lanes.resistance_factor,
        lanes.start_charge,
    )
    rows = np.empty((GIVEN_ROWS, blocks * LANES))
    for index, column in enumerate(columns):
        rows[index, : lanes.count] = column
        rows[index, lanes.count :] = column[0]
    return np.ascontiguousarray(rows.reshape(GIVEN_ROWS, blocks, LANES).transpose(1, 0, 2))


def chain_share(lanes: Lanes, drive: Drive) -> FloatArray:
    """(lanes,) share of the motor's power that reaches the wheel: all from a hub, through the chain else."""
    if drive.position is MotorPosition.HUB:
        return np.ones(lanes.count)
    return lanes.drivetrain_efficiency


def _tables(supply: Supply) -> FloatArray:
    """For each interval of charge: voltage, R0 and R1, each at its start and the gain to its end; flat."""
    columns: list[FloatArray] = []
    for table in (supply.open_circuit_voltage, supply.resistance, supply.relaxation_resistance):
        columns += [table[:-1], np.diff(table)]
    return np.ascontiguousarray(np.stack(columns, axis=1)).reshape(-1)


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
    *,
    rows: FloatArray,
    energy: EnergyBook,
    at_mark: FloatArray,
    marks: FloatArray,
    trace: FloatArray,
) -> Outcome:
    from wattwright.ride import kernel  # noqa: PLC0415

    standing = float(path.dwell.sum())
    first = row_of(kernel.LONGEST_ABOVE)
    return Outcome(
        modules=supply.modules,
        distance=path.distance,
        time=rows[row_of(kernel.RIDING_TIME)] + standing,
        standing=np.full(rows.shape[1], standing),
        charge_left=rows[row_of(kernel.CHARGE)],
        mark=marks,
        charge_at_mark=at_mark,
        lowest_voltage=rows[row_of(kernel.LOWEST_VOLTAGE)],
        peak_current=rows[row_of(kernel.PEAK_CURRENT)],
        longest_above=rows[first : first + len(supply.protection)],
        peak_charge_current=rows[row_of(kernel.PEAK_CHARGE_CURRENT)],
        hottest_winding=rows[row_of(kernel.HOTTEST)],
        rolled_back=rows[row_of(kernel.ROLLED_BACK)],
        unassisted=rows[row_of(kernel.EMPTY_LENGTH)],
        walked=rows[row_of(kernel.WALKED)],
        energy=energy,
        trace=_trace(path, trace),
    )


def row_of(place: int) -> int:
    """Row of the kernel's results for a place in its buffer."""
    from wattwright.ride.kernel import FIRST_RESULT, STRIDE  # noqa: PLC0415

    return place // STRIDE - FIRST_RESULT


def _books(rows: FloatArray, path: RidePath, lanes: Lanes, fixed: "Fixed", chain: FloatArray) -> EnergyBook:
    """Who gave and who took, from what the kernel added up.

    What is force times the road alone needs no adding up lane by lane: climb, rolling, resting bearings.
    Gear, drive-train and controller take fixed shares of sums; the book's balance shows that they fit.
    """
    from wattwright.ride import kernel  # noqa: PLC0415

    def total(place: int) -> FloatArray:
        row: FloatArray = rows[row_of(place)]
        return row

    load = lanes.mass * fixed.weight
    climb = float(np.dot(slope_sine(path.grade), path.length))
    pressed = float(np.dot(slope_cosine(path.grade) * path.rolling_factor, path.length))
    per_chain = 1.0 / chain
    legs, motor, taken = total(kernel.LEGS_WORK), total(kernel.MOTOR_WORK), total(kernel.TAKEN_WORK)
    standby = fixed.standby * (total(kernel.RIDING_TIME) + path.dwell.sum() - total(kernel.EMPTY_TIME))
    eta = fixed.controller_efficiency
    return EnergyBook(
        rider=legs / lanes.drivetrain_efficiency + total(kernel.PUSH_WORK),
        battery_out=total(kernel.BATTERY_WORK) + total(kernel.BATTERY_IN),
        battery_in=total(kernel.BATTERY_IN),
        pack_loss=total(kernel.PACK_LOSS),
        climb=load * climb,
        kinetic=0.5 * (lanes.mass + fixed.wheel_mass) * total(kernel.SPEED) ** 2,
        air=total(kernel.AIR_WORK),
        rolling=load * lanes.rolling_coefficient * pressed,
        bearings=fixed.bearing_force * path.distance + fixed.bearing_slope * total(kernel.SPEED_LENGTH),
        drivetrain=legs * (1.0 / lanes.drivetrain_efficiency - 1.0) + motor * (per_chain - 1.0),
        motor_copper=total(kernel.COPPER_LOSS),
        motor_iron=total(kernel.IRON_LOSS),
        gear=motor * per_chain * (1.0 / fixed.gear_efficiency - 1.0) + taken * (1.0 - fixed.gear_efficiency),
        controller=total(kernel.ELECTRIC_WORK) * (1.0 / eta - 1.0)
        + total(kernel.GENERATED) * (1.0 - eta)
        + standby,
        brake=total(kernel.BRAKE_WORK) - taken,
    )


def _trace(path: RidePath, trace: FloatArray) -> Trace:
    return Trace(
        distance=np.cumsum(path.length),
        time=trace[:, 0] + np.cumsum(path.dwell),
        speed=trace[:, 1],
        rider_power=trace[:, 2],
        motor_power=trace[:, 3],
        battery_current=trace[:, 4],
        pack_voltage=trace[:, 5],
        charge_left=trace[:, 6],
        winding_temperature=trace[:, 7],
    )
