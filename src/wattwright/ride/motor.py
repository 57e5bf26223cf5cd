"""Motor and controller: current, voltage, torque and losses of the brushed-DC equivalent.

    E = Ke ω      T = Kt (I − I₀)      V = E + I R      Kt = Ke = 60 / (2π Kv)

Speed and torque are the motor's own, before its reduction; all of it for wheels turning forwards. Torque and
current are negative where the motor brakes, and so is then the battery's current. Formulas hold for one
number or an array of them (an array comes first if there is any).

References:
    That Kt and Ke are one number in SI, and the losses I² R and E I₀, are textbook matter read in general
    references; the figures the tests hold are closed forms (references.md topic 3).
"""

import math
from dataclasses import dataclass
from typing import Final, Generic

from wattwright.parts.drive import Drive, Motor
from wattwright.ride.elementwise import greater, lesser, root, share
from wattwright.units import (
    ICE_POINT,
    Ampere,
    Fraction,
    Kelvin,
    MetrePerSecond,
    NewtonMetre,
    NewtonMetrePerAmpere,
    Number,
    RadianPerSecond,
    Volt,
)

REFERENCE_TEMPERATURE: Final = ICE_POINT + 20.0
"""[K] At which a motor's resistance and torque constant are given."""
COPPER_TEMPERATURE_COEFFICIENT: Final = 0.00393
"""[1/K] Of copper's resistance, at 20 °C; IEC 60028:1925 (memory)."""
COPPER_ZERO: Final = 234.5
"""[°C] Below 0 °C, where the straight line of copper's resistance would meet zero; IEC 60028 (memory)."""
NEODYMIUM_COEFFICIENT: Final = -0.0011
"""[1/K] Of the magnets' flux, neodymium-iron-boron; common magnet grades (memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint(Generic[Number]):
    """What goes in, what comes out and what is lost, at one torque and speed."""

    torque: Number
    """At the motor's shaft, negative when braking. [N m]"""
    speed: Number
    """[rad/s]"""
    current: Number
    """Of the motor, negative when braking. [A]"""
    voltage: Number
    """At the motor. [V]"""
    copper_loss: Number
    """[W]"""
    no_load_loss: Number
    """Iron, bearings and air in the motor. [W]"""

    @property
    def shaft_power(self) -> Number:
        """Mechanical, negative when braking; in watts."""
        return self.torque * self.speed

    @property
    def electrical_power(self) -> Number:
        """Into the motor, negative when it regenerates; in watts."""
        return self.voltage * self.current

    @property
    def efficiency(self) -> Number:
        """Shaft over electrical power where it drives; electrical over shaft power where it regenerates.

        0 where power is lost without any coming out.
        """
        shaft, electrical = self.shaft_power, self.electrical_power
        useful = lesser(abs(shaft), abs(electrical)) * (shaft * electrical > 0.0)
        return useful / greater(greater(abs(shaft), abs(electrical)), 1e-12)


def torque_constant(
    motor: Motor, magnet_temperature: Kelvin, coefficient: float = 0.0
) -> NewtonMetrePerAmpere:
    """Torque constant with warm magnets.

    Args:
        motor: With its constant at 20 °C.
        magnet_temperature: [K]
        coefficient: Of the flux; 0 leaves it out, ``NEODYMIUM_COEFFICIENT`` is usual. [1/K]

    Returns:
        Kt (1 + c (T − 20 °C)). [N m/A]
    """
    return motor.torque_constant * (1.0 + coefficient * (magnet_temperature - REFERENCE_TEMPERATURE))


def copper_resistance_ratio(temperature: Number) -> Number:
    """Resistance of a copper winding over that at 20 °C.

    Args:
        temperature: Of the winding. [K]

    Returns:
        1 + 0.00393 (T − 20 °C). IEC 60028 (memory).

    Examples:
        >>> round(copper_resistance_ratio(373.15), 4)
        1.3144
    """
    return 1.0 + COPPER_TEMPERATURE_COEFFICIENT * (temperature - REFERENCE_TEMPERATURE)


def copper_resistance_change(after: Number, before: Number | Kelvin) -> Number:
    """Resistance of a copper winding at one temperature over that at another.

    Args:
        after: [K]
        before: [K]

    Returns:
        (234.5 + t₂) / (234.5 + t₁), t in °C. IEC 60028 (memory).

    Examples:
        >>> round(copper_resistance_change(373.15, 298.15), 6)
        1.289017
    """
    return (COPPER_ZERO - ICE_POINT + after) / (COPPER_ZERO - ICE_POINT + before)


def winding_resistance(temperature: Number, motor: Motor) -> Number:
    """Resistance of the motor's winding, in ohms, at its temperature in kelvin."""
    return motor.resistance * copper_resistance_ratio(temperature)


def motor_current(torque: Number, motor: Motor) -> Number:
    """Current for a torque.

    Args:
        torque: At the shaft, negative when braking. [N m]
        motor: Its constants.

    Returns:
        I = T/Kt + I₀, negative when it regenerates: the no-load loss helps to brake. [A]
    """
    return torque / motor.torque_constant + motor.no_load_current


