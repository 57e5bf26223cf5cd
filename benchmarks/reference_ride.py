"""The ride engine once more, plainly: NumPy over lanes, one segment after another.

The same model as ``wattwright.ride.kernel``, written from the records and not from the kernel's arrays: true
divisions and roots, tables by ``np.interp``, every account of the energy book added up for itself. A test
holds the two together, the benchmark times them side by side.
"""

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from wattwright.parts.bicycle import Bicycle
from wattwright.parts.drive import AssistKind, Drive, MotorPosition
from wattwright.parts.supply import Supply
from wattwright.ride.air import density_ratio
from wattwright.ride.lanes import Lanes
from wattwright.ride.motor import COPPER_TEMPERATURE_COEFFICIENT, REFERENCE_TEMPERATURE
from wattwright.ride.outcome import EnergyBook, Outcome, Trace
from wattwright.ride.path import RidePath
from wattwright.ride.rider import Rider
from wattwright.ride.road_load import BEARING_FORCE, BEARING_SLOPE, WHEEL_DRAG_AREA
from wattwright.units import STANDARD_GRAVITY, FloatArray

NEWTON_STEPS: Final = 3
CRAWLING: Final = 2.5
SLOWEST_MEAN: Final = 0.25
NEAR: Final = 0.9
LEAST_POWER: Final = 1e-9
WALKING_SPEED: Final = 0.8
NARROWEST_BAND: Final = 0.05
MARKS: Final = 101
ACCOUNTS: Final = tuple(EnergyBook.__dataclass_fields__)
CHARGES: Final = np.linspace(0.0, 1.0, 101)


@dataclass(slots=True, kw_only=True, eq=False)
class Bike:
    """What does not change on the way, and what does, lane by lane."""

    rider: Rider
    drive: Drive
    supply: Supply
    lanes: Lanes
    radius: float
    slowest: float
    """Turning speed of what the motor drives over road speed, in the highest gear. [1/m]"""
    fastest: float
    chain: FloatArray
    wheel_mass: float
    phase_limit: float
    regeneration: float
    cutoff_voltage: float
    speed: FloatArray
    gain: FloatArray
    charge: FloatArray
    relaxation: FloatArray
    winding: FloatArray
    housing: FloatArray
    current: FloatArray
    above: FloatArray
    book: dict[str, FloatArray] = field(default_factory=dict)


@dataclass(slots=True, kw_only=True, eq=False)
class Segment:
    """What is found out for one segment, lane by lane."""

    length: float
    cap: float
    wind: FloatArray
    air: FloatArray
    climb: FloatArray
    rolling: FloatArray
    legs: FloatArray
    """Rider's power at the wheel. [W]"""
    voltage: FloatArray
    resistance: FloatArray
    relaxing: FloatArray
    room: FloatArray
    warm: FloatArray
    middle: FloatArray
    later: FloatArray
    drag: FloatArray | float = 0.0
    """Of the motor that is off and cannot let go. [N]"""


def share(x: FloatArray) -> FloatArray:
    """Between 0 and 1."""
    return np.minimum(np.maximum(x, 0.0), 1.0)


def saddled(bicycle: Bicycle, rider: Rider, drive: Drive, supply: Supply, lanes: Lanes) -> Bike:
    """Ready at the start, as warm as the air."""
    at_hub = drive.position is MotorPosition.HUB
    motor, radius = drive.motor, bicycle.wheel_radius
    peak = drive.peak_torque / (drive.gear_ratio * drive.gear_efficiency * motor.torque_constant)
    none = np.zeros(lanes.count)
    limit = drive.controller.regeneration_current_limit
    return Bike(
        rider=rider,
        drive=drive,
        supply=supply,
        lanes=lanes,
        radius=radius,
        slowest=1.0 / radius if at_hub else 1.0 / bicycle.highest_gear / radius,
        fastest=1.0 / radius if at_hub else 1.0 / bicycle.lowest_gear / radius,
        chain=none + 1.0 if at_hub else lanes.drivetrain_efficiency,
        wheel_mass=bicycle.wheel_inertia / radius**2,
        phase_limit=min(drive.controller.phase_current_limit, peak + motor.no_load_current),
        regeneration=0.0 if drive.freewheels else min(limit, supply.regeneration_current * supply.modules),
        cutoff_voltage=max(drive.controller.cutoff_voltage, supply.minimum_voltage),
        speed=none,
        gain=none,
        charge=lanes.start_charge.copy(),
        relaxation=none,
        winding=lanes.air_temperature.copy(),
        housing=lanes.air_temperature.copy(),
        current=none,
        above=np.zeros((len(supply.protection), lanes.count)),
        book={name: np.zeros(lanes.count) for name in ACCOUNTS},
    )


