"""Road load: the forces that resist a bicycle, and the power and speed that follow.

The form of Martin et al. 1998. Each force is a function of its own, for one number or an array of them (an
array comes first if there is any); the compiled ride kernel repeats the same equations.

References:
    J. C. Martin, D. L. Milliken, J. E. Cobb, K. L. McFadden, A. R. Coggan, "Validation of a mathematical
    model for road cycling power", J. Applied Biomechanics 14(3), 1998, 276-291: called [Martin] below.
"""

from dataclasses import dataclass
from typing import Final

from wattwright.errors import InputError, OutsideRangeError
from wattwright.units import (
    STANDARD_GRAVITY,
    Fraction,
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    Number,
    SquareMetre,
    Watt,
)

BEARING_FORCE: Final = 0.091
"""[N] Both wheels' bearings at rest; [Martin]."""
BEARING_SLOPE: Final = 0.0087
"""[N s/m] Both wheels' bearings, growing with speed; [Martin]."""
WHEEL_DRAG_AREA: Final = 0.0044
"""[m²] Spokes turning, both wheels, beside the bicycle's own drag area; [Martin]."""
DRIVETRAIN_EFFICIENCY: Final = 0.97698
"""Chain drive, crank to wheel; [Martin] (memory; libraries round to 0.976)."""
FASTEST_SPEED: Final = 150.0
"""[m/s] Above any terminal speed on any road: the end of the search."""


def slope_sine(grade: Number) -> Number:
    """Sine of the slope's angle, from rise over run.

    Notes:
        sin(atan G) = G / √(1 + G²). At 8 % it is 0.3 % less than G.

    Examples:
        >>> round(slope_sine(0.08), 6)
        0.079745
    """
    sine: Number = grade / (1.0 + grade * grade) ** 0.5
    return sine


def slope_cosine(grade: Number) -> Number:
    """Cosine of the slope's angle, from rise over run: cos(atan G) = 1 / √(1 + G²).

    Examples:
        >>> round(slope_cosine(0.08), 6)
        0.996815
    """
    cosine: Number = 1.0 / (1.0 + grade * grade) ** 0.5
    return cosine


def aerodynamic_force(
    speed: Number,
    headwind: Number | MetrePerSecond,
    density: Number | KilogramPerCubicMetre,
    drag_area: Number | SquareMetre,
) -> Number:
    """Drag along the road; it pushes where a tailwind is faster than the rider.

    Args:
        speed: Over ground. [m/s]
        headwind: Component against travel, negative from behind. [m/s]
        density: Of the air. [kg/m³]
        drag_area: CdA, with the wheels' (``WHEEL_DRAG_AREA``) where they count. [m²]

    Returns:
        Force against travel. [N]

    Notes:
        F = ½ ρ CdA va |va|, va = v + w. [Martin], with the sign kept. CdA is taken as the same at every yaw
        angle; [Martin] measured it between 0 and 15°.

    Examples:
        >>> round(aerodynamic_force(7.0, 0.0, 1.225, 0.6), 3)
        18.008
        >>> round(aerodynamic_force(7.0, -8.0, 1.225, 0.6), 4)
        -0.3675
    """
    through_air = speed + headwind
    return 0.5 * density * drag_area * through_air * abs(through_air)


def rolling_force(
    mass: Number,
    rolling_coefficient: Number | float,
    grade: Number | float = 0.0,
    *,
    gravity: float = STANDARD_GRAVITY,
) -> Number:
    """Rolling resistance of a moving bicycle.

    Args:
        mass: Everything that rolls. [kg]
        rolling_coefficient: Of tyre and surface.
        grade: Rise over run.
        gravity: Local; between equator and poles it varies by ±0.3 %. [m/s²]

    Returns:
        Force against travel. [N]

    Notes:
        F = Crr m g cos(atan G). [Martin]

    Examples:
        >>> round(rolling_force(110.0, 0.008), 3)
        8.63
    """
    return mass * gravity * rolling_coefficient / (1.0 + grade * grade) ** 0.5  # type: ignore[no-any-return]


