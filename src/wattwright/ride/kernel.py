"""The compiled inner loop of the ride: one block of lanes after another, one segment after another.

Readable arrays are prepared in ``simulation.py``; equations and the order of a step are explained in
``docs/models/ride-engine.md``. A plain NumPy twin stands in ``benchmarks/reference_ride.py``; a test holds
the two together.

Everything a lane remembers lies in one flat buffer, a row for each quantity: ``s[SPEED + j]`` is the speed of
lane j. One buffer with rows at known places, because the compiler then sees that rows never overlap and
turns the loops over lanes into vector instructions. Many short loops and not one long one, because the
processor works on several lanes of a short loop at once, where in a long one each step waits for the last.
"""

import math
from typing import Any, NamedTuple

import llvmlite.binding
import numba
import numpy as np

from wattwright.ride.motor import REFERENCE_TEMPERATURE
from wattwright.units import FloatArray

LANES = 64
"""In a block."""
STRIDE = LANES + 8
"""From row to row; not a power of two, or many rows would share the same places of the nearest cache."""
TABLE_INTERVALS = 100
"""Supply tables have one more point than this."""
TABLE_COLUMNS = 6
"""For each interval: open-circuit voltage, R0 and R1, each at its start and the gain to its end."""
PROTECTION_POINTS = 4
"""The most a module may have."""
NEWTON_STEPS = 3
CRAWLING = 2.5
"""[m/s] Below it the middle speed is guessed from the force there is, not from the last segment's gain."""
HIGHEST_START = 1e9
"""Above any voltage or current: where a search for the lowest begins."""
NEAR = 0.9
"""Of the motor's limit: from here it is looked at again once the speed is better known."""
LEAST_POWER = 1e-9
"""[W] Left to a motor that is on."""
SLOWEST_MEAN = 0.25
"""[m/s] Least mean speed over a segment, so that time stays finite."""

# Rows of the buffer that are given, in the order of ``simulation.lane_rows`` ...
(
    MASS, HALF_INERTIA, AIR_FACTOR, ROLLING, WIND_NORTH, WIND_EAST, AIR_TEMPERATURE,
    RIDER_POWER, PER_DRIVETRAIN, CHAIN, PER_CHAIN, PER_CAPACITY, RESISTANCE_FACTOR, START_CHARGE,
) = range(0, 14 * STRIDE, STRIDE)  # fmt: skip
GIVEN_ROWS = 14

# ... that live for one segment ...
(
    HEADWIND, AIR, STILL, LEGS, ASKED, OPEN_VOLTAGE, PACK_RESISTANCE, RELAXING, HEADROOM, MIDDLE, LATER,
    POWER_MOST, FORCE_MOST, MOTOR_FORCE, PUSH, BRAKING, TAKEN, GENERATING,
    DURATION, BATTERY_POWER, COPPER_POWER, IRON_POWER, MODULE_CURRENT, VOLTAGE,
) = range(GIVEN_ROWS * STRIDE, (GIVEN_ROWS + 24) * STRIDE, STRIDE)  # fmt: skip
FIRST_RESULT = GIVEN_ROWS + 24

# ... and that outlive it: what changes, what adds up, and extremes. These are the results.
(
    SPEED, LAST_GAIN, CHARGE, RELAXATION, WINDING, HOUSING, CURRENT,
    RIDING_TIME, LEGS_WORK, PUSH_WORK, MOTOR_WORK, BRAKE_WORK, AIR_WORK, SPEED_LENGTH,
    ELECTRIC_WORK, BATTERY_WORK, BATTERY_IN, PACK_LOSS, COPPER_LOSS, IRON_LOSS, TAKEN_WORK, GENERATED,
    EMPTY_TIME, EMPTY_LENGTH, LOWEST_VOLTAGE, PEAK_CURRENT, PEAK_CHARGE_CURRENT, HOTTEST, ROLLED_BACK, WALKED,
) = range(FIRST_RESULT * STRIDE, (FIRST_RESULT + 30) * STRIDE, STRIDE)  # fmt: skip
ABOVE = (FIRST_RESULT + 30) * STRIDE
LONGEST_ABOVE = ABOVE + PROTECTION_POINTS * STRIDE
RESULT_ROWS = 30 + 2 * PROTECTION_POINTS
ROWS = FIRST_RESULT + RESULT_ROWS

# Columns of the road.
(
    LENGTH, SIN_SLOPE, COS_SLOPE, COS_HEADING, SIN_HEADING, DENSITY_RATIO,
    SPEED_CAP, DWELL, ROLLING_FACTOR, EFFORT,
) = range(10)  # fmt: skip
ROAD_COLUMNS = 10

TRACE_COLUMNS = 8


