"""Assist: how much help a controller gives at a speed, and whether that fits the region's class.

"Assist ratio" is always motor mechanical power over rider mechanical power at the crank: 2 is what a
leaflet calls 200 %, and what the Japanese rule calls 1:2. Formulas hold for one number or an array of them
(an array comes first if there is any).
"""

from typing import Final

from wattwright.errors import InputError
from wattwright.parts.assist_class import AssistClass
from wattwright.parts.drive import AssistKind, AssistLaw, Drive
from wattwright.ride.elementwise import greater, lesser, share
from wattwright.units import (
    MetrePerSecond,
    Number,
    Watt,
    km_h_from_metres_per_second,
    miles_per_hour_from_metres_per_second,
)

SAME: Final = 1e-6
"""Of a value: 25 km/h as set and 25 km/h as permitted are the same number, whatever their last digit."""


def fade(speed: Number, fade_start: MetrePerSecond, cutoff: MetrePerSecond) -> Number:
    """Share of the help that is left at a speed.

    Args:
        speed: Over ground. [m/s]
        fade_start: From here help is taken away in proportion to speed, [m/s]
        cutoff: and here none is left. [m/s]

    Returns:
        1 up to ``fade_start``, 0 from ``cutoff``.

    Raises:
        InputError: If the cut-off does not lie above the start.

    Notes:
        (cutoff − v) / (cutoff − start). EN 15194:2017 asks for output that is progressively reduced and
        finally cut off; a straight line is our reading of it.

    Examples:
        >>> fade(6.0, 5.0, 7.0), fade(3.0, 5.0, 7.0), fade(9.0, 5.0, 7.0)
        (0.5, 1.0, 0.0)
    """
    if not cutoff > fade_start:
        raise InputError("cutoff_m_s", cutoff, f"above {fade_start:g} m/s, where help begins to fade")
    return share((cutoff - speed) / (cutoff - fade_start))


def permitted_multiple(speed: Number, assist_class: AssistClass) -> Number:
    """Assist ratio a class permits at a speed, where it limits the ratio at all.

    Args:
        speed: Over ground. [m/s]
        assist_class: With ``highest_multiple``.

    Returns:
        Motor power over rider power.

    Raises:
        InputError: If the class limits no ratio.

    Notes:
        Japan: 2 − (v − 10)/7 from 10 to 24 km/h, which is a straight fade from 2 to 0. Road Traffic Act
        enforcement rule, article 1-3; that the fall is a straight line (memory).
    """
    if assist_class.highest_multiple is None:
        raise InputError("highest_multiple", None, "given", f"{assist_class.title} limits no ratio.")
    return assist_class.highest_multiple * fade(speed, assist_class.multiple_fades_from, assist_class.cutoff)


def asked_power(
    speed: Number,
    law: AssistLaw,
    *,
    rider_power: Number | Watt,
    holding_power: Number | Watt = 0.0,
) -> Number:
    """Mechanical power the controller asks of the motor, before any limit of motor, heat or pack.

    Args:
        speed: Over ground. [m/s]
        law: As set.
        rider_power: At the crank, now; 0 while not pedalling. [W]
        holding_power: For a held speed: what the motor's output would have to be to ride at ``law.speed``,
            the rider's share taken off. [W]

    Returns:
        At the motor's output, 0 to ``law.power``. [W]

    Notes:
        Torque multiple: the rider's power times ``multiple``, at most ``power``. Held power: ``power``. Held
        speed: what holding takes, at most ``power``. Each then fades out to the cut-off, and is nothing
        without pedalling where the law needs it.

    Examples:
        >>> from wattwright.parts.drive import AssistKind
        >>> law = AssistLaw(kind=AssistKind.TORQUE_MULTIPLE, multiple=2.0, power=250.0, speed=0.0,
        ...     fade_start=6.0, cutoff=7.0)
        >>> asked_power(5.0, law, rider_power=100.0), asked_power(6.5, law, rider_power=100.0)
        (200.0, 100.0)
    """
    everywhere = 0.0 * speed
    rider = everywhere + rider_power
    asked = everywhere + law.power
    if law.kind is AssistKind.TORQUE_MULTIPLE:
        asked = lesser(law.multiple * greater(rider, 0.0), law.power)
    elif law.kind is AssistKind.HELD_SPEED:
        asked = lesser(greater(everywhere + holding_power, 0.0), law.power)
    helps = 1.0 * (rider > 0.0) if law.needs_pedalling else 1.0
    return asked * fade(speed, law.fade_start, law.cutoff) * helps