def grade_force(mass: Number, grade: Number | float, *, gravity: float = STANDARD_GRAVITY) -> Number:
    """Gravity along the slope, negative downhill.

    Args:
        mass: Everything that rolls. [kg]
        grade: Rise over run.
        gravity: Local. [m/s²]

    Returns:
        Force against travel. [N]

    Notes:
        F = m g sin(atan G). [Martin]

    Examples:
        >>> round(grade_force(110.0, -0.05), 2)
        -53.87
    """
    return mass * gravity * grade / (1.0 + grade * grade) ** 0.5  # type: ignore[no-any-return]


def bearing_force(speed: Number) -> Number:
    """Friction of both wheels' bearings.

    Args:
        speed: Over ground, 0 or more. [m/s]

    Returns:
        Force against travel. [N]

    Notes:
        F = 0.091 + 0.0087 v. [Martin], who took it from tests of a racing bicycle's bearings: a hub motor's
        own are in its no-load current.

    Examples:
        >>> round(bearing_force(8.36), 4)
        0.1637
    """
    return BEARING_FORCE + BEARING_SLOPE * speed


def equivalent_mass(wheel_inertia: Number, wheel_radius: Number | Metre) -> Number:
    """Mass that would resist acceleration as much as the wheels' turning does.

    Args:
        wheel_inertia: Both wheels together. [kg m²]
        wheel_radius: Rolling radius. [m]

    Returns:
        m = I / r². [kg] [Martin]

    Examples:
        >>> round(equivalent_mass(0.14, 0.311), 4)
        1.4475
    """
    return wheel_inertia / (wheel_radius * wheel_radius)


def inertia_force(
    acceleration: Number, mass: Number | Kilogram, wheel_mass: Number | Kilogram = 0.0
) -> Number:
    """Resistance to acceleration.

    Args:
        acceleration: Positive when speeding up. [m/s²]
        mass: Everything that rolls. [kg]
        wheel_mass: ``equivalent_mass`` of the wheels. [kg]

    Returns:
        F = (m + I/r²) a. [N] [Martin]

    Examples:
        >>> inertia_force(0.5, 100.0, 1.5)
        50.75
    """
    return (mass + wheel_mass) * acceleration


def kinetic_power(
    speed_before: Number,
    speed_after: Number | MetrePerSecond,
    duration: Number | float,
    mass: Number | Kilogram,
    wheel_mass: Number | Kilogram = 0.0,
) -> Number:
    """Mean power that goes into speed over a stretch of time; negative when it comes out.

    Args:
        speed_before: At its start. [m/s]
        speed_after: At its end. [m/s]
        duration: Of the stretch, more than 0. [s]
        mass: Everything that rolls. [kg]
        wheel_mass: ``equivalent_mass`` of the wheels. [kg]

    Returns:
        P = ½ (m + I/r²) (v₂² − v₁²) / Δt. [W] [Martin]

    Examples:
        >>> round(kinetic_power(8.28, 8.45, 56.42, 90.0, 1.4475), 4)
        2.3049
    """
    gained = speed_after * speed_after - speed_before * speed_before
    return 0.5 * (mass + wheel_mass) * gained / duration


def kinetic_energy(speed: Number, mass: Number | Kilogram, wheel_mass: Number | Kilogram = 0.0) -> Number:
    """Energy of motion in joules, wheels' turning included: ½ (m + I/r²) v².

    Examples:
        >>> kinetic_energy(2.0, 100.0)
        200.0
    """
    return 0.5 * (mass + wheel_mass) * speed * speed


def potential_energy(climb: Number, mass: Number | Kilogram, *, gravity: float = STANDARD_GRAVITY) -> Number:
    """Energy of height in joules: m g h.

    Examples:
        >>> round(potential_energy(100.0, 110.0))
        107873
    """
    return mass * gravity * climb