class Fixed(NamedTuple):
    """What is the same in every lane; SI units."""

    weight: float
    """Of one kilogram. [N]"""
    wheel_mass: float
    """Equivalent mass of the wheels' turning, I/r². [kg]"""
    bearing_force: float
    bearing_slope: float
    free_drag: float
    """At the wheel, of a motor that cannot let go and is off; 0 where it freewheels. [N]"""
    strongest_push: float
    walking_speed: float
    coasting_speed: float
    rider_band: float
    """1 over the span of speeds in which the rider eases off. [s/m]"""
    multiple: float
    assist_power: float
    held_power: float
    """1 where the law holds power, else 0."""
    held_speed: float
    """The speed to hold, or 0 where the law is another."""
    needs_pedalling: float
    cutoff_speed: float
    assist_band: float
    """1 over the span of speeds in which help fades. [s/m]"""
    cadence: float
    """Turning speed the gears keep the crank near; 0 at a hub."""
    slowest_drive: float
    """The same in the highest gear."""
    fastest_drive: float
    """Turning speed of what the motor drives over road speed: in the lowest gear, or 1/r at a hub. [1/m]"""
    motor_constant: float
    """Torque constant times gear ratio. [N m/A]"""
    gear_efficiency: float
    motor_resistance: float
    copper_coefficient: float
    no_load_current: float
    phase_limit: float
    freewheels: float
    hottest_winding: float
    heat_band: float
    """1 over the span of temperatures in which the motor rolls back. [1/K]"""
    winding_capacity: float
    housing_capacity: float
    winding_conductance: float
    housing_conductance: float
    airflow_gain: float
    battery_limit: float
    controller_efficiency: float
    standby: float
    rollback_voltage: float
    cutoff_voltage: float
    full_voltage: float
    regeneration_limit: float
    modules: float
    relaxation_time: float


def use_the_widest_registers() -> None:
    """Let the compiler use 512-bit registers where there are any.

    It keeps to half of them on processors that once slowed down for the full width; here the full width takes
    a quarter less time (docs/decisions). Nothing happens where somebody has chosen features already, and it
    must come before the first compilation of the process to have an effect.
    """
    config: Any = numba.config
    features = llvmlite.binding.get_host_cpu_features()
    if config.CPU_FEATURES is None and features.get("avx512f"):
        config.CPU_FEATURES = f"{features.flatten()},-prefer-256-bit"


use_the_widest_registers()

part = numba.njit(fastmath=True, error_model="numpy", forceinline=True)
"""A part of a step; it is compiled into the loop that calls it."""


# -- arithmetic


@part
def share(x: float) -> float:
    """x, kept between 0 and 1."""
    return min(max(x, 0.0), 1.0)


@part
def reciprocal(x: float) -> float:
    """1/x to 2e-14, x from 1e-37 to 1e37: a 32-bit one and a Newton step, as 64-bit dividers are slow."""
    seed = np.float64(np.float32(1.0) / np.float32(x))
    return seed * (2.0 - x * seed)


@part
def root(x: float) -> float:
    """√x to 2e-14 in the same way, for the same x."""
    seed = np.float64(np.float32(1.0) / np.sqrt(np.float32(x)))
    return x * seed * (1.5 - 0.5 * x * seed * seed)


@part
def drive_speed(v: float, fixed: Fixed) -> float:
    """Turning speed of the wheel at a hub; of the crank, kept near its cadence by the gears. [rad/s]"""
    return min(max(fixed.cadence, v * fixed.slowest_drive), v * fixed.fastest_drive)


@part
def winding_resistance(temperature: float, fixed: Fixed) -> float:
    """Of warm copper."""
    return fixed.motor_resistance * (1.0 + fixed.copper_coefficient * (temperature - REFERENCE_TEMPERATURE))


# -- a segment, part by part


@part
def face_the_road(s: FloatArray, road: FloatArray, segment: int, fixed: Fixed) -> None:
    """Wind along the road, and the forces and powers that do not ask for the speed."""
    cosine, sine = road[segment, COS_HEADING], road[segment, SIN_HEADING]
    rising = road[segment, SIN_SLOPE]
    pressing = road[segment, COS_SLOPE] * road[segment, ROLLING_FACTOR]
    density, effort = road[segment, DENSITY_RATIO], road[segment, EFFORT]
    for j in range(LANES):
        s[HEADWIND + j] = s[WIND_NORTH + j] * cosine + s[WIND_EAST + j] * sine
        s[AIR + j] = s[AIR_FACTOR + j] * density
        load = s[MASS + j] * fixed.weight
        s[STILL + j] = load * (rising + pressing * s[ROLLING + j]) + fixed.bearing_force
        s[LEGS + j] = s[RIDER_POWER + j] * effort


