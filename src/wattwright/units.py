"""SI aliases, and the only conversions between SI and the units people type.

Inside the core every number is SI and its name carries no unit; the aliases say which one. Where a
number crosses an edge (a form field, a flag, a JSON key, a column) its name ends in its unit, and one of
these functions converts it.
"""

import math
from typing import TYPE_CHECKING, Any, Final, TypeAlias, TypeVar

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

Metre: TypeAlias = float
SquareMetre: TypeAlias = float
Second: TypeAlias = float
Kilogram: TypeAlias = float
MetrePerSecond: TypeAlias = float
Radian: TypeAlias = float
RadianPerSecond: TypeAlias = float
Newton: TypeAlias = float
NewtonMetre: TypeAlias = float
Joule: TypeAlias = float
Watt: TypeAlias = float
Pascal: TypeAlias = float
KilogramPerCubicMetre: TypeAlias = float
Kelvin: TypeAlias = float
Volt: TypeAlias = float
Ampere: TypeAlias = float
Coulomb: TypeAlias = float
Ohm: TypeAlias = float
JoulePerKelvin: TypeAlias = float
KelvinPerWatt: TypeAlias = float
JoulePerMole: TypeAlias = float
NewtonMetrePerAmpere: TypeAlias = float
PerSecond: TypeAlias = float
Fraction: TypeAlias = float
"""A share, 0 to 1 unless its docstring says otherwise."""
if TYPE_CHECKING:
    FloatArray: TypeAlias = npt.NDArray[np.float64]
    IndexArray: TypeAlias = npt.NDArray[np.intp]
else:
    IndexArray = Any
    FloatArray = Any  # only type checkers look inside, and numpy costs a tenth of a second at start-up
Number = TypeVar("Number", float, FloatArray)
"""One number, or an array of them. In a function of several, an array comes first if there is any."""

STANDARD_GRAVITY: Final = 9.80665
"""[m/s²] CGPM 1901, resolution 2."""
GAS_CONSTANT: Final = 8.314462618
"""[J/(mol K)] CODATA 2018, exact since the SI of 2019."""
ICE_POINT: Final = 273.15
"""[K] 0 °C."""

JOULES_PER_WATT_HOUR: Final = 3600.0
COULOMBS_PER_AMPERE_HOUR: Final = 3600.0
SECONDS_PER_MINUTE: Final = 60.0
SECONDS_PER_HOUR: Final = 3600.0
SECONDS_PER_DAY: Final = 86400.0
DAYS_PER_MONTH: Final = 30.4375
"""A twelfth of 365.25 days."""
SECONDS_PER_MONTH: Final = DAYS_PER_MONTH * SECONDS_PER_DAY
DAYS_PER_YEAR: Final = 365.25
METRES_PER_MILE: Final = 1609.344
METRES_PER_FOOT: Final = 0.3048
METRES_PER_INCH: Final = 0.0254
KILOGRAMS_PER_POUND: Final = 0.45359237


def joules_from_watt_hours(energy_wh: float) -> Joule:
    """Convert an edge value in watt-hours to joules."""
    return energy_wh * JOULES_PER_WATT_HOUR


def watt_hours_from_joules(energy: Joule) -> float:
    """Convert joules to watt-hours for showing."""
    return energy / JOULES_PER_WATT_HOUR


def coulombs_from_ampere_hours(charge_ah: float) -> Coulomb:
    """Convert an edge value in ampere-hours to coulombs."""
    return charge_ah * COULOMBS_PER_AMPERE_HOUR


def ampere_hours_from_coulombs(charge: Coulomb) -> float:
    """Convert coulombs to ampere-hours for showing."""
    return charge / COULOMBS_PER_AMPERE_HOUR


def amperes_from_milliamperes(current_ma: float) -> Ampere:
    """Convert an edge value in milliamperes to amperes."""
    return current_ma / 1000.0


def milliamperes_from_amperes(current: Ampere) -> float:
    """Convert amperes to milliamperes for showing."""
    return current * 1000.0


def per_second_from_percent_per_month(rate_pct_per_month: float) -> PerSecond:
    """Convert an edge value in per cent a month to a share per second."""
    return rate_pct_per_month / 100.0 / SECONDS_PER_MONTH


def percent_per_month_from_per_second(rate: PerSecond) -> float:
    """Convert a share per second to per cent a month for showing."""
    return rate * SECONDS_PER_MONTH * 100.0


def metres_per_second_from_km_h(speed_km_h: float) -> MetrePerSecond:
    """Convert an edge value in kilometres per hour to metres per second."""
    return speed_km_h / 3.6


def km_h_from_metres_per_second(speed: MetrePerSecond) -> float:
    """Convert metres per second to kilometres per hour for showing."""
    return speed * 3.6


def miles_per_hour_from_metres_per_second(speed: MetrePerSecond) -> float:
    """Convert metres per second to miles per hour for showing."""
    return speed * SECONDS_PER_HOUR / METRES_PER_MILE


