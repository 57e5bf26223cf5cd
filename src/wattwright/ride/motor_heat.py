"""Heat in the motor: winding and housing as two masses, air outside.

    winding:  Cw dTw/dt = P_copper − (Tw − Th)/R_wh
    housing:  Ch dTh/dt = P_no-load + (Tw − Th)/R_wh − G(v) (Th − T_air),   G(v) = (1 + gain v)/R_ha

Formulas hold for one number or an array of them (an array comes first if there is any).
"""

import math

from wattwright.errors import OutsideRangeError
from wattwright.parts.drive import Motor
from wattwright.ride.motor import COPPER_TEMPERATURE_COEFFICIENT, REFERENCE_TEMPERATURE, winding_resistance
from wattwright.units import Ampere, Kelvin, MetrePerSecond, Number, Second, Watt


def housing_conductance(air_speed: Number, motor: Motor) -> Number:
    """Heat the housing gives to the air, in watts by kelvin; air from behind counts as still.

    Args:
        air_speed: Past the motor. [m/s]
        motor: Its thermal path.

    Returns:
        (1 + gain v) / R_ha. [W/K] Assumption: a straight line through standing still and one cooling test.
    """
    forwards = 0.5 * (air_speed + abs(air_speed))
    return (1.0 + motor.airflow_gain * forwards) / motor.housing_to_air


def warmed(
    winding: Number,
    housing: Number | Kelvin,
    motor: Motor,
    *,
    copper_loss: Number | Watt,
    no_load_loss: Number | Watt,
    air_temperature: Number | Kelvin,
    air_speed: Number | MetrePerSecond,
    duration: Number | Second,
) -> tuple[Number, Number]:
    """Winding and housing after a stretch of time with constant losses.

    Args:
        winding: Temperature before. [K]
        housing: Temperature before. [K]
        motor: Its thermal path.
        copper_loss: Into the winding. [W]
        no_load_loss: Into the housing. [W]
        air_temperature: [K]
        air_speed: Past the motor. [m/s]
        duration: More than 0, of any length: the step is implicit and never overshoots. [s]

    Returns:
        Winding and housing temperature after. [K]

    Notes:
        Backward Euler, the two equations solved in closed form. What the masses store, what the losses gave
        and what the air took agree to rounding. First order: with 300 W into a cold winding of 350 J/K a
        step of 1 s errs by 0.14 K at worst, of 10 s by 1.3 K (``docs/models/motor.md``).
    """
    everywhere = 0.0 * winding
    across = 1.0 / motor.winding_to_housing
    outside = housing_conductance(everywhere + air_speed, motor)
    winding_store = motor.winding_heat_capacity / (everywhere + duration)
    housing_store = motor.housing_heat_capacity / (everywhere + duration)
    winding_side = winding_store * winding + copper_loss
    housing_side = housing_store * housing + no_load_loss + outside * air_temperature
    winding_sum, housing_sum = winding_store + across, housing_store + across + outside
    determinant = winding_sum * housing_sum - across * across
    return (
        (winding_side * housing_sum + across * housing_side) / determinant,
        (winding_sum * housing_side + across * winding_side) / determinant,
    )


def steady_temperatures(
    motor: Motor, current: Ampere, no_load_loss: Watt, air_temperature: Kelvin, air_speed: MetrePerSecond
) -> tuple[Kelvin, Kelvin]:
    """Winding and housing where heat in and heat out balance, the winding's resistance warm.

    Args:
        motor: Its constants and thermal path.
        current: Held. [A]
        no_load_loss: Held. [W]
        air_temperature: [K]
        air_speed: Past the motor. [m/s]

    Returns:
        Winding and housing temperature. [K]

    Raises:
        OutsideRangeError: If the current is so large that the winding would warm without end, its resistance
            growing faster than the heat can leave.

    Notes:
        Tw = (T_air + P R_out + k (1 − α T₂₀)) / (1 − α k), with k = I² R₂₀ (R_wh + R_out), R_out = 1/G(v).
    """
    outside = 1.0 / housing_conductance(air_speed, motor)
    heating = current * current * motor.resistance * (motor.winding_to_housing + outside)
    runaway = COPPER_TEMPERATURE_COEFFICIENT * heating
    if runaway >= 1.0:
        most = current / math.sqrt(runaway)
        raise OutsideRangeError("The motor's steady heat", "current", current, f"below {most:.1f} A")
    still = 1.0 - COPPER_TEMPERATURE_COEFFICIENT * REFERENCE_TEMPERATURE
    winding = (air_temperature + no_load_loss * outside + heating * still) / (1.0 - runaway)
    copper_loss = current * current * winding_resistance(winding, motor)
    return winding, winding - copper_loss * motor.winding_to_housing


def continuous_current(
    motor: Motor, winding: Kelvin, no_load_loss: Watt, air_temperature: Kelvin, air_speed: MetrePerSecond
) -> Ampere:
    """Current that holds the winding at a temperature for ever: the thermal side of a continuous rating.

    Args:
        motor: Its constants and thermal path.
        winding: Temperature to hold. [K]
        no_load_loss: Held. [W]
        air_temperature: [K]
        air_speed: Past the motor. [m/s]

    Returns:
        √((Tw − T_air − P R_out) / (R(Tw) (R_wh + R_out))); 0 if the no-load loss alone is too much. [A]
    """
    outside = 1.0 / housing_conductance(air_speed, motor)
    left = winding - air_temperature - no_load_loss * outside
    resistance = winding_resistance(winding, motor)
    return math.sqrt(max(left, 0.0) / (resistance * (motor.winding_to_housing + outside)))