@part
def look_up(s: FloatArray, tables: FloatArray) -> None:
    """Open-circuit voltage less relaxation, and both resistances of one module, by charge."""
    for j in range(LANES):
        position = share(s[CHARGE + j]) * TABLE_INTERVALS
        interval = min(int(position), TABLE_INTERVALS - 1)
        along = position - interval
        first = TABLE_COLUMNS * interval
        s[OPEN_VOLTAGE + j] = tables[first] + along * tables[first + 1]
        s[PACK_RESISTANCE + j] = tables[first + 2] + along * tables[first + 3]
        s[RELAXING + j] = tables[first + 4] + along * tables[first + 5]


@part
def pack_gives(s: FloatArray, fixed: Fixed) -> float:
    """The pack's resistance, and the share of the current limit its voltage leaves.

    Returns:
        How many lanes are held back by voltage, heat or an empty pack.
    """
    per_n = 1.0 / fixed.modules
    span = fixed.rollback_voltage - fixed.cutoff_voltage
    held_back = 0.0
    for j in range(LANES):
        voltage = s[OPEN_VOLTAGE + j] - s[RELAXATION + j]
        scale = s[RESISTANCE_FACTOR + j]
        resistance = scale * s[PACK_RESISTANCE + j] * per_n
        alive = 1.0 if s[CHARGE + j] > 0.0 else 0.0
        s[OPEN_VOLTAGE + j] = voltage
        s[PACK_RESISTANCE + j] = resistance
        s[RELAXING + j] *= scale
        room = share((voltage - fixed.cutoff_voltage) * reciprocal(span + resistance * fixed.battery_limit))
        warm = share((fixed.hottest_winding - s[WINDING + j]) * fixed.heat_band)
        s[HEADROOM + j] = alive * room
        held_back += 1.0 if alive * room * warm < 1.0 else 0.0
    return held_back


@part
def guess(s: FloatArray) -> float:
    """The speed in the middle of the segment, if force stays as in the last one: the same gain in v².

    Returns:
        How many lanes crawl.
    """
    crawling = 0.0
    for j in range(LANES):
        v0, gain = s[SPEED + j], s[LAST_GAIN + j]
        gain *= min((v0 - 0.5 * gain) * reciprocal(max(v0, SLOWEST_MEAN)), 1.0)
        middle = v0 + 0.5 * gain
        s[MIDDLE + j] = middle
        s[LATER + j] = v0 + gain
        crawling += 1.0 if middle < CRAWLING else 0.0
    return crawling


@part
def guess_crawling(s: FloatArray, ds: float, fixed: Fixed) -> None:
    """The same for lanes that start or crawl: what full force would reach, at most ``CRAWLING``."""
    force = fixed.strongest_push + fixed.motor_constant * fixed.phase_limit * fixed.fastest_drive
    for j in range(LANES):
        v0 = s[SPEED + j]
        gain = max(force - s[STILL + j], 0.0) * ds * reciprocal(s[HALF_INERTIA + j])
        reach = root(max(v0 * v0 + gain, 0.25))
        before = s[MIDDLE + j]
        middle = max(before, min(0.5 * (v0 + reach), CRAWLING))
        s[MIDDLE + j] = middle
        # where nothing was to be guessed anew nothing changes, not even the last bit
        s[LATER + j] = 2.0 * middle - v0 if before < CRAWLING else s[LATER + j]


@part
def motor_most(s: FloatArray, j: int, v: float, fixed: Fixed) -> tuple[float, float]:
    """Most power (pack, voltage) and most force (winding) of the motor at the wheel, at a speed."""
    emf = fixed.motor_constant * drive_speed(v, fixed)
    voltage, resistance = s[OPEN_VOLTAGE + j], s[PACK_RESISTANCE + j]
    current = fixed.battery_limit * s[HEADROOM + j]
    terminal = (current * (voltage - resistance * current) - fixed.standby) * fixed.controller_efficiency
    winding = winding_resistance(s[WINDING + j], fixed)
    per_winding = reciprocal(winding)
    by_power = 0.5 * (root(emf * emf + 4.0 * winding * max(terminal, 0.0)) - emf) * per_winding
    by_voltage = (voltage - resistance * s[CURRENT + j] - emf) * per_winding
    warm = share((fixed.hottest_winding - s[WINDING + j]) * fixed.heat_band)
    turn = emf * fixed.gear_efficiency * s[CHAIN + j]
    power = turn * max(min(by_power, by_voltage) - fixed.no_load_current, 0.0)
    force = turn * max(fixed.phase_limit * warm - fixed.no_load_current, 0.0) * reciprocal(v)
    return power, force


@part
def motor_can(s: FloatArray, fixed: Fixed) -> None:
    """The motor's limits at the speed expected in the middle of the segment."""
    for j in range(LANES):
        power, force = motor_most(s, j, s[MIDDLE + j], fixed)
        s[POWER_MOST + j] = power
        s[FORCE_MOST + j] = force


