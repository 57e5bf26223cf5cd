"""A module put away: its charge from day to day, and the dates by which it must be charged again."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.ageing import Ageing
from wattwright.pack.self_discharge import SelfDischarge, by_charge, charge_after
from wattwright.pack.standing_loss import standing_loss
from wattwright.parts.battery_module import BatteryModule, PowerState
from wattwright.units import (
    DAYS_PER_MONTH,
    DAYS_PER_YEAR,
    SECONDS_PER_DAY,
    Ampere,
    FloatArray,
    Fraction,
    Kelvin,
    PerSecond,
    per_second_from_percent_per_month,
)
from wattwright.working import Source, Standing

USUAL_SELF_DISCHARGE: PerSecond = per_second_from_percent_per_month(2.0)
"""[1/s] Of rated charge at 25 °C and half charge, where a sheet is silent: 2 to 3 % a month is said of
lithium-ion cells in general (two reference pages)."""
USUAL_SPREAD: Final = (0.15, 2.5)
"""Least and most over that: 0.3 % a month of new measured cells to the 5 % of a test-cell maker's note."""
SHEET_SPREAD: Final = (0.5, 2.0)
"""The same where the sheet gives a figure (assumption)."""
USUAL_CURRENT: Final = {
    PowerState.AWAKE: 0.5e-3,
    PowerState.STANDBY: 0.1e-3,
    PowerState.SWITCHED_OFF: 0.5e-3,
    PowerState.DEEP_SLEEP: 5e-6,
}
"""[A] Where a sheet is silent. Standby: a protection circuit adds about 3 % a month on a small pack
(secondary), which is 0.1 mA on 2.5 Ah. The others: assumption; switched off is as awake (common practice,
no source)."""
USUAL_CURRENT_SPREAD: Final = (0.3, 3.0)
"""(assumption)"""
SHEET_CURRENT_SPREAD: Final = (0.7, 1.5)
"""(assumption)"""
LONGEST: Final = 20 * 366
"""[days] that are looked ahead."""
SELF_DISCHARGE_SOURCE: Final = Source(
    text="Doubling each 10 °C (secondary, several); rate by charge after Zilberman et al. 2019 (secondary)",
    standing=Standing.PUBLISHED,
)
RECOMMENDED_CHARGE: Final = (0.3, 0.5)
"""State of charge to put a module away at, about 15 °C (handbook family of pages)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Losses:
    """How fast charge goes, with what is known of it."""

    self_discharge: SelfDischarge
    drain: Ampere
    """Of the electronics in the power state."""
    slow: float
    """Least self-discharge over the central one;"""
    fast: float
    """and most."""
    drain_low: float
    """Least drain over the central one;"""
    drain_high: float
    """and most."""
    notes: tuple[str, ...]
    """What of this the sheet does not say."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StorageCourse:
    """The charge from day to day, day 0 the date it is put away."""

    start: dt.date
    temperature: FloatArray
    """(days,) of each day to come. [K]"""
    charge: FloatArray
    """(days + 1,) central estimate. 0 to 1"""
    least: FloatArray
    """(days + 1,) where cells and electronics take most."""
    most: FloatArray
    """(days + 1,) where they take least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StorageDates:
    """When the charge falls to a floor and to nothing; None beyond what was looked ahead."""

    recharge: dt.date | None
    """Central estimate."""
    recharge_early: dt.date | None
    """Where cells and electronics take most: the date to write into a calendar."""
    empty: dt.date | None
    empty_early: dt.date | None


def losses_of(battery_module: BatteryModule, state: PowerState) -> Losses:
    """What cells and electronics take, from the sheet where it says so and usual values where not."""
    sheet_current, sheet_rate = battery_module.quiescent_current(state), battery_module.self_discharge
    notes = []
    if sheet_current is None:
        notes.append(
            f"The sheet of {battery_module.title} does not say what its electronics take ({state.value}): a "
            f"usual {1000 * USUAL_CURRENT[state]:g} mA is taken, within three times more or less."
        )
    if sheet_rate is None:
        notes.append(
            f"The sheet of {battery_module.title} gives no self-discharge: a usual 2 % a month is taken; "
            "0.3 to 5 % have been measured."
        )
    slow, fast = USUAL_SPREAD if sheet_rate is None else SHEET_SPREAD
    low, high = USUAL_CURRENT_SPREAD if sheet_current is None else SHEET_CURRENT_SPREAD
    return Losses(
        self_discharge=by_charge(USUAL_SELF_DISCHARGE if sheet_rate is None else sheet_rate),
        drain=USUAL_CURRENT[state] if sheet_current is None else sheet_current,
        slow=slow,
        fast=fast,
        drain_low=low,
        drain_high=high,
        notes=tuple(notes),
    )


def storage_course(
    battery_module: BatteryModule,
    losses: Losses,
    *,
    start: dt.date,
    start_charge: Fraction,
    month_temperature: Sequence[Kelvin],
    days: int,
    capacity_left: Fraction = 1.0,
) -> StorageCourse:
    """The charge of a module that stands untouched.

    Args:
        battery_module: What is put away.
        losses: Of its cells and electronics.
        start: The day it is put away.
        start_charge: State of charge then, 0 to 1.
        month_temperature: Twelve, where it stands, January first. [K]
        days: How far to look ahead, 1 to 20 years.
        capacity_left: Of rated, by age.

    Raises:
        InputError: If a value is out of range.

    Notes:
        Each day at its month's temperature, by `self_discharge.charge_after`.
    """
    _check(start_charge, month_temperature, days, capacity_left)
    months = [(start + dt.timedelta(days=day)).month - 1 for day in range(days)]
    temperature = np.array([month_temperature[month] for month in months])
    capacity = battery_module.capacity * capacity_left

    def course(factor: float, drain: float) -> FloatArray:
        charge = [start_charge]
        loss = losses.self_discharge.times(factor)
        for kelvin in temperature:
            charge.append(
                charge_after(
                    charge[-1],
                    SECONDS_PER_DAY,
                    loss,
                    drain=losses.drain * drain,
                    capacity=capacity,
                    temperature=float(kelvin),
                )
            )
        return np.array(charge)

    return StorageCourse(
        start=start,
        temperature=temperature,
        charge=course(1.0, 1.0),
        least=course(losses.fast, losses.drain_high),
        most=course(losses.slow, losses.drain_low),
    )


def storage_dates(course: StorageCourse, floor: Fraction) -> StorageDates:
    """The last day above a floor, and the last day above nothing, by the estimate and at the earliest.

    Raises:
        InputError: If the floor is not from 0 to below 1, or the module starts at or below it.
    """
    if not 0 <= floor < 1:
        raise InputError("recharge_at_pct", 100 * floor, "from 0 to below 100 %")
    if course.charge[0] <= floor:
        raise InputError(
            "charge_pct",
            round(100 * float(course.charge[0]), 1),
            f"above recharge_at_pct ({100 * floor:g} %)",
            "Charge it before it is put away: about 40 % is recommended.",
        )
    return StorageDates(
        recharge=_last_above(course, course.charge, floor),
        recharge_early=_last_above(course, course.least, floor),
        empty=_last_above(course, course.charge, 0.0),
        empty_early=_last_above(course, course.least, 0.0),
    )


def permanent_loss(battery_module: BatteryModule, course: StorageCourse, days: int) -> Ageing:
    """What standing so for a number of days leaves of new cells for good.

    Raises:
        InputError: If there are not so many days in the course, or fewer than one.
    """
    if not 1 <= days <= len(course.temperature):
        raise InputError("days", days, f"from 1 to {len(course.temperature)}")
    parts = max(1, round(days / DAYS_PER_MONTH))
    charge = (course.charge[:days] + course.charge[1 : days + 1]) / 2
    return standing_loss(
        battery_module.chemistry,
        np.array([part.mean() for part in np.array_split(charge, parts)]),
        np.array([part.mean() for part in np.array_split(course.temperature[:days], parts)]),
        days / DAYS_PER_YEAR,
    )


def _last_above(course: StorageCourse, charge: FloatArray, floor: Fraction) -> dt.date | None:
    """The day before the first on which the charge is at the floor, not before it is put away."""
    below = np.flatnonzero(charge <= floor)
    if not len(below):
        return None
    return course.start + dt.timedelta(days=max(int(below[0]) - 1, 0))


def _check(
    start_charge: Fraction, month_temperature: Sequence[Kelvin], days: int, capacity_left: Fraction
) -> None:
    if not 0 <= start_charge <= 1:
        raise InputError("charge_pct", 100 * start_charge, "from 0 to 100 %")
    if len(month_temperature) != 12 or not all(200 < kelvin < 350 for kelvin in month_temperature):
        raise InputError("temperature_c", list(month_temperature), "twelve temperatures, −70 to 75 °C")
    if not 1 <= days <= LONGEST:
        raise InputError("days", days, f"from 1 to {LONGEST}")
    if not 0 < capacity_left <= 1.2:
        raise InputError("capacity_left_pct", 100 * capacity_left, "above 0 to 120 %")