def crank_power(wheel_power: Number, drivetrain_efficiency: Number | Fraction) -> Number:
    """Power at the crank for a power at the wheel.

    Nothing flows back through a freewheel: where the wheel needs no power the crank needs none.

    Args:
        wheel_power: Negative where the bicycle must brake to hold its speed. [W]
        drivetrain_efficiency: Crank to wheel, above 0 to 1.

    Returns:
        P / Ec, or 0. [W] [Martin], but for the freewheel.

    Examples:
        >>> crank_power(195.0, 0.975)
        200.0
        >>> crank_power(-164.0, 0.975)
        0.0
    """
    return 0.5 * (wheel_power + abs(wheel_power)) / drivetrain_efficiency


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadLoad:
    """Bicycle, rider and road, steady: what ``wheel_force`` needs beside the speed."""

    mass: Kilogram
    """Everything that rolls."""
    drag_area: SquareMetre
    """CdA of rider and bicycle, with the wheels' ``WHEEL_DRAG_AREA`` where they count."""
    rolling_coefficient: float
    density: KilogramPerCubicMetre
    grade: float = 0.0
    headwind: MetrePerSecond = 0.0
    """Against travel, negative from behind."""
    has_bearing_friction: bool = True
    gravity: float = STANDARD_GRAVITY


def wheel_force(speed: Number, load: RoadLoad) -> Number:
    """Force at the wheel that holds a speed.

    Args:
        speed: Over ground, 0 or more. [m/s]
        load: Bicycle, rider and road.

    Returns:
        Force; negative where the bicycle must brake. [N]

    Notes:
        Drag, rolling, gravity and bearings together. [Martin]

    Examples:
        >>> bike = RoadLoad(mass=110.0, drag_area=0.6, rolling_coefficient=0.008, density=1.225)
        >>> round(wheel_force(25.0 / 3.6, bike), 2)
        26.5
    """
    still = rolling_force(load.mass, load.rolling_coefficient, load.grade, gravity=load.gravity)
    still += grade_force(load.mass, load.grade, gravity=load.gravity)
    moving = aerodynamic_force(speed, load.headwind, load.density, load.drag_area)
    return moving + still + (bearing_force(speed) if load.has_bearing_friction else 0.0)


def wheel_power(speed: Number, load: RoadLoad) -> Number:
    """Power in watts at the wheel that holds a speed: ``wheel_force`` times speed.

    Examples:
        >>> bike = RoadLoad(mass=110.0, drag_area=0.6, rolling_coefficient=0.008, density=1.225)
        >>> round(wheel_power(25.0 / 3.6, bike), 1)
        184.1
    """
    return wheel_force(speed, load) * speed


def steady_speed(power: Watt, load: RoadLoad) -> MetrePerSecond:
    """Speed that a power at the wheel holds; with no power, the speed of coasting.

    Args:
        power: At the wheel, 0 or more. [W]
        load: Bicycle, rider and road.

    Returns:
        Speed; 0 where the bicycle would not roll by itself and there is no power. [m/s]

    Raises:
        InputError: If power is negative: what a brake takes holds no one speed.
        OutsideRangeError: If the speed would lie above 150 m/s.

    Notes:
        F(v) − P/v rises without turning for v above 0, so there is one root; Brent's method
        (``scipy.optimize.brentq``) finds it between 0 and 150 m/s to 1e-9 m/s.

    Examples:
        >>> bike = RoadLoad(mass=110.0, drag_area=0.6, rolling_coefficient=0.008, density=1.225,
        ...                 has_bearing_friction=False)
        >>> round(steady_speed(200.0, bike), 4)
        7.2106
    """
    from scipy.optimize import brentq  # noqa: PLC0415 -- 0.4 s to import, which most commands can do without

    if not power >= 0.0:
        raise InputError("power_w", power, "0 W or more")
    if power == 0.0 and wheel_force(0.0, load) >= 0.0:
        return 0.0
    if not wheel_power(FASTEST_SPEED, load) > power:
        raise OutsideRangeError("The steady speed", "power at the wheel", power, "speeds up to 150 m/s")

    def surplus(speed: MetrePerSecond) -> Watt:
        return wheel_power(speed, load) - power if power else wheel_force(speed, load)

    return float(brentq(surplus, 0.0, FASTEST_SPEED, xtol=1e-9))