@part
def is_near(asked: float, most: float, middle: float, last_gain: float) -> bool:
    """Whether the motor's power may be at its limit; the guess of speed is worth less while speed changes."""
    return asked * middle > (NEAR * middle - abs(last_gain)) * most


@part
def motor_can_after_all(s: FloatArray, fixed: Fixed) -> None:
    """The limits again at the speed found so far, where they are near: they must hold where it ends up."""
    for j in range(LANES):
        before = s[POWER_MOST + j]
        near = is_near(s[ASKED + j], before, s[MIDDLE + j], s[LAST_GAIN + j])
        v = max(0.5 * (s[SPEED + j] + s[LATER + j]), SLOWEST_MEAN)
        power, force = motor_most(s, j, v, fixed)
        s[POWER_MOST + j] = max(power, LEAST_POWER) if near and before > 0.0 else before
        s[FORCE_MOST + j] = force if near else s[FORCE_MOST + j]


@part
def law_asks(s: FloatArray, fixed: Fixed) -> float:
    """Power the law asks of the motor, at the wheel, before it fades: so often the rider's, or a level.

    Returns:
        How many lanes are near the motor's limits.
    """
    near = 0.0
    for j in range(LANES):
        v0 = s[SPEED + j]
        legs = s[LEGS + j] * share((fixed.coasting_speed - v0) * fixed.rider_band)
        follows = min(fixed.multiple * legs * s[PER_DRIVETRAIN + j], fixed.assist_power)
        asked = fixed.assist_power if fixed.held_power > 0.0 else follows
        asked *= s[CHAIN + j] * may_help(v0, legs, fixed)
        s[ASKED + j] = asked
        near += 1.0 if is_near(asked, s[POWER_MOST + j], s[MIDDLE + j], s[LAST_GAIN + j]) else 0.0
    return near


@part
def holding_asks(s: FloatArray, ds: float, fixed: Fixed) -> float:
    """Power that reaches and holds the set speed, less the rider's.

    Returns:
        How many lanes are near the motor's limits.
    """
    near = 0.0
    per_ds = 1.0 / ds
    for j in range(LANES):
        v0 = s[SPEED + j]
        legs = s[LEGS + j] * share((fixed.coasting_speed - v0) * fixed.rider_band)
        v = 0.5 * (v0 + fixed.held_speed)
        air = v + s[HEADWIND + j]
        force = s[HALF_INERTIA + j] * per_ds * (fixed.held_speed * fixed.held_speed - v0 * v0)
        force += s[AIR + j] * air * abs(air) + s[STILL + j] + fixed.bearing_slope * v
        asked = min(max(force * v - legs, 0.0), fixed.assist_power * s[CHAIN + j])
        asked *= may_help(v0, legs, fixed)
        s[ASKED + j] = asked
        near += 1.0 if is_near(asked, s[POWER_MOST + j], s[MIDDLE + j], s[LAST_GAIN + j]) else 0.0
    return near


@part
def may_help(v0: float, legs: float, fixed: Fixed) -> float:
    """1 below the cut-off speed and while the rider pedals, where the law needs it; else 0."""
    return 0.0 if v0 >= fixed.cutoff_speed or (fixed.needs_pedalling > 0.0 and legs <= 0.0) else 1.0


@part
def is_on(asked: float, most: float) -> float:
    """1 where help is asked for and the motor can give any."""
    return 1.0 if min(asked, most) > 0.0 else 0.0


@part
def drag_when_off(s: FloatArray, fixed: Fixed) -> None:
    """A motor that cannot let go resists while it is off."""
    for j in range(LANES):
        s[STILL + j] += fixed.free_drag * (1.0 - is_on(s[ASKED + j], s[POWER_MOST + j]))