def shaft_torque(current: Number, motor: Motor) -> Number:
    """Torque for a current: Kt (I − I₀), in newton metres."""
    return motor.torque_constant * (current - motor.no_load_current)


def operating_point(
    torque: Number,
    speed: Number | RadianPerSecond,
    motor: Motor,
    *,
    winding_temperature: Number | Kelvin = REFERENCE_TEMPERATURE,
) -> OperatingPoint[Number]:
    """Currents, voltages and losses for a torque at a speed.

    Args:
        torque: At the shaft, negative when braking. [N m]
        speed: Of the shaft, 0 or more. [rad/s]
        motor: Its constants at 20 °C.
        winding_temperature: [K]

    Returns:
        The point; electrical power is shaft power and losses together, whichever way it flows.
    """
    everywhere = 0.0 * torque
    turning = everywhere + speed
    current = motor_current(torque, motor)
    resistance = winding_resistance(everywhere + winding_temperature, motor)
    back_voltage = motor.torque_constant * turning
    return OperatingPoint(
        torque=torque,
        speed=turning,
        current=current,
        voltage=back_voltage + current * resistance,
        copper_loss=current * current * resistance,
        no_load_loss=back_voltage * motor.no_load_current,
    )


def full_duty_point(
    speed: Number,
    voltage: Number | Volt,
    motor: Motor,
    *,
    winding_temperature: Number | Kelvin = REFERENCE_TEMPERATURE,
) -> OperatingPoint[Number]:
    """The point at which the whole voltage lies on the motor.

    Args:
        speed: Of the shaft, 0 or more. [rad/s]
        voltage: Of the pack under load. [V]
        motor: Its constants.
        winding_temperature: [K]

    Returns:
        The point; above the no-load speed it brakes.
    """
    current = duty_current_limit(speed, voltage, motor, winding_temperature=winding_temperature)
    return operating_point(
        shaft_torque(current, motor), speed, motor, winding_temperature=winding_temperature
    )


def duty(motor_voltage: Number, battery_voltage: Number | Volt) -> Number:
    """Share of the battery's voltage that the controller lays on the motor; no more than 1 can be had."""
    return motor_voltage / battery_voltage


def battery_current(
    electrical_power: Number, battery_voltage: Number | Volt, controller_efficiency: Number | Fraction = 1.0
) -> Number:
    """Current of the battery for the motor's electrical power.

    Args:
        electrical_power: Into the motor, negative when it regenerates. [W]
        battery_voltage: Under load. [V]
        controller_efficiency: Above 0 to 1; taken off whichever way power flows.

    Returns:
        P/(η V), or η P/V when power comes back; negative when it charges. [A] For a loss-free step-down it
        is duty times motor current.

    Examples:
        >>> battery_current(360.0, 36.0, 0.9), battery_current(-360.0, 36.0, 0.9)
        (11.11111111111111, -9.0)
    """
    drawn = 0.5 * (electrical_power + abs(electrical_power))
    returned = 0.5 * (electrical_power - abs(electrical_power))
    return (drawn / controller_efficiency + returned * controller_efficiency) / battery_voltage


def duty_current_limit(
    speed: Number,
    battery_voltage: Number | Volt,
    motor: Motor,
    *,
    winding_temperature: Number | Kelvin = REFERENCE_TEMPERATURE,
) -> Number:
    """Motor current at which the controller's duty reaches 1.

    Args:
        speed: Of the shaft. [rad/s]
        battery_voltage: Under load. [V]
        motor: Its constants.
        winding_temperature: [K]

    Returns:
        (V − E) / R; negative above the no-load speed, where the motor would charge uncontrolled. [A]
    """
    everywhere = 0.0 * speed
    resistance = winding_resistance(everywhere + winding_temperature, motor)
    return (battery_voltage - motor.torque_constant * speed) / resistance


def power_current_limit(
    speed: Number,
    electrical_power: Number | float,
    motor: Motor,
    *,
    winding_temperature: Number | Kelvin = REFERENCE_TEMPERATURE,
) -> Number:
    """Motor current that takes a given electrical power: what a battery current limit leaves the motor.

    Args:
        speed: Of the shaft, 0 or more. [rad/s]
        electrical_power: Into the motor, 0 or more: η V I of the battery. [W]
        motor: Its constants.
        winding_temperature: [K]

    Returns:
        The positive root of R I² + E I − P = 0. [A]
    """
    everywhere = 0.0 * speed
    resistance = winding_resistance(everywhere + winding_temperature, motor)
    back_voltage = motor.torque_constant * speed
    return (root(back_voltage * back_voltage + 4.0 * resistance * electrical_power) - back_voltage) / (
        2.0 * resistance
    )


