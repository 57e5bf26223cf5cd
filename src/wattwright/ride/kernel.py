"""The compiled inner loop of the ride: one block of lanes after another, one segment after another.

Readable arrays are prepared in ``simulation.py``; what each line computes is derived in
``docs/models/ride-engine.md``. A plain NumPy twin stands in ``benchmarks/reference_ride.py`` and a test holds
the two together.

Everything a lane remembers lives in one buffer of shape (rows, LANES_PER_BLOCK). One buffer, because the
compiler then sees that rows never overlap and turns the loop over lanes into vector instructions.
"""

import math
from typing import NamedTuple

import numba
import numpy as np

from wattwright.units import FloatArray

LANES_PER_BLOCK = 64
PROTECTION_POINTS = 4
NEWTON_STEPS = 3
TABLE_INTERVALS = 100
"""Supply tables have one more point than this."""

# Rows of the buffer that are given per lane, in the order of ``simulation.lane_rows``.
MASS = 0
DRAG_AREA = 1
ROLLING = 2
AIR_DENSITY = 3
WIND_NORTH = 4
WIND_EAST = 5
AIR_TEMPERATURE = 6
RIDER_POWER = 7
DRIVETRAIN = 8
CAPACITY = 9
RESISTANCE_FACTOR = 10
START_CHARGE = 11
GIVEN_ROWS = 12

# Rows that change from segment to segment.
SPEED = 12
LAST_GAIN = 13
CHARGE = 14
RELAXATION = 15
WINDING = 16
HOUSING = 17
CURRENT = 18
VOLTAGE = 19
RIDER_NOW = 20
MOTOR_NOW = 21

# Rows that add up or remember an extreme: the results.
TIME = 22
STANDING = 23
RIDER_WORK = 24
BATTERY_OUT = 25
BATTERY_IN = 26
PACK_LOSS = 27
CLIMB = 28
KINETIC = 29
AIR = 30
ROLLING_LOSS = 31
BEARINGS = 32
DRIVETRAIN_LOSS = 33
COPPER = 34
IRON = 35
GEAR = 36
CONTROLLER = 37
BRAKE = 38
LOWEST_VOLTAGE = 39
PEAK_CURRENT = 40
PEAK_CHARGE_CURRENT = 41
HOTTEST_WINDING = 42
ROLLED_BACK = 43
UNASSISTED = 44
WALKED = 45
ABOVE = 46
LONGEST_ABOVE = ABOVE + PROTECTION_POINTS
PER_MASS = LONGEST_ABOVE + PROTECTION_POINTS
PER_DRIVETRAIN = PER_MASS + 1
PER_CAPACITY = PER_MASS + 2
ROWS = PER_MASS + 3

# Columns of the road.
LENGTH = 0
SIN_SLOPE = 1
COS_SLOPE = 2
COS_HEADING = 3
SIN_HEADING = 4
DENSITY_RATIO = 5
SPEED_CAP = 6
DWELL = 7
ROLLING_FACTOR = 8
EFFORT = 9
ROAD_COLUMNS = 10

TRACE_COLUMNS = 9


class Fixed(NamedTuple):
    """What is the same in every lane; SI units."""

    modules: float
    wheel_radius: float
    inertia_mass: float
    """Equivalent mass of the wheels' inertia, I/r². [kg]"""
    wheel_drag_area: float
    bearing_force: float
    bearing_slope: float
    easing_speed: float
    coasting_speed: float
    strongest_push: float
    walking_speed: float
    cadence: float
    slowest_drive: float
    """Least drive speed per wheel speed: 1 at a hub, 1/highest gear at the crank."""
    fastest_drive: float
    through_chain: float
    """1 where the motor's power passes the drive-train, 0 at a hub."""
    gear_ratio: float
    gear_efficiency: float
    torque_constant: float
    motor_resistance: float
    copper_coefficient: float
    no_load_current: float
    phase_limit: float
    battery_limit: float
    controller_efficiency: float
    standby: float
    rollback_voltage: float
    cutoff_voltage: float
    full_voltage: float
    regeneration_limit: float
    freewheels: float
    multiple: float
    assist_power: float
    held_power: float
    """1 where the law holds power, else 0."""
    held_speed: float
    """The speed to hold, or 0 where the law is another."""
    fade_start: float
    cutoff_speed: float
    needs_pedalling: float
    winding_capacity: float
    housing_capacity: float
    winding_conductance: float
    housing_conductance: float
    airflow_gain: float
    rollback_temperature: float
    hottest_winding: float
    relaxation_time: float
    gravity: float