@part
def newton(s: FloatArray, ds: float, fixed: Fixed) -> None:
    """A step towards the speed at the segment's end at which the work over the segment balances."""
    per_ds = 1.0 / ds
    for j in range(LANES):
        v0, v1 = s[SPEED + j], s[LATER + j]
        inertia = s[HALF_INERTIA + j] * per_ds
        v = max(0.5 * (v0 + v1), SLOWEST_MEAN)
        per_v = reciprocal(v)
        air = v + s[HEADWIND + j]
        drag = s[AIR + j] * abs(air)
        # the rider's force: power over speed, at most what legs press, easing off
        ease = share((fixed.coasting_speed - v) * fixed.rider_band)
        by_power = s[LEGS + j] * per_v
        legs = min(by_power, fixed.strongest_push)
        legs_slope = by_power * per_v * ease if by_power < fixed.strongest_push else 0.0
        legs_slope += legs * fixed.rider_band if 0.0 < ease < 1.0 else 0.0
        # the motor's: power asked, fading, at most what pack and winding allow
        fade = share((fixed.cutoff_speed - v) * fixed.assist_band)
        asked = s[ASKED + j] * fade
        fading = s[ASKED + j] * fixed.assist_band if 0.0 < fade < 1.0 and asked < s[POWER_MOST + j] else 0.0
        by_power = min(asked, s[POWER_MOST + j]) * per_v
        pull = min(by_power, s[FORCE_MOST + j])
        pull_slope = (fading + by_power) * per_v if by_power < s[FORCE_MOST + j] else 0.0
        gap = inertia * (v1 * v1 - v0 * v0) + drag * air + s[STILL + j] + fixed.bearing_slope * v
        gap -= legs * ease + pull
        slope = 2.0 * inertia * v1 + drag + 0.5 * (fixed.bearing_slope + legs_slope + pull_slope)
        s[LATER + j] = min(max(v1 - gap * reciprocal(slope), 0.1), 40.0)


@part
def solve(s: FloatArray, ds: float, near: float, fixed: Fixed) -> None:
    """The speed at the segment's end; limits that are near are brought up to date on the way."""
    for _ in range(NEWTON_STEPS - 1):
        newton(s, ds, fixed)
        if near > 0.0:
            motor_can_after_all(s, fixed)
    newton(s, ds, fixed)


@part
def settle(s: FloatArray, ds: float, cap: float, fixed: Fixed) -> float:
    """Cap and walking pace, then every force as it was: what is left over closes the balance exactly.

    Returns:
        How many lanes go at walking pace where they might go faster.
    """
    per_ds = 1.0 / ds
    walking = 0.0
    for j in range(LANES):
        v0 = s[SPEED + j]
        v1 = min(max(s[LATER + j], fixed.walking_speed), cap)
        v = max(0.5 * (v0 + v1), SLOWEST_MEAN)
        per_v = reciprocal(v)
        air = v + s[HEADWIND + j]
        drag = s[AIR + j] * air * abs(air)
        legs = min(s[LEGS + j] * per_v, fixed.strongest_push)
        legs *= share((fixed.coasting_speed - v) * fixed.rider_band)
        asked = s[ASKED + j] * share((fixed.cutoff_speed - v) * fixed.assist_band)
        pull = min(min(asked, s[POWER_MOST + j]) * per_v, s[FORCE_MOST + j])
        needed = s[HALF_INERTIA + j] * per_ds * (v1 * v1 - v0 * v0)
        needed += drag + s[STILL + j] + fixed.bearing_slope * v
        used = share(needed * reciprocal(max(legs + pull, 1e-9)))
        legs *= used
        pull *= used
        s[MIDDLE + j] = v
        s[DURATION + j] = ds * per_v
        s[MOTOR_FORCE + j] = pull
        s[PUSH + j] = max(needed - legs - pull, 0.0)
        s[BRAKING + j] = max(-needed, 0.0)
        s[LEGS + j] = legs * v
        s[SPEED + j] = v1
        s[LAST_GAIN + j] = v1 - v0
        s[AIR_WORK + j] += drag * ds
        s[LEGS_WORK + j] += legs * ds
        walking += 1.0 if v1 <= fixed.walking_speed and cap > fixed.walking_speed else 0.0
    return walking


@part
def note_work(s: FloatArray, ds: float) -> None:
    """What the forces of the segment did."""
    for j in range(LANES):
        s[MOTOR_WORK + j] += s[MOTOR_FORCE + j] * ds
        s[PUSH_WORK + j] += s[PUSH + j] * ds
        s[BRAKE_WORK + j] += s[BRAKING + j] * ds
        s[SPEED_LENGTH + j] += s[MIDDLE + j] * ds
        s[RIDING_TIME + j] += s[DURATION + j]


@part
def note_walking(s: FloatArray, ds: float, fixed: Fixed) -> None:
    """Distance at walking pace with the rider pushing."""
    for j in range(LANES):
        walking = s[SPEED + j] <= fixed.walking_speed and s[PUSH + j] > 1.0
        s[WALKED + j] += ds if walking else 0.0


@part
def note_held_back(s: FloatArray, fixed: Fixed) -> None:
    """Time with less help than asked for because of voltage, heat or an empty pack."""
    for j in range(LANES):
        v = s[MIDDLE + j]
        warm = share((fixed.hottest_winding - s[WINDING + j]) * fixed.heat_band)
        asked = s[ASKED + j] * share((fixed.cutoff_speed - v) * fixed.assist_band)
        offered = min(asked, s[POWER_MOST + j], s[FORCE_MOST + j] * v)
        short = s[HEADROOM + j] * warm < 1.0 and asked > 1.02 * offered and s[BRAKING + j] <= 0.0
        s[ROLLED_BACK + j] += s[DURATION + j] if short else 0.0


