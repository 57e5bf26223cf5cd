"""How warm modules get: what cools them on an open carrier or in a closed bag, and what the sun adds."""

import math
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.parts.battery_module import BatteryModule
from wattwright.units import FloatArray, JoulePerKelvin, Kelvin, Metre, MetrePerSecond, SquareMetre, Watt
from wattwright.working import Source, Standing

SPECIFIC_HEAT: Final = 950.0
"""[J/(kg K)] of a module, cells and case together."""
SPECIFIC_HEAT_SOURCE: Final = Source(
    text="Maleki et al., Journal of the Electrochemical Society 146 (1999) 947: 960 J/(kg K) for an 18650 "
    "cell; lowered a little for case and electronics",
    standing=Standing.MEMORY,
)
SPECIFIC_HEAT_SPREAD: Final = 0.10
"""Share either way; assumption."""
AIR_CONDUCTIVITY: Final = 0.026
"""[W/(m K)] air at 25 °C; Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, A.4 (memory)."""
AIR_VISCOSITY: Final = 1.57e-5
"""[m²/s] kinematic, same table (memory)."""
AIR_PRANDTL: Final = 0.71
"""Same table (memory)."""
EMISSIVITY: Final = 0.9
"""Of plastics and paints in the infrared; common practice, no source."""
STEFAN_BOLTZMANN: Final = 5.670374419e-8
"""[W/(m² K⁴)] CODATA 2018."""
BAG_INSULATION: Final = 0.10
"""[m² K/W] of a bag's wall and the air inside: two thirds of a suit's 0.155 (ISO 9920, memory)."""
COOLING_SPREAD: Final = 0.30
"""Share either way of a film coefficient from such formulas; common practice, no source."""
SUN: Final = 900.0
"""[W/m²] on a surface square to a high summer sun; common practice, no source."""
SUN_ABSORBED: Final = 0.8
"""Share a dark case takes up; common practice, no source."""
SUNLIT: Final = 0.25
"""Of a module's whole surface, what a beam meets: a quarter, a convex body's mean (Cauchy)."""
TYPICAL_RISE: Final = 10.0
"""[K] above the air at which free convection is taken; it changes with the fourth root only."""


class Shelter(Enum):
    """What stands between the modules and the air."""

    OPEN = "open carrier"
    BAG = "closed bag"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surroundings:
    """What carries heat to and from each module; for `wattwright.pack.network.pack_course`."""

    air: FloatArray | Kelvin
    """(samples,) or one for all."""
    cooling: FloatArray | float
    """(samples,) or one for all: of one fully exposed module. [W/K]"""
    heat_capacity: FloatArray
    """(modules,) [J/K]"""
    exposure: FloatArray
    """(modules,) share of the cooling: less for a module between neighbours."""
    absorbed: FloatArray
    """(modules,) from the sun. [W]"""


def film_coefficient(speed: FloatArray | MetrePerSecond, length: Metre, air: Kelvin = 298.15) -> FloatArray:
    """Heat carried off a surface by moving air, still air and radiation together.

    Args:
        speed: Of the air along the surface, any shape, 0 or more; laminar up to Re = 5·10⁵. [m/s]
        length: Of the surface along the air. [m]
        air: For the radiation. [K]

    Returns:
        Same shape. [W/(m² K)]

    Raises:
        InputError: If a speed is negative or the length not above 0.

    Notes:
        Forced, laminar flat plate: Nu = 0.664 Re^½ Pr^⅓. [1]_ Free, laminar: Nu = 0.59 Ra^¼, 10 K above the
        air. [1]_ Together Nu³ = Nu_forced³ + Nu_free³. [2]_ Radiation 4 ε σ T³. Rough, hidden and warped
        surfaces make 30 % either way ordinary. Air over 10 m/s along a real pack is turbulent and carries
        more off, so this errs warm.

    References:
        .. [1] Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, chapters 7 and 9 (memory)
        .. [2] Churchill, AIChE Journal 23 (1977) 10 (memory)

    Examples:
        >>> film_coefficient(np.array([0.0, 5.0]), 0.14).round(1).tolist()
        [9.8, 28.7]
    """
    flow = np.asarray(speed, dtype=np.float64)
    if not np.all(flow >= 0):
        raise InputError("speed_km_h", float(flow.min() * 3.6), "0 km/h or more")
    if not length > 0:
        raise InputError("length_mm", 1000 * length, "more than 0 mm")
    forced = 0.664 * np.sqrt(flow * length / AIR_VISCOSITY) * AIR_PRANDTL ** (1 / 3)
    rayleigh = 9.81 / air * TYPICAL_RISE * length**3 / AIR_VISCOSITY**2 * AIR_PRANDTL
    free = 0.59 * rayleigh**0.25
    moving = AIR_CONDUCTIVITY / length * np.cbrt(forced**3 + free**3)
    return np.asarray(moving + 4.0 * EMISSIVITY * STEFAN_BOLTZMANN * air**3)