def regeneration_current_limit(
    speed: Number,
    returned_power: Number | float,
    motor: Motor,
    *,
    winding_temperature: Number | Kelvin = REFERENCE_TEMPERATURE,
) -> Number:
    """Most negative motor current that returns no more than a given electrical power.

    Args:
        speed: Of the shaft, 0 or more. [rad/s]
        returned_power: Most the controller may take from the motor, 0 or more: V I/η of the battery. [W]
        motor: Its constants.
        winding_temperature: [K]

    Returns:
        The root of R I² + E I + P = 0 nearer to 0; −E/(2 R), where the returned power is greatest, if the
        motor cannot reach P at this speed. 0 or negative. [A]
    """
    everywhere = 0.0 * speed
    resistance = winding_resistance(everywhere + winding_temperature, motor)
    back_voltage = motor.torque_constant * speed
    return (root(back_voltage * back_voltage - 4.0 * resistance * returned_power) - back_voltage) / (
        2.0 * resistance
    )


def highest_torque(
    speed: Number,
    drive: Drive,
    *,
    battery_voltage: Number | Volt,
    battery_current_limit: Number | Ampere,
    winding_temperature: Number | Kelvin = REFERENCE_TEMPERATURE,
) -> Number:
    """Most torque a drive's motor gives at a speed, within every limit.

    Args:
        speed: Of the motor's shaft, 0 or more. [rad/s]
        drive: Motor, controller, reduction and peak torque.
        battery_voltage: Under load. [V]
        battery_current_limit: The controller's, or less where the pack sags or empties. [A]
        winding_temperature: [K]

    Returns:
        Torque at the shaft, 0 or more: the least that phase current (rolled back with heat), battery current,
        duty and the drive's marked peak torque permit. [N m]
    """
    motor, controller = drive.motor, drive.controller
    everywhere = 0.0 * speed
    heat = rollback(everywhere + winding_temperature, motor.rollback_start, motor.hottest_winding)
    power = (everywhere + battery_voltage) * battery_current_limit * controller.efficiency
    current = lesser(
        duty_current_limit(speed, battery_voltage, motor, winding_temperature=winding_temperature),
        power_current_limit(speed, power, motor, winding_temperature=winding_temperature),
    )
    current = lesser(current, heat * controller.phase_current_limit)
    peak = drive.peak_torque / (drive.gear_ratio * drive.gear_efficiency)
    return lesser(greater(shaft_torque(current, motor), 0.0), peak)


def rollback(value: Number, start: float, end: float) -> Number:
    """Share of the current that is left, falling in a straight line from ``start`` to ``end``.

    Args:
        value: Winding temperature (``end`` above ``start``) or pack voltage (``end`` below).
        start: All of the current up to here,
        end: and none from here on.

    Returns:
        (end − value) / (end − start), held between 0 and 1. Common practice, no source.

    Examples:
        >>> rollback(400.0, 390.0, 410.0), rollback(34.0, 36.0, 32.0)
        (0.5, 0.5)
    """
    return share((end - value) / (end - start))


def best_efficiency(motor: Motor, voltage: Volt) -> tuple[Ampere, Fraction, RadianPerSecond]:
    """Current, efficiency and speed where the motor, at full duty and 20 °C, loses the smallest share.

    Args:
        motor: Its constants.
        voltage: At the motor. [V]

    Returns:
        √(I₀ V/R), (1 − √(I₀ R/V))², (V − I R)/Ke. [A, share, rad/s] Standard (memory); a test finds the same
        by search.
    """
    current = math.sqrt(motor.no_load_current * voltage / motor.resistance)
    efficiency = (1.0 - math.sqrt(motor.no_load_current * motor.resistance / voltage)) ** 2
    return current, efficiency, (voltage - current * motor.resistance) / motor.torque_constant


def no_load_speed(motor: Motor, voltage: Volt) -> RadianPerSecond:
    """Speed at which the motor, at full duty, has no torque left: (V − I₀ R)/Ke, in radians per second."""
    return (voltage - motor.no_load_current * motor.resistance) / motor.torque_constant


def hub_motor_speed(speed: Number, wheel_radius: Number | float, gear_ratio: float) -> Number:
    """Shaft speed of a hub motor on the road: v/r times the reduction, in radians per second.

    Examples:
        >>> hub_motor_speed(7.0, 0.35, 4.0)
        80.0
    """
    return speed / wheel_radius * gear_ratio


def output_torque(torque: Number, drive: Drive) -> Number:
    """Torque behind the reduction: at the wheel for a hub drive, at the crank for a mid drive.

    Args:
        torque: At the motor's shaft, negative when braking. [N m]
        drive: With its reduction.

    Returns:
        T i η where it drives, T i/η where it brakes: the reduction's loss helps to brake. [N m]
    """
    driving = 0.5 * (torque + abs(torque))
    braking = 0.5 * (torque - abs(torque))
    return drive.gear_ratio * (driving * drive.gear_efficiency + braking / drive.gear_efficiency)


def idle_drag_torque(drive: Drive) -> NewtonMetre:
    """Drag at the output of an unpowered motor that cannot let go: Kt I₀ i, in newton metres; 0 if it can."""
    if drive.freewheels:
        return 0.0
    return drive.motor.torque_constant * drive.motor.no_load_current * drive.gear_ratio


def hub_no_load_speed(drive: Drive, voltage: Volt, wheel_radius: float) -> MetrePerSecond:
    """Road speed at which a hub drive at full duty has no torque left, in metres per second."""
    return no_load_speed(drive.motor, voltage) / drive.gear_ratio * wheel_radius