@part
def note_empty(s: FloatArray, ds: float) -> None:
    """Time and distance with nothing left in the pack."""
    for j in range(LANES):
        empty = s[CHARGE + j] <= 0.0
        s[EMPTY_TIME + j] += s[DURATION + j] if empty else 0.0
        s[EMPTY_LENGTH + j] += ds if empty else 0.0


@part
def run_motor(s: FloatArray, fixed: Fixed) -> None:
    """The motor as it ran: what it drew, and what it lost."""
    gearing, per_controller = 1.0 / fixed.gear_efficiency, 1.0 / fixed.controller_efficiency
    for j in range(LANES):
        v = s[MIDDLE + j]
        emf = fixed.motor_constant * drive_speed(v, fixed)
        out = s[MOTOR_FORCE + j] * v * s[PER_CHAIN + j]
        on = is_on(s[ASKED + j], s[POWER_MOST + j])
        # one that cannot let go is kept turning: its no-load current flows whenever it is on
        running = 1.0 if out > 1e-6 else on * (1.0 - fixed.freewheels)
        current = running * (out * gearing * reciprocal(emf) + fixed.no_load_current)
        copper = winding_resistance(s[WINDING + j], fixed) * current * current
        electric = emf * current + copper
        alive = 1.0 if s[CHARGE + j] > 0.0 else 0.0
        s[BATTERY_POWER + j] = alive * (electric * per_controller + fixed.standby)
        s[COPPER_POWER + j] = copper
        s[IRON_POWER + j] = emf * fixed.no_load_current * running + fixed.free_drag * (1.0 - on) * v
        s[ELECTRIC_WORK + j] += electric * s[DURATION + j]


@part
def regenerate(s: FloatArray, fixed: Fixed) -> None:
    """What the motor takes of the braking, within charge limit, full voltage and winding."""
    for j in range(LANES):
        v = s[MIDDLE + j]
        emf = fixed.motor_constant * drive_speed(v, fixed)
        per_emf = reciprocal(emf)
        voltage, resistance = s[OPEN_VOLTAGE + j], s[PACK_RESISTANCE + j]
        winding = winding_resistance(s[WINDING + j], fixed)
        room = max(fixed.full_voltage - voltage, 0.0) * reciprocal(resistance)
        current = min(fixed.regeneration_limit, room)
        power = current * (voltage + resistance * current) * (1.0 / fixed.controller_efficiency)
        under = math.sqrt(max(emf * emf - 4.0 * winding * power, 0.0))
        warm = share((fixed.hottest_winding - s[WINDING + j]) * fixed.heat_band)
        # where no current would return so much, under is 0: the one that returns most
        most = min(0.5 * (emf - under) * reciprocal(winding), fixed.phase_limit * warm)
        most = most if s[CHARGE + j] > 0.0 else 0.0  # modules that have let go take nothing back
        taken = min(s[BRAKING + j] * v, emf * most * (1.0 / fixed.gear_efficiency))
        generating = taken * fixed.gear_efficiency * per_emf
        copper = winding * generating * generating
        gained = max(emf * generating - copper, 0.0)
        battery = s[BATTERY_POWER + j] - gained * fixed.controller_efficiency
        s[TAKEN + j] = taken
        s[BATTERY_POWER + j] = battery
        s[COPPER_POWER + j] += copper
        s[TAKEN_WORK + j] += taken * s[DURATION + j]
        s[GENERATED + j] += gained * s[DURATION + j]
        s[BATTERY_IN + j] += max(-battery, 0.0) * s[DURATION + j]


@part
def load_pack(s: FloatArray, lowest: float, fixed: Fixed) -> float:
    """Current and voltage for the power drawn; how many lanes go above a module's lowest protection."""
    per_n, per_relaxation = 1.0 / fixed.modules, 1.0 / fixed.relaxation_time
    above = 0.0
    for j in range(LANES):
        voltage, resistance = s[OPEN_VOLTAGE + j], s[PACK_RESISTANCE + j]
        power, dt, relaxed = s[BATTERY_POWER + j], s[DURATION + j], s[RELAXATION + j]
        under = root(max(voltage * voltage - 4.0 * resistance * power, 1e-12))
        current = 2.0 * power * reciprocal(voltage + under)
        module = current * per_n
        x = dt * per_relaxation
        keep = reciprocal(1.0 + x + 0.5 * x * x)
        s[CURRENT + j] = current
        s[VOLTAGE + j] = voltage - resistance * current
        s[MODULE_CURRENT + j] = module
        s[RELAXATION + j] = relaxed * keep + s[RELAXING + j] * module * (1.0 - keep)
        s[CHARGE + j] = share(s[CHARGE + j] - module * dt * s[PER_CAPACITY + j])
        s[BATTERY_WORK + j] += power * dt
        s[PACK_LOSS + j] += (resistance * current + relaxed) * current * dt
        above += 1.0 if module > lowest else 0.0
    return above


