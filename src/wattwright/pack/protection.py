"""A module's own protection against too much current: when it lets go, and what it can be asked for."""

import math

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.parts.battery_module import BatteryModule
from wattwright.units import Ampere, FloatArray, Second


def time_to_trip(current: Ampere, battery_module: BatteryModule) -> Second:
    """How long a module bears a steady discharge current before it lets go.

    Args:
        current: Of one module, discharging. [A]
        battery_module: With its protection points.

    Returns:
        The shortest duration among the points whose current is exceeded; infinite where none is. [s]

    Notes:
        Stepwise: a point says that the module lets go when its current stays *above* the point's for longer
        than its duration, so between two points the lower one holds. Nothing is read between the points, as a
        data sheet gives limits and no curve. Whether it recovers by itself is the maker's to say.
    """
    return min(
        (point.duration for point in battery_module.discharge_protection if current > point.current),
        default=math.inf,
    )


def lets_go(longest_above: FloatArray, battery_module: BatteryModule) -> npt.NDArray[np.bool_]:
    """Whether a module would have let go on a ride.

    Args:
        longest_above: (points,) or (points, lanes) longest unbroken time above each protection point's
            current, in the module's own order of points. [s]
        battery_module: Whose points they are.

    Returns:
        () or (lanes,).

    Raises:
        InputError: If there is not one row for each protection point.
    """
    points = battery_module.discharge_protection
    if len(longest_above) != len(points):
        raise InputError("longest_above", len(longest_above), f"one row for each of {len(points)} points")
    durations = np.array([point.duration for point in points])
    bearable = durations.reshape((-1,) + (1,) * (longest_above.ndim - 1))
    return np.asarray(np.any(longest_above > bearable, axis=0))


def bearable_current(battery_module: BatteryModule, duration: Second = math.inf) -> Ampere:
    """Largest steady current one module gives for a time without letting go.

    Args:
        battery_module: With its protection points and continuous current.
        duration: How long; infinite for continuous. [s]

    Returns:
        The least current among the points that let go sooner than that, and never more than the highest
        point's; for good also never more than the maker's continuous current. [A]

    Raises:
        InputError: If the duration is not above 0.
    """
    if not duration > 0:
        raise InputError("duration_s", duration, "more than 0 s")
    points = battery_module.discharge_protection
    continuous = battery_module.continuous_discharge_current
    if not points:
        return continuous
    highest = max(point.current for point in points)
    current = min((point.current for point in points if point.duration < duration), default=highest)
    return min(current, continuous) if math.isinf(duration) else current


def carrying_current(battery_module: BatteryModule, modules: int, duration: Second = math.inf) -> Ampere:
    """What a pack of equal modules that share evenly carries for a time. [A].

    Raises:
        InputError: If there is less than no module.
    """
    if modules < 0:
        raise InputError("modules", modules, "0 or more")
    return modules * bearable_current(battery_module, duration)


def carrying_current_with_one_off(
    battery_module: BatteryModule, modules: int, duration: Second = math.inf
) -> Ampere:
    """What the rest carries while one module has let go, or is off for charging or repair. [A].

    Raises:
        InputError: If there is no module to begin with.
    """
    if modules < 1:
        raise InputError("modules", modules, "1 or more")
    return carrying_current(battery_module, modules - 1, duration)