def class_findings(drive: Drive, assist_class: AssistClass) -> tuple[str, ...]:
    """What keeps a drive, as it is set, from fitting a region's class.

    Args:
        drive: With its law as set and its power as marked.
        assist_class: The rule, with its source.

    Returns:
        One sentence each, with the way out; none where the drive fits. No more than a first look: the rule's
        own text and licensed practice decide.
    """
    findings = (
        _speed_finding(drive.assist, assist_class),
        _power_finding(drive, assist_class),
        _throttle_finding(drive.assist, assist_class),
        _multiple_finding(drive.assist, assist_class),
    )
    return tuple(finding for finding in findings if finding)


def _speed_finding(law: AssistLaw, assist_class: AssistClass) -> str:
    if law.cutoff <= assist_class.cutoff * (1.0 + SAME):
        return ""
    return (
        f"The drive helps up to {_speed(law.cutoff)}, but help must have ended at "
        f"{_speed(assist_class.cutoff)} ({assist_class.title}): set the cut-off to that or lower."
    )


def _power_finding(drive: Drive, assist_class: AssistClass) -> str:
    if drive.rated_power <= assist_class.rated_power * (1.0 + SAME):
        return ""
    return (
        f"The drive is marked {drive.rated_power:.0f} W continuous, but at most "
        f"{assist_class.rated_power:.0f} W are permitted ({assist_class.title}): no setting changes a "
        "marking; choose another drive or another class."
    )


def _throttle_finding(law: AssistLaw, assist_class: AssistClass) -> str:
    follows_the_rider = law.needs_pedalling or law.kind is AssistKind.TORQUE_MULTIPLE
    if follows_the_rider or assist_class.throttle:
        return ""
    return (
        f"The drive helps without pedalling, which is not permitted ({assist_class.title}): "
        "set it to need pedalling."
    )


def _multiple_finding(law: AssistLaw, assist_class: AssistClass) -> str:
    if assist_class.highest_multiple is None:
        return ""
    if law.kind is not AssistKind.TORQUE_MULTIPLE:
        return (
            f"The help does not follow the rider's own power, but its ratio is limited "
            f"({assist_class.title}): choose a law that multiplies torque."
        )
    # Both ratios are made of straight pieces, so the widest gap lies where one of them bends.
    bends = (0.0, law.fade_start, assist_class.multiple_fades_from, assist_class.cutoff)
    excess = {speed: _excess(speed, law, assist_class) for speed in bends}
    worst = max(excess, key=lambda speed: excess[speed])
    if excess[worst] <= SAME:
        return ""
    permitted = permitted_multiple(worst, assist_class)
    return (
        f"At {_speed(worst)} the drive gives {permitted + excess[worst]:.2f} times the rider's power, but at "
        f"most {permitted:.2f} times are permitted ({assist_class.title}): lower the multiple or let it fade "
        "earlier."
    )


def _excess(speed: MetrePerSecond, law: AssistLaw, assist_class: AssistClass) -> float:
    """Ratio given over ratio permitted, at a speed."""
    given = law.multiple * fade(speed, law.fade_start, law.cutoff)
    return given - permitted_multiple(speed, assist_class)


def _speed(speed: MetrePerSecond) -> str:
    """A speed as both kinds of rule write it."""
    kilometres = f"{km_h_from_metres_per_second(speed):.1f}".removesuffix(".0")
    miles = f"{miles_per_hour_from_metres_per_second(speed):.1f}".removesuffix(".0")
    return f"{kilometres} km/h ({miles} mph)"