@part
def note_extremes(s: FloatArray) -> None:
    """Lowest voltage and highest currents so far."""
    for j in range(LANES):
        s[LOWEST_VOLTAGE + j] = min(s[LOWEST_VOLTAGE + j], s[VOLTAGE + j])
        s[PEAK_CURRENT + j] = max(s[PEAK_CURRENT + j], s[CURRENT + j])
        s[PEAK_CHARGE_CURRENT + j] = max(s[PEAK_CHARGE_CURRENT + j], -s[CURRENT + j])


@part
def warm_up(s: FloatArray, fixed: Fixed) -> None:
    """Winding and housing, two masses; an implicit step is never unstable, however long the segment."""
    across = fixed.winding_conductance
    for j in range(LANES):
        air = max(s[MIDDLE + j] + s[HEADWIND + j], 0.0)
        outside = fixed.housing_conductance * (1.0 + fixed.airflow_gain * air)
        dt, copper, iron = s[DURATION + j], s[COPPER_POWER + j], s[IRON_POWER + j]
        per_dt = reciprocal(dt)
        winding_store, housing_store = fixed.winding_capacity * per_dt, fixed.housing_capacity * per_dt
        a, b = winding_store + across, housing_store + across + outside
        p = winding_store * s[WINDING + j] + copper
        q = housing_store * s[HOUSING + j] + iron + outside * s[AIR_TEMPERATURE + j]
        per_determinant = reciprocal(a * b - across * across)
        winding = (p * b + across * q) * per_determinant
        s[WINDING + j] = winding
        s[HOUSING + j] = (a * q + across * p) * per_determinant
        s[HOTTEST + j] = max(s[HOTTEST + j], winding)
        s[COPPER_LOSS + j] += copper * dt
        s[IRON_LOSS + j] += iron * dt


@part
def watch_protection(s: FloatArray, thresholds: FloatArray) -> float:
    """How long each module's current has been above each threshold without a break.

    Returns:
        How many such times are running.
    """
    running = 0.0
    for point in range(thresholds.shape[0]):
        above, longest = ABOVE + point * STRIDE, LONGEST_ABOVE + point * STRIDE
        limit = thresholds[point]
        for j in range(LANES):
            time = s[above + j] + s[DURATION + j] if s[MODULE_CURRENT + j] > limit else 0.0
            s[above + j] = time
            s[longest + j] = max(s[longest + j], time)
            running += 1.0 if time > 0.0 else 0.0
    return running


@part
def start(s: FloatArray, given: FloatArray, block: int) -> None:
    """Everything at rest and as warm as the air."""
    for row in range(GIVEN_ROWS):
        for j in range(LANES):
            s[row * STRIDE + j] = given[block, row, j]
    for j in range(LANES):
        s[CHARGE + j] = s[START_CHARGE + j]
        s[WINDING + j] = s[AIR_TEMPERATURE + j]
        s[HOUSING + j] = s[AIR_TEMPERATURE + j]
        s[HOTTEST + j] = s[AIR_TEMPERATURE + j]
        s[LOWEST_VOLTAGE + j] = HIGHEST_START


@part
def stand(s: FloatArray, dwell: float, lowest: float, fixed: Fixed) -> float:
    """Standing at a segment's end: only the controller's standby draws, and still air cools the motor.

    Returns:
        0: nothing has been above any protection current since.
    """
    for point in range(PROTECTION_POINTS):
        for j in range(LANES):
            s[ABOVE + point * STRIDE + j] = 0.0
    for j in range(LANES):
        alive = 1.0 if s[CHARGE + j] > 0.0 else 0.0
        s[BATTERY_POWER + j] = alive * fixed.standby
        s[DURATION + j] = dwell
        s[EMPTY_TIME + j] += (1.0 - alive) * dwell
        s[COPPER_POWER + j] = 0.0
        s[IRON_POWER + j] = 0.0
        s[MIDDLE + j] = 0.0
        s[HEADWIND + j] = 0.0
    load_pack(s, lowest, fixed)
    warm_up(s, fixed)
    return 0.0


@part
def write_trace(s: FloatArray, trace: FloatArray, segment: int) -> None:
    """The first lane, after riding the segment and before standing at its end."""
    v = s[MIDDLE]
    trace[segment, 0] = s[RIDING_TIME]
    trace[segment, 1] = s[SPEED]
    trace[segment, 2] = s[LEGS] * s[PER_DRIVETRAIN] + s[PUSH] * v
    trace[segment, 3] = s[MOTOR_FORCE] * v * s[PER_CHAIN] - s[TAKEN]
    trace[segment, 4] = s[CURRENT]
    trace[segment, 5] = s[VOLTAGE]
    trace[segment, 6] = s[CHARGE]
    trace[segment, 7] = s[WINDING]