def metres_from_km(distance_km: float) -> Metre:
    """Convert an edge value in kilometres to metres."""
    return distance_km * 1000.0


def km_from_metres(distance: Metre) -> float:
    """Convert metres to kilometres for showing."""
    return distance / 1000.0


def metres_from_mm(length_mm: float) -> Metre:
    """Convert an edge value in millimetres to metres."""
    return length_mm / 1000.0


def mm_from_metres(length: Metre) -> float:
    """Convert metres to millimetres for showing."""
    return length * 1000.0


def kelvin_from_celsius(temperature_c: float) -> Kelvin:
    """Convert an edge value in degrees Celsius to kelvin."""
    return temperature_c + ICE_POINT


def celsius_from_kelvin(temperature: Kelvin) -> float:
    """Convert kelvin to degrees Celsius for showing."""
    return temperature - ICE_POINT


def radians_from_degrees(angle_deg: float) -> Radian:
    """Convert an edge value in degrees to radians."""
    return math.radians(angle_deg)


def fraction_from_percent(share_pct: float) -> Fraction:
    """Convert an edge value in per cent to a fraction."""
    return share_pct / 100.0


def percent_from_fraction(share: Fraction) -> float:
    """Convert a fraction to per cent for showing."""
    return share * 100.0


def ohms_from_milliohms(resistance_mohm: float) -> Ohm:
    """Convert an edge value in milliohms to ohms."""
    return resistance_mohm / 1000.0


def milliohms_from_ohms(resistance: Ohm) -> float:
    """Convert ohms to milliohms for showing."""
    return resistance * 1000.0


def grams_from_kilograms(mass: Kilogram) -> float:
    """Convert a mass to an edge value in grams.

    >>> grams_from_kilograms(0.45)
    450.0
    """
    return mass * 1000.0


def kilograms_from_grams(mass_g: float) -> Kilogram:
    """Convert an edge value in grams to kilograms."""
    return mass_g / 1000.0


def seconds_from_minutes(duration_min: float) -> Second:
    """Convert an edge value in minutes to seconds."""
    return duration_min * SECONDS_PER_MINUTE


def minutes_from_seconds(duration: Second) -> float:
    """Convert seconds to minutes for showing."""
    return duration / SECONDS_PER_MINUTE


def hours_from_seconds(duration: Second) -> float:
    """Convert seconds to hours for showing."""
    return duration / SECONDS_PER_HOUR


def torque_constant_from_speed_constant(speed_constant_rpm_per_v: float) -> NewtonMetrePerAmpere:
    """Convert a motor's Kv in rpm per volt to Kt in N·m per ampere: Kt = 60 / (2π Kv)."""
    return 60.0 / (2.0 * math.pi * speed_constant_rpm_per_v)


def radians_per_second_from_rpm(speed_rpm: float) -> RadianPerSecond:
    """Convert an edge value in revolutions per minute to radians per second."""
    return speed_rpm * 2.0 * math.pi / 60.0


def rpm_from_radians_per_second(speed: RadianPerSecond) -> float:
    """Convert radians per second to revolutions per minute for showing."""
    return speed * 60.0 / (2.0 * math.pi)


def speed_constant_from_torque_constant(torque_constant: NewtonMetrePerAmpere) -> float:
    """Convert a motor's Kt in N·m per ampere to Kv in rpm per volt for showing."""
    return 60.0 / (2.0 * math.pi * torque_constant)


def degrees_from_radians(angle: Radian) -> float:
    """Convert radians to degrees for showing."""
    return math.degrees(angle)


def seconds_from_hours(duration_h: float) -> Second:
    """Convert an edge value in hours to seconds."""
    return duration_h * SECONDS_PER_HOUR


def square_metres_from_square_mm(area_mm2: float) -> SquareMetre:
    """Convert an edge value in square millimetres to square metres."""
    return area_mm2 / 1e6


def square_mm_from_square_metres(area: SquareMetre) -> float:
    """Convert square metres to square millimetres for showing."""
    return area * 1e6


def joules_per_mole_from_kj_per_mol(energy_kj_per_mol: float) -> JoulePerMole:
    """Convert an edge value in kilojoules per mole to joules per mole."""
    return energy_kj_per_mol * 1000.0


def kj_per_mol_from_joules_per_mole(energy: JoulePerMole) -> float:
    """Convert joules per mole to kilojoules per mole for showing."""
    return energy / 1000.0


def watts_per_grade_from_watts_per_percent(power_w_per_pct: float) -> Watt:
    """Convert watts for each per cent of grade to watts for each unit of grade."""
    return power_w_per_pct * 100.0


def watts_per_percent_from_watts_per_grade(power: Watt) -> float:
    """Convert watts for each unit of grade to watts for each per cent, for showing."""
    return power / 100.0
