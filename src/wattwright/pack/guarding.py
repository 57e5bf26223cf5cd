"""What makes a module let go, and how it comes back: its sheet as a list of conditions."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from wattwright.parts.battery_module import BatteryModule, ProtectionPoint, WayBack
from wattwright.units import FloatArray, Second

VOLTAGE_DELAY: Final[Second] = 1.0
"""[s] a voltage must be beyond its limit; common practice, no source."""
TEMPERATURE_DELAY: Final[Second] = 5.0
"""[s] a temperature must be beyond its limit; common practice, no source."""
OVERCHARGE_MARGIN: Final = 1.015
"""Over the end-of-charge voltage, where charging is cut: 60 mV a cell; common practice, no source."""


class Cause(Enum):
    """Why a module lets go."""

    DISCHARGE_CURRENT = "too much current"
    CHARGE_CURRENT = "too much charge current"
    LOW_VOLTAGE = "voltage too low"
    HIGH_VOLTAGE = "voltage too high"
    COLD_DISCHARGE = "too cold to discharge"
    HOT_DISCHARGE = "too hot to discharge"
    COLD_CHARGE = "too cold to charge"
    HOT_CHARGE = "too hot to charge"


_SIGNALS: Final = {
    Cause.DISCHARGE_CURRENT: (0, 1.0),
    Cause.CHARGE_CURRENT: (0, -1.0),
    Cause.LOW_VOLTAGE: (1, -1.0),
    Cause.HIGH_VOLTAGE: (1, 1.0),
    Cause.COLD_DISCHARGE: (2, -1.0),
    Cause.HOT_DISCHARGE: (2, 1.0),
    Cause.COLD_CHARGE: (3, -1.0),
    Cause.HOT_CHARGE: (3, 1.0),
}
"""Which signal of ``protection_kernel``, and whether too much (1) or too little (-1) is the trouble."""
_WAYS: Final = {WayBack.BY_ITSELF: 0, WayBack.AFTER_REST: 1, WayBack.BY_CHARGER: 2}
_BY_TEMPERATURE, _BY_LOAD = 3, 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One signal of a module may not be beyond a limit for longer than a duration."""

    cause: Cause
    limit: float
    """[A], [V] or [K] by the cause."""
    duration: Second
    way_back: int
    """As `wattwright.pack.protection_kernel` numbers them."""
    rest: Second
    """How long the terms of the way back must hold."""


def conditions_of(battery_module: BatteryModule) -> tuple[Condition, ...]:
    """All that a module's sheet guards.

    Args:
        battery_module: With its protection points, voltages and temperatures.

    Notes:
        Currents let go by the sheet's points, read stepwise (`wattwright.pack.protection`), and come back as
        the sheet says. Where the voltage is too low, by charger; too high, once it is discharged; a
        temperature, once 5 K back within its limits: common practice, no source.
    """
    way = _WAYS[battery_module.way_back]
    rest = battery_module.rest_before_return
    found = [
        Condition(cause=cause, limit=point.current, duration=point.duration, way_back=way, rest=rest)
        for cause, points in (
            (Cause.DISCHARGE_CURRENT, battery_module.discharge_protection),
            (Cause.CHARGE_CURRENT, battery_module.charge_protection),
        )
        for point in points
    ]
    found += [
        Condition(
            cause=Cause.LOW_VOLTAGE,
            limit=battery_module.minimum_voltage,
            duration=VOLTAGE_DELAY,
            way_back=_WAYS[WayBack.BY_CHARGER],
            rest=rest,
        ),
        Condition(
            cause=Cause.HIGH_VOLTAGE,
            limit=battery_module.maximum_voltage * OVERCHARGE_MARGIN,
            duration=VOLTAGE_DELAY,
            way_back=_BY_LOAD,
            rest=0.0,
        ),
    ]
    temperatures = (
        (Cause.COLD_DISCHARGE, battery_module.coldest_discharge),
        (Cause.HOT_DISCHARGE, battery_module.hottest_discharge),
        (Cause.COLD_CHARGE, battery_module.coldest_charge),
        (Cause.HOT_CHARGE, battery_module.hottest_charge),
    )
    return (
        *found,
        *(
            Condition(
                cause=cause, limit=limit, duration=TEMPERATURE_DELAY, way_back=_BY_TEMPERATURE, rest=rest
            )
            for cause, limit in temperatures
        ),
    )


def current_conditions(
    points: Sequence[ProtectionPoint], way_back: WayBack = WayBack.BY_CHARGER, rest: Second = 30.0
) -> tuple[Condition, ...]:
    """Discharge currents alone, for questions in which nothing else may interfere."""
    return tuple(
        Condition(
            cause=Cause.DISCHARGE_CURRENT,
            limit=point.current,
            duration=point.duration,
            way_back=_WAYS[way_back],
            rest=rest,
        )
        for point in points
    )


def conditions_array(conditions: Sequence[Condition]) -> FloatArray:
    """(6, conditions) as the compiled loop takes them."""
    rows = [
        (*_SIGNALS[one.cause], one.limit, one.duration, float(one.way_back), one.rest) for one in conditions
    ]
    return np.ascontiguousarray(np.array(rows, dtype=np.float64).reshape(len(rows), 6).T)


def box_of(conditions: Sequence[Condition]) -> FloatArray:
    """(6,) least and most current, voltage and temperature within which no condition is broken."""
    box = [-math.inf, math.inf] * 3
    for one in conditions:
        signal, sign = _SIGNALS[one.cause]
        place = 2 * min(signal, 2)
        bound = sign * one.limit if signal == 0 else one.limit
        if sign > 0:
            box[place + 1] = min(box[place + 1], bound)
        else:
            box[place] = max(box[place], bound)
    return np.array(box)
