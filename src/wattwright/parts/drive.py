"""The drive: motor, controller and assist law."""

from dataclasses import dataclass
from enum import Enum

from wattwright.units import (
    Ampere,
    Fraction,
    JoulePerKelvin,
    Kelvin,
    KelvinPerWatt,
    Kilogram,
    MetrePerSecond,
    NewtonMetre,
    NewtonMetrePerAmpere,
    Ohm,
    Volt,
    Watt,
)


class MotorPosition(Enum):
    """Where the motor pushes."""

    HUB = "hub"
    """On the wheel's axle: its speed follows the wheel."""
    MID = "mid"
    """On the crank: its speed follows the cadence, through the bicycle's gears."""


class AssistKind(Enum):
    """What the controller tries to hold."""

    TORQUE_MULTIPLE = "torque multiple"
    """Motor power is a multiple of the rider's, until it fades out at the cut-off speed."""
    HELD_POWER = "held power"
    HELD_SPEED = "held speed"


@dataclass(frozen=True, slots=True, kw_only=True)
class AssistLaw:
    """How much help, and up to what speed."""

    kind: AssistKind
    multiple: float
    """Motor mechanical power over rider mechanical power at the crank (2.0 is "200 %"); TORQUE_MULTIPLE."""
    power: Watt
    """Mechanical, at the motor's output: the level for HELD_POWER, the most for the others."""
    speed: MetrePerSecond
    """The level for HELD_SPEED; ignored by the others."""
    fade_start: MetrePerSecond
    """Speed from which help is taken away linearly."""
    cutoff: MetrePerSecond
    """Speed at which no help is left."""
    needs_pedalling: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Motor:
    """Brushed-DC equivalent of the motor, with a two-mass thermal path."""

    torque_constant: NewtonMetrePerAmpere
    """Kt = Ke, at 20 °C, motor side (before ``Drive.gear_ratio``)."""
    resistance: Ohm
    """Winding, at 20 °C."""
    no_load_current: Ampere
    winding_heat_capacity: JoulePerKelvin
    housing_heat_capacity: JoulePerKelvin
    winding_to_housing: KelvinPerWatt
    housing_to_air: KelvinPerWatt
    """Standing still."""
    airflow_gain: float
    """Conductance of the housing grows with air speed: G = (1 + gain·v) / housing_to_air. [s/m]"""
    rollback_start: Kelvin
    """Winding temperature from which current is reduced linearly."""
    hottest_winding: Kelvin
    """Winding temperature at which no current is left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Controller:
    """Limits between pack and motor."""

    battery_current_limit: Ampere
    phase_current_limit: Ampere
    """Motor side, in the DC-equivalent convention of ``Motor``."""
    regeneration_current_limit: Ampere
    """Battery side; 0 where the drive cannot regenerate."""
    efficiency: Fraction
    standby_power: Watt
    rollback_start_voltage: Volt
    """Pack voltage under load from which the current limit is reduced linearly."""
    cutoff_voltage: Volt
    """Pack voltage under load at which no current is left."""
    maximum_voltage: Volt
    """Highest pack voltage the controller bears."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drive:
    """Motor, controller and assist law as sold or as set."""

    name: str
    title: str
    position: MotorPosition
    motor: Motor
    controller: Controller
    assist: AssistLaw
    gear_ratio: float
    """Motor revolutions per revolution of what it drives (wheel for HUB, crank for MID)."""
    gear_efficiency: Fraction
    """Of the motor's own reduction."""
    freewheels: bool
    """Whether the unpowered motor lets go; if not, its no-load torque drags."""
    peak_torque: NewtonMetre
    """At the output (wheel or crank), as marked; caps what phase current would give."""
    rated_power: Watt
    """Maximum continuous rated power as marked; compared with the region's class."""
    mass: Kilogram
    price: float