def winding_resistance(bike: Bike) -> FloatArray:
    """Warm copper."""
    warmer = bike.winding - REFERENCE_TEMPERATURE
    return bike.drive.motor.resistance * (1.0 + COPPER_TEMPERATURE_COEFFICIENT * warmer)


def emf_at(bike: Bike, speed: FloatArray) -> FloatArray:
    """Of the motor at a road speed, through hub or gears."""
    cadence = 0.0 if bike.drive.position is MotorPosition.HUB else bike.rider.cadence
    turning = np.minimum(np.maximum(cadence, speed * bike.slowest), speed * bike.fastest)
    return bike.drive.motor.torque_constant * bike.drive.gear_ratio * turning


def facing(bike: Bike, path: RidePath, index: int, density: float, effort: float) -> Segment:
    """Road, air, pack and the guess of the speed in the middle."""
    lanes, supply, controller = bike.lanes, bike.supply, bike.drive.controller
    slope, heading = float(np.arctan(path.grade[index])), path.heading[index]
    load = lanes.mass * STANDARD_GRAVITY
    scale = lanes.resistance_factor
    voltage = np.interp(bike.charge, CHARGES, supply.open_circuit_voltage) - bike.relaxation
    resistance = scale * np.interp(bike.charge, CHARGES, supply.resistance) / supply.modules
    start = max(controller.rollback_start_voltage, bike.cutoff_voltage + 0.1)
    span = start - bike.cutoff_voltage + resistance * controller.battery_current_limit
    motor = bike.drive.motor
    v0 = bike.speed
    gain = bike.gain * np.minimum((v0 - 0.5 * bike.gain) / np.maximum(v0, SLOWEST_MEAN), 1.0)
    segment = Segment(
        length=float(path.length[index]),
        cap=float(path.speed_cap[index]),
        wind=lanes.wind_north * np.cos(heading) + lanes.wind_east * np.sin(heading),
        air=0.5 * lanes.air_density * density * (lanes.drag_area + WHEEL_DRAG_AREA),
        climb=load * np.sin(slope),
        rolling=load * np.cos(slope) * lanes.rolling_coefficient * path.rolling_factor[index],
        legs=lanes.rider_power * lanes.drivetrain_efficiency * effort,
        voltage=voltage,
        resistance=resistance,
        relaxing=scale * np.interp(bike.charge, CHARGES, supply.relaxation_resistance),
        room=(bike.charge > 0.0) * share((voltage - bike.cutoff_voltage) / span),
        warm=share((motor.hottest_winding - bike.winding) / (motor.hottest_winding - motor.rollback_start)),
        middle=v0 + 0.5 * gain,
        later=v0 + gain,
    )
    if np.any(segment.middle < CRAWLING):
        guess_crawling(bike, segment)
    return segment


def guess_crawling(bike: Bike, segment: Segment) -> None:
    """What full force would reach, at most ``CRAWLING``."""
    v0, drive = bike.speed, bike.drive
    force = bike.rider.strongest_push
    force += drive.motor.torque_constant * drive.gear_ratio * bike.phase_limit * bike.fastest
    still = segment.climb + segment.rolling + BEARING_FORCE
    mass = bike.lanes.mass + bike.wheel_mass
    reach = np.sqrt(np.maximum(v0**2 + 2.0 * segment.length * np.maximum(force - still, 0.0) / mass, 0.25))
    segment.middle = np.maximum(segment.middle, np.minimum(0.5 * (v0 + reach), CRAWLING))
    segment.later = 2.0 * segment.middle - v0