@numba.njit(parallel=True, fastmath=True, error_model="numpy", cache=True)
def ride_blocks(  # noqa: C901, PLR0915, PLR0917 - one straight body compiles to vector code; numba takes no keywords
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
        tables: (3, TABLE_INTERVALS + 1) open-circuit voltage, R0 and R1 of one module by charge.
        thresholds: (PROTECTION_POINTS,) currents of one module whose exceedance is timed; inf where unused.
        given: (blocks, GIVEN_ROWS, LANES_PER_BLOCK).
        mark_of: (segments,) index of the mark at the segment's end, or -1.
        results: (blocks, ROWS, LANES_PER_BLOCK), filled.
        charge_at_mark: (marks, blocks, LANES_PER_BLOCK), filled.
        trace: (segments, TRACE_COLUMNS), filled from the first lane of the first block.
    """
    for block in numba.prange(given.shape[0]):
        s = np.zeros((ROWS, LANES_PER_BLOCK))
        for lane in range(LANES_PER_BLOCK):
            for row in range(GIVEN_ROWS):
                s[row, lane] = given[block, row, lane]
            s[CHARGE, lane] = given[block, START_CHARGE, lane]
            s[WINDING, lane] = given[block, AIR_TEMPERATURE, lane]
            s[HOUSING, lane] = given[block, AIR_TEMPERATURE, lane]
            s[LOWEST_VOLTAGE, lane] = 1e9
            s[PER_MASS, lane] = 1.0 / (s[MASS, lane] + fixed.inertia_mass)
            s[PER_DRIVETRAIN, lane] = 1.0 / s[DRIVETRAIN, lane]
            s[PER_CAPACITY, lane] = 1.0 / s[CAPACITY, lane]
            s[HOTTEST_WINDING, lane] = given[block, AIR_TEMPERATURE, lane]
        per_n = 1.0 / fixed.modules
        per_relaxation = 1.0 / fixed.relaxation_time
        radius = fixed.wheel_radius
        k_t = fixed.torque_constant
        no_load = fixed.no_load_current
        gear_loss = 1.0 / fixed.gear_efficiency - 1.0
        eta_c = fixed.controller_efficiency
        standby = fixed.standby
        limit = fixed.battery_limit
        g = fixed.gravity
        assist_band = 1.0 / (fixed.cutoff_speed - fixed.fade_start)
        rider_band = 1.0 / (fixed.coasting_speed - fixed.easing_speed)
        heat_band = 1.0 / (fixed.hottest_winding - fixed.rollback_temperature)
        free_drag = (1.0 - fixed.freewheels) * k_t * no_load * fixed.gear_ratio / radius
        for segment in range(road.shape[0]):
            ds = road[segment, LENGTH]
            sin_slope = road[segment, SIN_SLOPE]
            cos_slope = road[segment, COS_SLOPE]
            cos_heading = road[segment, COS_HEADING]
            sin_heading = road[segment, SIN_HEADING]
            ratio = road[segment, DENSITY_RATIO]
            cap = road[segment, SPEED_CAP]
            dwell = road[segment, DWELL]
            rolling_factor = road[segment, ROLLING_FACTOR]
            effort = road[segment, EFFORT]
            per_ds = 1.0 / ds
            for j in range(LANES_PER_BLOCK):
                # -- what resists, apart from speed
                v0 = s[SPEED, j]
                m = s[MASS, j]
                m_eff = m + fixed.inertia_mass
                wind = s[WIND_NORTH, j] * cos_heading + s[WIND_EAST, j] * sin_heading
                k_air = 0.5 * s[AIR_DENSITY, j] * ratio * (s[DRAG_AREA, j] + fixed.wheel_drag_area)
                f_climb = m * g * sin_slope
                f_roll = m * g * cos_slope * s[ROLLING, j] * rolling_factor
                f_still = f_climb + f_roll + fixed.bearing_force
                eta = s[DRIVETRAIN, j]
                inertia = 0.5 * m_eff * per_ds
                # -- what the pack can give
                charge = s[CHARGE, j]
                position = min(max(charge, 0.0), 1.0) * TABLE_INTERVALS
                cell = min(int(position), TABLE_INTERVALS - 1)
                weight = position - cell
                scale = s[RESISTANCE_FACTOR, j]
                u_oc = tables[0, cell] + weight * (tables[0, cell + 1] - tables[0, cell]) - s[RELAXATION, j]
                r_pack = scale * (tables[1, cell] + weight * (tables[1, cell + 1] - tables[1, cell])) * per_n
                per_r_pack = 0.5 / r_pack
                r_relax = scale * (tables[2, cell] + weight * (tables[2, cell + 1] - tables[2, cell]))
                alive = 1.0 if charge > 0.0 else 0.0
                rollback = (u_oc - fixed.cutoff_voltage) / (
                    fixed.rollback_voltage - fixed.cutoff_voltage + r_pack * limit
                )
                i_limit = alive * limit * min(max(rollback, 0.0), 1.0)
                p_electric = max((i_limit * (u_oc - r_pack * i_limit) - standby) * eta_c, 0.0)
                # -- what the motor can make of it, at the speed expected in the middle of the segment
                warm = min(max((fixed.hottest_winding - s[WINDING, j]) * heat_band, 0.0), 1.0)
                # reciprocals are shared: divisions are what this loop waits for
                r_motor = fixed.motor_resistance * (1.0 + fixed.copper_coefficient * (s[WINDING, j] - 293.15))
                per_r = 0.5 / r_motor
                i_phase = fixed.phase_limit * warm
                rider_power = s[RIDER_POWER, j] * effort
                f_start = (
                    fixed.strongest_push + k_t * i_phase * fixed.gear_ratio * fixed.fastest_drive / radius
                )
                reach = math.sqrt(
                    max(v0 * v0 + max(f_start - f_still, 0.0) * 2.0 * ds * s[PER_MASS, j], 0.25)
                )
                v_hat = max(v0 + 0.5 * s[LAST_GAIN, j], min(0.5 * (v0 + reach), 2.5))
                wheel_hat = v_hat / radius
                drive_hat = min(
                    max(fixed.cadence, wheel_hat * fixed.slowest_drive), wheel_hat * fixed.fastest_drive
                )
                emf_hat = k_t * fixed.gear_ratio * drive_hat
                i_power = (math.sqrt(emf_hat * emf_hat + 4.0 * r_motor * p_electric) - emf_hat) * per_r
                i_duty = max(u_oc - r_pack * s[CURRENT, j] - emf_hat, 0.0) * 2.0 * per_r
                turn = fixed.gear_ratio * drive_hat * fixed.gear_efficiency * k_t
                chain = 1.0 - fixed.through_chain * (1.0 - eta)
                per_eta = s[PER_DRIVETRAIN, j]
                per_chain = 1.0 - fixed.through_chain * (1.0 - per_eta)
                # Power limit from battery and duty; force limit from phase current.
                p_motor_most = turn * max(min(i_power, i_duty) - no_load, 0.0) * chain
                f_motor_most = turn * max(i_phase - no_load, 0.0) * chain / v_hat
                # -- what rider and law ask for
                p_rider = rider_power * eta
                easing = min(max((fixed.coasting_speed - v0) * rider_band, 0.0), 1.0)
                pedalling = rider_power * easing
                v_set = max(fixed.held_speed, 0.1)
                v_mid = 0.5 * (v0 + v_set)
                va_set = v_mid + wind
                p_hold = (
                    inertia * (v_set * v_set - v0 * v0)
                    + k_air * va_set * abs(va_set)
                    + f_still
                    + fixed.bearing_slope * v_mid
                ) * v_mid - p_rider * easing
                asked = fixed.multiple * pedalling
                asked = fixed.assist_power if fixed.held_power > 0.0 else min(asked, fixed.assist_power)
                asked = min(max(p_hold, 0.0), fixed.assist_power) if fixed.held_speed > 0.0 else asked
                asked = 0.0 if (fixed.needs_pedalling > 0.0 and pedalling <= 0.0) else asked
                motor_on = 1.0 if (asked > 0.0 and v0 < fixed.cutoff_speed and p_motor_most > 0.0) else 0.0
                asked_wheel = asked * motor_on * chain
                f_still += free_drag * (1.0 - motor_on)
                # -- the speed at the end: Newton on the balance of work over the segment
                v1 = reach if v0 < 1.0 else v0
                for _ in range(NEWTON_STEPS):
                    v = max(0.5 * (v0 + v1), 0.25)
                    per_v = 1.0 / v
                    va = v + wind
                    ease = min(max((fixed.coasting_speed - v) * rider_band, 0.0), 1.0)
                    ease_slope = -rider_band if 0.0 < ease < 1.0 else 0.0
                    fade = min(max((fixed.cutoff_speed - v) * assist_band, 0.0), 1.0)
                    fade_slope = -assist_band if 0.0 < fade < 1.0 else 0.0
                    f_r = min(p_rider * per_v, fixed.strongest_push)
                    df_r = f_r * ease_slope - (f_r * per_v * ease if f_r < fixed.strongest_push else 0.0)
                    f_r *= ease
                    p_m = min(asked_wheel * fade, p_motor_most)
                    dp_m = asked_wheel * fade_slope if asked_wheel * fade < p_motor_most else 0.0
                    f_m = p_m * per_v
                    df_m = (dp_m - f_m) * per_v if f_m < f_motor_most else 0.0
                    f_m = min(f_m, f_motor_most)
                    gap = (
                        inertia * (v1 * v1 - v0 * v0)
                        + k_air * va * abs(va)
                        + f_still
                        + fixed.bearing_slope * v
                        - f_r
                        - f_m
                    )
                    slope = 2.0 * inertia * v1 + 0.5 * (
                        2.0 * k_air * abs(va) + fixed.bearing_slope - df_r - df_m
                    )
                    v1 = min(max(v1 - gap / slope, 0.1), 40.0)
                # -- caps, walking, braking: what is left over closes the balance exactly
                v1 = min(max(v1, fixed.walking_speed), cap)
                v = max(0.5 * (v0 + v1), 0.25)
                per_v = 1.0 / v
                dt = ds * per_v
                va = v + wind
                f_air = k_air * va * abs(va)
                f_bearing = fixed.bearing_force + fixed.bearing_slope * v
                f_free = free_drag * (1.0 - motor_on)
                ease = min(max((fixed.coasting_speed - v) * rider_band, 0.0), 1.0)
                fade = min(max((fixed.cutoff_speed - v) * assist_band, 0.0), 1.0)
                f_r = min(p_rider * per_v, fixed.strongest_push) * ease
                f_m = min(min(asked_wheel * fade, p_motor_most) * per_v, f_motor_most)
                needed = inertia * (v1 * v1 - v0 * v0) + f_air + f_climb + f_roll + f_bearing + f_free
                share = min(max(needed / max(f_r + f_m, 1e-9), 0.0), 1.0)
                f_offered = f_m
                f_r *= share
                f_m *= share
                f_push = max(needed - f_r - f_m, 0.0)
                f_brake = max(-needed, 0.0)
                # -- the motor as it really ran
                wheel = v / radius
                drive = min(max(fixed.cadence, wheel * fixed.slowest_drive), wheel * fixed.fastest_drive)
                omega = fixed.gear_ratio * drive
                emf = k_t * omega
                p_out = f_m * v * per_chain
                # a motor that cannot let go is kept turning: its no-load current flows whenever it is on
                running = 1.0 if p_out > 1e-6 else motor_on * (1.0 - fixed.freewheels)
                per_emf = 1.0 / emf
                i_motor = running * (p_out * (1.0 + gear_loss) * per_emf + no_load)
                # regeneration takes what it can of the braking
                i_charge = alive * min(
                    fixed.regeneration_limit, max(fixed.full_voltage - u_oc, 0.0) * 2.0 * per_r_pack
                )
                p_charge = i_charge * (u_oc + r_pack * i_charge) / eta_c
                root = max(emf * emf - 4.0 * r_motor * p_charge, 0.0)
                i_gen_most = min((emf - math.sqrt(root)) * per_r, i_phase)
                p_brake = f_brake * v
                braking = 1.0 if (i_charge > 0.0 and p_brake > 0.0) else 0.0
                p_taken = braking * min(p_brake, emf * i_gen_most * (1.0 + gear_loss))
                i_gen = p_taken * fixed.gear_efficiency * per_emf
                p_gen = emf * i_gen - r_motor * i_gen * i_gen
                gen_gain = max(p_gen, 0.0) * eta_c
                p_motor_electric = emf * i_motor + r_motor * i_motor * i_motor
                p_battery = alive * (p_motor_electric / eta_c + standby) - gen_gain
                i_pack = (u_oc - math.sqrt(max(u_oc * u_oc - 4.0 * r_pack * p_battery, 0.0))) * per_r_pack
                u_pack = u_oc - r_pack * i_pack
                i_rest = alive * standby * per_n / u_oc
                # -- pack and heat move on
                i_module = i_pack * per_n
                span = dt + dwell
                per_span = 1.0 / span
                x = span * per_relaxation
                keep = 1.0 / (1.0 + x + 0.5 * x * x)
                i_mean = (i_module * dt + i_rest * dwell) * per_span
                relax_before = s[RELAXATION, j]
                s[RELAXATION, j] = relax_before * keep + r_relax * i_mean * (1.0 - keep)
                used = i_mean * span * s[PER_CAPACITY, j]
                s[CHARGE, j] = min(max(charge - used, 0.0), 1.0)
                copper = r_motor * (i_motor * i_motor + i_gen * i_gen)
                iron = emf * no_load * running + f_free * v
                riding = dt * per_span
                heat_w = copper * riding
                heat_h = iron * riding
                g_air = fixed.housing_conductance * (1.0 + fixed.airflow_gain * max(va, 0.0) * riding)
                c_w = fixed.winding_capacity * per_span
                c_h = fixed.housing_capacity * per_span
                g_w = fixed.winding_conductance
                # implicit step of the two masses: never unstable, however long the stop
                a_w = c_w + g_w
                a_h = c_h + g_w + g_air
                b_w = c_w * s[WINDING, j] + heat_w
                b_h = c_h * s[HOUSING, j] + heat_h + g_air * s[AIR_TEMPERATURE, j]
                per_det = 1.0 / (a_w * a_h - g_w * g_w)
                t_w = (b_w * a_h + g_w * b_h) * per_det
                s[HOUSING, j] = (a_w * b_h + g_w * b_w) * per_det
                s[WINDING, j] = t_w
                # -- the books
                s[SPEED, j] = v1
                s[LAST_GAIN, j] = v1 - v0
                s[CURRENT, j] = i_pack
                s[VOLTAGE, j] = u_pack
                p_crank = (f_r * per_eta + f_push) * v
                s[RIDER_NOW, j] = p_crank
                s[MOTOR_NOW, j] = p_out - p_taken
                s[TIME, j] += span
                s[STANDING, j] += dwell
                s[RIDER_WORK, j] += p_crank * dt
                s[BATTERY_OUT, j] += max(p_battery, 0.0) * dt + alive * standby * dwell
                s[BATTERY_IN, j] += max(-p_battery, 0.0) * dt
                s[PACK_LOSS, j] += (r_pack * i_pack * i_pack + relax_before * i_pack) * dt
                s[CLIMB, j] += f_climb * ds
                s[KINETIC, j] += 0.5 * m_eff * (v1 * v1 - v0 * v0)
                s[AIR, j] += f_air * ds
                s[ROLLING_LOSS, j] += f_roll * ds
                s[BEARINGS, j] += f_bearing * ds
                s[DRIVETRAIN_LOSS, j] += f_r * ds * (per_eta - 1.0) + f_m * ds * (per_chain - 1.0)
                s[COPPER, j] += copper * dt
                s[IRON, j] += iron * dt
                s[GEAR, j] += (p_out * gear_loss + p_taken * gear_loss / (1.0 + gear_loss)) * dt
                s[CONTROLLER, j] += (
                    p_motor_electric * (1.0 / eta_c - 1.0) + alive * standby + max(p_gen, 0.0) * (1.0 - eta_c)
                ) * dt + alive * standby * dwell
                s[BRAKE, j] += (p_brake - p_taken) * dt
                s[LOWEST_VOLTAGE, j] = min(s[LOWEST_VOLTAGE, j], u_pack)
                s[PEAK_CURRENT, j] = max(s[PEAK_CURRENT, j], i_pack)
                s[PEAK_CHARGE_CURRENT, j] = max(s[PEAK_CHARGE_CURRENT, j], -i_pack)
                s[HOTTEST_WINDING, j] = max(s[HOTTEST_WINDING, j], t_w)
                held_back = 1.0 if (alive < 0.5 or rollback < 1.0 or warm < 1.0) else 0.0
                wished = asked * chain * fade
                short = (
                    1.0
                    if (v0 < fixed.cutoff_speed and wished > 1.02 * f_offered * v and share > 0.0)
                    else 0.0
                )
                s[ROLLED_BACK, j] += held_back * short * dt
                s[UNASSISTED, j] += (1.0 - alive) * ds
                s[WALKED, j] += (
                    ds if (v1 <= fixed.walking_speed and f_push > 1.0 and cap > fixed.walking_speed) else 0.0
                )
                for point in range(PROTECTION_POINTS):
                    above = (s[ABOVE + point, j] + dt) if i_module > thresholds[point] else 0.0
                    s[LONGEST_ABOVE + point, j] = max(s[LONGEST_ABOVE + point, j], above)
                    s[ABOVE + point, j] = above if dwell <= 0.0 else 0.0
            mark = mark_of[segment]
            if mark >= 0:
                for j in range(LANES_PER_BLOCK):
                    charge_at_mark[mark, block, j] = s[CHARGE, j]
            if block == 0:
                trace[segment, 0] = s[TIME, 0]
                trace[segment, 1] = s[SPEED, 0]
                trace[segment, 2] = s[RIDER_NOW, 0]
                trace[segment, 3] = s[MOTOR_NOW, 0]
                trace[segment, 4] = s[CURRENT, 0]
                trace[segment, 5] = s[VOLTAGE, 0]
                trace[segment, 6] = s[CHARGE, 0]
                trace[segment, 7] = s[WINDING, 0]
                trace[segment, 8] = s[WALKED, 0]
        for row in range(ROWS):
            for lane in range(LANES_PER_BLOCK):
                results[block, row, lane] = s[row, lane]