def faces_area(battery_module: BatteryModule) -> SquareMetre:
    """All six faces of a module standing alone. [m²]."""
    a, b, c = battery_module.pitch, battery_module.width, battery_module.height
    return 2.0 * (a * b + b * c + c * a)


def exposures(battery_module: BatteryModule, modules: int) -> FloatArray:
    """Share of each module's faces that the air reaches in a stack of so many, (modules,).

    Notes:
        Neighbours cover the faces across the stack; those at the ends show one of the two.

    Examples:
        A single module shows all of itself.

        >>> from types import SimpleNamespace as Box
        >>> exposures(Box(pitch=1.0, width=1.0, height=1.0), 3).round(3).tolist()
        [0.833, 0.667, 0.833]
    """
    if modules < 1:
        raise InputError("modules", modules, "1 or more")
    side = battery_module.width * battery_module.height / faces_area(battery_module)
    shares = np.full(modules, 1.0 - 2.0 * side)
    shares[0] += side
    shares[-1] += side
    return shares


def cooling_of(
    battery_module: BatteryModule,
    shelter: Shelter,
    speed: FloatArray | MetrePerSecond,
    *,
    air: Kelvin = 298.15,
    factor: float = 1.0,
) -> FloatArray:
    """Heat a fully exposed module gives off for each kelvin above the air, at each air speed. [W/K].

    Args:
        battery_module: For its faces.
        shelter: In a bag the wall's insulation stands before the outer film.
        speed: Along the modules or the bag, any shape. [m/s]
        air: For the radiation. [K]
        factor: On the film: 1 ∓ `COOLING_SPREAD` for the warm and the cool side of what is known.

    Raises:
        InputError: As `film_coefficient`.
    """
    film = film_coefficient(speed, battery_module.height, air) * factor
    if shelter is Shelter.BAG:
        film = 1.0 / (BAG_INSULATION / factor + 1.0 / film)
    return np.asarray(film * faces_area(battery_module))


def surroundings_of(
    battery_module: BatteryModule,
    modules: int,
    *,
    air: FloatArray | Kelvin,
    speed: FloatArray | MetrePerSecond,
    shelter: Shelter = Shelter.OPEN,
    in_sun: bool = False,
    factor: float = 1.0,
) -> Surroundings:
    """What a stack of modules gives to and takes from the air.

    Args:
        battery_module: Its mass and faces.
        modules: In one stack.
        air: (samples,) or one. [K]
        speed: (samples,) or one, of the air. [m/s]
        shelter: Open carrier or closed bag.
        in_sun: Whether a high summer sun shines on it all the way.
        factor: See `cooling_of`.

    Raises:
        InputError: As `film_coefficient` and `exposures`.
    """
    shares = exposures(battery_module, modules)
    cooling = cooling_of(battery_module, shelter, speed, air=float(np.mean(air)), factor=factor)
    sun = SUN * SUN_ABSORBED * SUNLIT * faces_area(battery_module) if in_sun else 0.0
    if shelter is Shelter.BAG:  # the wall takes the sun up; what passes inwards is the film's share
        outer = film_coefficient(float(np.mean(speed)), battery_module.height, float(np.mean(air))) * factor
        sun /= float(1.0 + outer * BAG_INSULATION / factor)
    return Surroundings(
        air=air,
        cooling=cooling,
        heat_capacity=np.full(modules, heat_capacity(battery_module)),
        exposure=shares,
        absorbed=sun * shares,
    )


def heat_capacity(battery_module: BatteryModule) -> JoulePerKelvin:
    """Of one module. [J/K]."""
    return battery_module.mass * SPECIFIC_HEAT


def steady_temperature(
    loss: FloatArray | Watt, cooling: FloatArray | float, air: Kelvin, absorbed: Watt = 0.0
) -> FloatArray:
    """Where a module ends that loses so much for ever. [K].

    Raises:
        InputError: If the cooling is not above 0.

    Examples:
        >>> float(steady_temperature(5.0, 0.5, 293.15))
        303.15
    """
    if not np.all(np.asarray(cooling) > 0):
        raise InputError("cooling_w_k", float(np.min(cooling)), "more than 0 W/K")
    return np.asarray(air + (np.asarray(loss) + absorbed) / cooling)


def warming_time(battery_module: BatteryModule, cooling: float) -> float:
    """Time constant with which a module follows its surroundings. [s]; infinite without cooling."""
    return heat_capacity(battery_module) / cooling if cooling > 0 else math.inf