@part
def set_out(
    s: FloatArray, road: FloatArray, segment: int, tables: FloatArray, fixed: Fixed
) -> tuple[float, float]:
    """Everything that is known before the speed is: what resists, what the pack, motor and law give.

    Returns:
        How many lanes are held back by voltage, heat or an empty pack, and how many are near a limit.
    """
    ds = road[segment, LENGTH]
    face_the_road(s, road, segment, fixed)
    look_up(s, tables)
    held_back = pack_gives(s, fixed)
    if guess(s) > 0.0:
        guess_crawling(s, ds, fixed)
    motor_can(s, fixed)
    near = holding_asks(s, ds, fixed) if fixed.held_speed > 0.0 else law_asks(s, fixed)
    if fixed.free_drag > 0.0:
        drag_when_off(s, fixed)
    return held_back, near


@part
def note_ride(s: FloatArray, ds: float, walking: float, held_back: float, fixed: Fixed) -> None:
    """Work, walking and lack of help; what happens in no lane of the block is not looked for."""
    note_work(s, ds)
    if walking > 0.0:
        note_walking(s, ds, fixed)
    if held_back > 0.0:
        note_held_back(s, fixed)
        note_empty(s, ds)


@part
def draw(s: FloatArray, lowest: float, fixed: Fixed) -> float:
    """What the motor takes from the pack, and what that does to both.

    Returns:
        How many lanes go above a module's lowest protection current.
    """
    run_motor(s, fixed)
    if fixed.regeneration_limit > 0.0:
        regenerate(s, fixed)
    loaded = load_pack(s, lowest, fixed)
    note_extremes(s)
    warm_up(s, fixed)
    return loaded


@part
def note_mark(s: FloatArray, charge_at_mark: FloatArray, mark: int, block: int) -> None:
    """Charge on the way."""
    for j in range(LANES):
        charge_at_mark[mark, block, j] = s[CHARGE + j]


@part
def finish(s: FloatArray, results: FloatArray, block: int) -> None:
    """Hand the results over."""
    for row in range(RESULT_ROWS):
        for j in range(LANES):
            results[block, row, j] = s[(FIRST_RESULT + row) * STRIDE + j]


@numba.njit(parallel=True, fastmath=True, error_model="numpy", cache=True)
def ride_blocks(  # noqa: PLR0917 - numba takes no keywords
    road: FloatArray,
    fixed: Fixed,
    tables: FloatArray,
    thresholds: FloatArray,
    given: FloatArray,
    mark_of: np.ndarray,
    results: FloatArray,
    charge_at_mark: FloatArray,
    trace: FloatArray,
) -> None:
    """Ride every block of lanes along the road.

    Args:
        road: (segments, ROAD_COLUMNS).
        fixed: What all lanes share.
        tables: (TABLE_INTERVALS * TABLE_COLUMNS,) of one module by charge.
        thresholds: (points,) currents of one module whose exceedance is timed.
        given: (blocks, GIVEN_ROWS, LANES).
        mark_of: (segments,) index of the mark at the segment's end, or -1.
        results: (blocks, RESULT_ROWS, LANES), filled.
        charge_at_mark: (marks, blocks, LANES), filled.
        trace: (segments, TRACE_COLUMNS), filled from the first lane of the first block.
    """
    lowest = HIGHEST_START
    for point in range(thresholds.shape[0]):
        lowest = min(lowest, thresholds[point])
    for block in numba.prange(given.shape[0]):
        # Copied number by number in the parts: a slice would let the buffer out of the compiler's sight.
        s = np.zeros(ROWS * STRIDE)
        start(s, given, block)
        loaded = 0.0
        for segment in range(road.shape[0]):
            ds, cap, dwell = road[segment, LENGTH], road[segment, SPEED_CAP], road[segment, DWELL]
            held_back, near = set_out(s, road, segment, tables, fixed)
            solve(s, ds, near, fixed)
            walking = settle(s, ds, cap, fixed)
            note_ride(s, ds, walking, held_back, fixed)
            loaded += draw(s, lowest, fixed)
            if loaded > 0.0:
                loaded = watch_protection(s, thresholds)
            if block == 0:
                write_trace(s, trace, segment)
            if dwell > 0.0:
                loaded = stand(s, dwell, lowest, fixed)
            if mark_of[segment] >= 0:
                note_mark(s, charge_at_mark, mark_of[segment], block)
        finish(s, results, block)