def motor_can(bike: Bike, segment: Segment, speed: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Most power and most force at the wheel, at a speed."""
    controller, i0 = bike.drive.controller, bike.drive.motor.no_load_current
    emf, winding = emf_at(bike, speed), winding_resistance(bike)
    current = controller.battery_current_limit * segment.room
    terminal = current * (segment.voltage - segment.resistance * current) - controller.standby_power
    terminal = np.maximum(terminal * controller.efficiency, 0.0)
    by_power = (np.sqrt(emf**2 + 4.0 * winding * terminal) - emf) / (2.0 * winding)
    by_voltage = (segment.voltage - segment.resistance * bike.current - emf) / winding
    turn = emf * bike.drive.gear_efficiency * bike.chain
    power = turn * np.maximum(np.minimum(by_power, by_voltage) - i0, 0.0)
    return power, turn * np.maximum(bike.phase_limit * segment.warm - i0, 0.0) / speed


def eased(bike: Bike, speed: FloatArray) -> tuple[FloatArray, float]:
    """Share of the rider's power left at a speed, and how steeply it falls."""
    band = 1.0 / max(bike.rider.coasting_speed - bike.rider.easing_speed, NARROWEST_BAND)
    return share((bike.rider.coasting_speed - speed) * band), band


def faded(bike: Bike, speed: FloatArray) -> tuple[FloatArray, float]:
    """Share of the help left at a speed, and how steeply it falls."""
    law = bike.drive.assist
    band = 1.0 / max(law.cutoff - law.fade_start, NARROWEST_BAND)
    return share((law.cutoff - speed) * band), band


def asked(bike: Bike, segment: Segment) -> FloatArray:
    """Power at the wheel that the law asks for, before it fades."""
    law, v0 = bike.drive.assist, bike.speed
    legs = segment.legs * eased(bike, v0)[0]
    most = law.power * bike.chain
    if law.kind is AssistKind.HELD_POWER:
        power = most
    elif law.kind is AssistKind.TORQUE_MULTIPLE:
        crank = legs / bike.lanes.drivetrain_efficiency
        power = np.minimum(law.multiple * crank * bike.chain, most)
    else:
        v = 0.5 * (v0 + law.speed)
        air = v + segment.wind
        mass = bike.lanes.mass + bike.wheel_mass
        force = 0.5 * mass * (law.speed**2 - v0**2) / segment.length + segment.air * air * abs(air)
        force += segment.climb + segment.rolling + BEARING_FORCE + BEARING_SLOPE * v
        power = np.minimum(np.maximum(force * v - legs, 0.0), most)
    helps = v0 < law.cutoff
    return power * (helps & (legs > 0.0) if law.needs_pedalling else helps)


def solved(
    bike: Bike, segment: Segment, ask: FloatArray, power_most: FloatArray, force_most: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Leave the speed at the end in ``segment.later``; power and force limits as brought up to date."""
    gain = abs(bike.gain)
    for step in range(NEWTON_STEPS):
        newton(bike, segment, ask, power_most, force_most)
        near = ask * segment.middle > (NEAR * segment.middle - gain) * power_most
        if step < NEWTON_STEPS - 1 and near.any():
            v = np.maximum(0.5 * (bike.speed + segment.later), SLOWEST_MEAN)
            power, force = motor_can(bike, segment, v)
            force_most = np.where(near, force, force_most)
            power_most = np.where(near & (power_most > 0.0), np.maximum(power, LEAST_POWER), power_most)
    return power_most, force_most


def newton(
    bike: Bike, segment: Segment, ask: FloatArray, power_most: FloatArray, force_most: FloatArray
) -> None:
    """One step."""
    v0, v1, push = bike.speed, segment.later, bike.rider.strongest_push
    half = 0.5 * (bike.lanes.mass + bike.wheel_mass) / segment.length
    v = np.maximum(0.5 * (v0 + v1), SLOWEST_MEAN)
    air = v + segment.wind
    (ease, rider_band), (fade, help_band) = eased(bike, v), faded(bike, v)
    legs = np.minimum(segment.legs / v, push)
    legs_slope = np.where(segment.legs / v < push, segment.legs / v**2 * ease, 0.0)
    legs_slope += np.where((ease > 0.0) & (ease < 1.0), legs * rider_band, 0.0)
    wanted = ask * fade
    fading = np.where((fade > 0.0) & (fade < 1.0) & (wanted < power_most), ask * help_band, 0.0)
    by_power = np.minimum(wanted, power_most) / v
    pull_slope = np.where(by_power < force_most, (fading + by_power) / v, 0.0)
    gap = half * (v1**2 - v0**2) + segment.air * air * abs(air) + BEARING_FORCE + BEARING_SLOPE * v
    gap += segment.climb + segment.rolling + segment.drag - legs * ease - np.minimum(by_power, force_most)
    slope = 2.0 * half * v1 + segment.air * abs(air) + 0.5 * (BEARING_SLOPE + legs_slope + pull_slope)
    segment.later = np.minimum(np.maximum(v1 - gap / slope, 0.1), 40.0)


def load_pack(bike: Bike, segment: Segment, power: FloatArray, time: FloatArray | float) -> FloatArray:
    """Let the pack give a power for a time; its current."""
    voltage, resistance = segment.voltage, segment.resistance
    under = np.sqrt(np.maximum(voltage**2 - 4.0 * resistance * power, 0.0))
    current = (voltage - under) / (2.0 * resistance)
    x = time / bike.supply.relaxation_time
    keep = 1.0 / (1.0 + x + 0.5 * x**2)
    module = current / bike.supply.modules
    bike.book["pack_loss"] += (resistance * current + bike.relaxation) * current * time
    bike.relaxation = bike.relaxation * keep + segment.relaxing * module * (1.0 - keep)
    capacity = bike.supply.capacity * bike.lanes.capacity_factor
    bike.charge = share(bike.charge - module * time / capacity)
    bike.current = current
    return current


def warm_up(
    bike: Bike,
    air: FloatArray | float,
    time: FloatArray | float,
    *,
    copper: FloatArray | float,
    iron: FloatArray | float,
) -> None:
    """Two masses, one implicit step."""
    motor = bike.drive.motor
    outside = (1.0 + motor.airflow_gain * np.maximum(air, 0.0)) / motor.housing_to_air
    across = 1.0 / motor.winding_to_housing
    winding_store, housing_store = motor.winding_heat_capacity / time, motor.housing_heat_capacity / time
    a, b = winding_store + across, housing_store + across + outside
    p = winding_store * bike.winding + copper
    q = housing_store * bike.housing + iron + outside * bike.lanes.air_temperature
    determinant = a * b - across**2
    bike.winding, bike.housing = (p * b + across * q) / determinant, (a * q + across * p) / determinant


@dataclass(slots=True, kw_only=True, eq=False)
class Notes:
    """Beside the energy book; arrays are (lanes,)."""

    time: FloatArray
    lowest_voltage: FloatArray
    peak_current: FloatArray
    peak_charge_current: FloatArray
    hottest_winding: FloatArray
    rolled_back: FloatArray
    unassisted: FloatArray
    walked: FloatArray
    longest_above: FloatArray
    trace: list[tuple[float, ...]] = field(default_factory=list)


def ride_segment(  # noqa: PLR0915 - one piece, to be read beside the kernel's parts
    bike: Bike, segment: Segment, notes: Notes
) -> None:
    """One segment, with everything that is written down of it."""
    drive, controller, lanes, book = bike.drive, bike.drive.controller, bike.lanes, bike.book
    ds, v0 = segment.length, bike.speed
    ask = asked(bike, segment)
    power_most, force_most = motor_can(bike, segment, segment.middle)
    on = (ask > 0.0) & (power_most > 0.0)
    no_load = drive.motor.no_load_current
    if not drive.freewheels:
        torque = drive.motor.torque_constant * drive.gear_ratio * no_load
        segment.drag = np.where(on, 0.0, torque / bike.radius)
    power_most, force_most = solved(bike, segment, ask, power_most, force_most)
    v1 = np.minimum(np.maximum(segment.later, WALKING_SPEED), segment.cap)
    v = np.maximum(0.5 * (v0 + v1), SLOWEST_MEAN)
    dt = ds / v
    air = v + segment.wind
    drag = segment.air * air * abs(air)
    legs = np.minimum(segment.legs / v, bike.rider.strongest_push) * eased(bike, v)[0]
    wanted = ask * faded(bike, v)[0]
    pull = np.minimum(np.minimum(wanted, power_most) / v, force_most)
    kinetic = 0.5 * (lanes.mass + bike.wheel_mass) * (v1**2 - v0**2)
    bearings = BEARING_FORCE + BEARING_SLOPE * v
    needed = kinetic / ds + drag + segment.climb + segment.rolling + bearings + segment.drag
    used = share(needed / np.maximum(legs + pull, 1e-9))
    offered, legs, pull = pull, legs * used, pull * used
    push, brake = np.maximum(needed - legs - pull, 0.0), np.maximum(-needed, 0.0)
    # motor, regeneration, pack
    emf, winding = emf_at(bike, v), winding_resistance(bike)
    alive = bike.charge > 0.0
    out = pull * v / bike.chain
    running = np.where(out > 1e-6, 1.0, 0.0 if drive.freewheels else on * 1.0)
    current = running * (out / drive.gear_efficiency / emf + no_load)
    copper = winding * current**2
    electric = emf * current + copper
    taken, gained, generating = regenerated(bike, segment, v, emf, brake)
    copper += winding * generating**2
    iron = emf * no_load * running + segment.drag * v
    battery = alive * (electric / controller.efficiency + controller.standby_power)
    battery = battery - gained * controller.efficiency
    pack = load_pack(bike, segment, battery, dt)
    module = pack / bike.supply.modules
    under_load = segment.voltage - segment.resistance * pack
    # the book
    book["rider"] += (legs / lanes.drivetrain_efficiency + push) * ds
    book["battery_out"] += np.maximum(battery, 0.0) * dt
    book["battery_in"] += np.maximum(-battery, 0.0) * dt
    book["climb"] += segment.climb * ds
    book["kinetic"] += kinetic
    book["air"] += drag * ds
    book["rolling"] += segment.rolling * ds
    book["bearings"] += bearings * ds
    book["drivetrain"] += legs * ds * (1.0 / lanes.drivetrain_efficiency - 1.0)
    book["drivetrain"] += pull * ds * (1.0 / bike.chain - 1.0)
    book["motor_copper"] += copper * dt
    book["motor_iron"] += iron * dt
    book["gear"] += (out * (1.0 / drive.gear_efficiency - 1.0) + taken * (1.0 - drive.gear_efficiency)) * dt
    book["controller"] += (electric * (1.0 / controller.efficiency - 1.0)) * dt
    book["controller"] += (alive * controller.standby_power + gained * (1.0 - controller.efficiency)) * dt
    book["brake"] += (brake * v - taken) * dt
    # the notes
    notes.time += dt
    notes.lowest_voltage = np.minimum(notes.lowest_voltage, under_load)
    notes.peak_current = np.maximum(notes.peak_current, pack)
    notes.peak_charge_current = np.maximum(notes.peak_charge_current, -pack)
    short = (segment.room * segment.warm < 1.0) & (wanted > 1.02 * offered * v) & (brake <= 0.0)
    notes.rolled_back += dt * short
    notes.unassisted += ds * ~alive
    walking = (v1 <= WALKING_SPEED) & (push > 1.0)
    notes.walked += ds * walking * (segment.cap > WALKING_SPEED)
    for index, point in enumerate(bike.supply.protection):
        bike.above[index] = np.where(module > point.current, bike.above[index] + dt, 0.0)
    notes.longest_above = np.maximum(notes.longest_above, bike.above)
    warm_up(bike, air, dt, copper=copper, iron=iron)
    notes.hottest_winding = np.maximum(notes.hottest_winding, bike.winding)
    bike.speed, bike.gain = v1, v1 - v0
    crank = (legs / lanes.drivetrain_efficiency + push) * v
    rows = (notes.time, v1, crank, out - taken, pack, under_load, bike.charge, bike.winding)
    notes.trace.append(tuple(float(row[0]) for row in rows))


def regenerated(
    bike: Bike, segment: Segment, speed: FloatArray, emf: FloatArray, brake: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Power taken of the braking, power gained, and the motor's current."""
    none = np.zeros(len(speed))
    if bike.regeneration <= 0.0:
        return none, none, none
    controller, winding = bike.drive.controller, winding_resistance(bike)
    full = min(bike.supply.maximum_voltage, controller.maximum_voltage)
    room = np.maximum(full - segment.voltage, 0.0) / segment.resistance
    current = np.minimum(bike.regeneration, room)
    power = current * (segment.voltage + segment.resistance * current) / controller.efficiency
    most = (emf - np.sqrt(np.maximum(emf**2 - 4.0 * winding * power, 0.0))) / (2.0 * winding)
    # where no current would return so much, the root is 0: the one that returns most
    most = np.minimum(most, bike.phase_limit * segment.warm) * (bike.charge > 0.0)
    taken = np.minimum(brake * speed, emf * most / bike.drive.gear_efficiency)
    generating = taken * bike.drive.gear_efficiency / emf
    return taken, np.maximum((emf - winding * generating) * generating, 0.0), generating


def stand(bike: Bike, segment: Segment, dwell: float) -> None:
    """Standby current and still air."""
    standby = np.where(bike.charge > 0.0, bike.drive.controller.standby_power, 0.0)
    bike.book["battery_out"] += standby * dwell
    bike.book["controller"] += standby * dwell
    load_pack(bike, segment, standby, dwell)
    warm_up(bike, 0.0, dwell, copper=0.0, iron=0.0)
    bike.above[:] = 0.0


def efforts(path: RidePath, rider: Rider) -> FloatArray:
    """Rider power over that on the flat."""
    per_grade = rider.power_per_grade / max(rider.power, 1.0)
    return np.clip(1.0 + per_grade * path.grade, 0.5, 2.0)


def ride_out_plainly(
    path: RidePath,
    *,
    bicycle: Bicycle,
    rider: Rider,
    drive: Drive,
    supply: Supply,
    lanes: Lanes,
    effort: FloatArray | None = None,
) -> Outcome:
    """What ``wattwright.ride.simulation.ride_out`` answers, worked out plainly."""
    bike = saddled(bicycle, rider, drive, supply, lanes)
    none = np.zeros(lanes.count)
    notes = Notes(
        time=none.copy(),
        lowest_voltage=none + 1e9,
        peak_current=none,
        peak_charge_current=none,
        hottest_winding=lanes.air_temperature.copy(),
        rolled_back=none.copy(),
        unassisted=none.copy(),
        walked=none.copy(),
        longest_above=np.zeros((len(supply.protection), lanes.count)),
    )
    density = density_ratio(path.altitude, float(path.altitude[0]))
    effort = efforts(path, rider) if effort is None else effort
    ends = np.cumsum(path.length)
    marks = np.linspace(0, path.segments - 1, min(MARKS - 1, path.segments) + 1).round().astype(int)[1:]
    marked = set(marks.tolist())
    mark, charge_at_mark = [0.0], [lanes.start_charge]
    for index in range(path.segments):
        segment = facing(bike, path, index, float(density[index]), float(effort[index]))
        ride_segment(bike, segment, notes)
        if path.dwell[index] > 0.0:
            stand(bike, segment, float(path.dwell[index]))
            notes.hottest_winding = np.maximum(notes.hottest_winding, bike.winding)
        if index in marked:
            mark.append(float(ends[index]))
            charge_at_mark.append(bike.charge)
    columns = np.array(notes.trace).T
    standing = float(path.dwell.sum())
    return Outcome(
        modules=supply.modules,
        distance=path.distance,
        time=notes.time + standing,
        standing=none + standing,
        charge_left=bike.charge,
        mark=np.array(mark),
        charge_at_mark=np.array(charge_at_mark),
        lowest_voltage=notes.lowest_voltage,
        peak_current=notes.peak_current,
        longest_above=notes.longest_above,
        peak_charge_current=notes.peak_charge_current,
        hottest_winding=notes.hottest_winding,
        rolled_back=notes.rolled_back,
        unassisted=notes.unassisted,
        walked=notes.walked,
        energy=EnergyBook(**bike.book),
        trace=Trace(
            distance=ends,
            time=columns[0] + np.cumsum(path.dwell),
            speed=columns[1],
            rider_power=columns[2],
            motor_power=columns[3],
            battery_current=columns[4],
            pack_voltage=columns[5],
            charge_left=columns[6],
            winding_temperature=columns[7],
        ),
    )
