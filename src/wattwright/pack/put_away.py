"""A module put away: everything that is to be said of it, in one answer."""

import datetime as dt
from dataclasses import dataclass
from typing import Final

from wattwright.errors import OutsideRangeError
from wattwright.pack.ageing import Ageing
from wattwright.pack.standing_loss import handbook_left
from wattwright.pack.storage import (
    RECOMMENDED_CHARGE,
    Losses,
    StorageCourse,
    StorageDates,
    losses_of,
    permanent_loss,
    storage_course,
    storage_dates,
)
from wattwright.parts.battery_module import BatteryModule, PowerState
from wattwright.units import Fraction, Kelvin

LONGEST_STORED: Final = 5 * 366
"""[days] that are looked ahead for the dates."""
YEAR: Final = 365


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """What is put away, where and how."""

    battery_module: BatteryModule
    name: str
    """A serial, or the kind's title."""
    state: PowerState
    start: dt.date
    start_charge: Fraction
    recharge_at: Fraction
    month_temperature: tuple[Kelvin, ...]
    """Twelve, January first."""
    capacity_left: Fraction = 1.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StorageAnswer:
    """The whole answer for one module put away."""

    stored: Stored
    losses: Losses
    course: StorageCourse
    dates: StorageDates
    loss_of_a_year: Ageing
    """What a year like that leaves of new cells for good."""
    handbook: Fraction | None
    """The same by a handbook's table; None outside its temperatures."""
    notes: tuple[str, ...]


def put_away(stored: Stored) -> StorageAnswer:
    """Work out a module that is put away.

    Raises:
        InputError: If a value is out of range, or it is put away at or below the floor.
    """
    losses = losses_of(stored.battery_module, stored.state)
    course = storage_course(
        stored.battery_module,
        losses,
        start=stored.start,
        start_charge=stored.start_charge,
        month_temperature=stored.month_temperature,
        days=LONGEST_STORED,
        capacity_left=stored.capacity_left,
    )
    return StorageAnswer(
        stored=stored,
        losses=losses,
        course=course,
        dates=storage_dates(course, stored.recharge_at),
        loss_of_a_year=permanent_loss(stored.battery_module, course, YEAR),
        handbook=_handbook(stored, course),
        notes=(*losses.notes, *_notes(stored)),
    )


def _handbook(stored: Stored, course: StorageCourse) -> Fraction | None:
    charge = float(course.charge[: YEAR + 1].mean())
    try:
        return sum(handbook_left(charge, kelvin) for kelvin in stored.month_temperature) / 12
    except OutsideRangeError:
        return None


def _notes(stored: Stored) -> tuple[str, ...]:
    kind, (low, high) = stored.battery_module, RECOMMENDED_CHARGE
    findings = (
        (
            not low <= stored.start_charge <= high + 0.1,
            f"About 40 % is recommended for storage ({100 * low:.0f} to {100 * high:.0f} %), at about 15 °C.",
        ),
        (
            stored.state in {PowerState.AWAKE, PowerState.SWITCHED_OFF}
            and kind.deep_sleep_current is not None,
            "This kind has a deep sleep, which takes far less: the module's manual says how to reach it.",
        ),
        (
            max(stored.month_temperature) > kind.hottest_charge,
            "Part of the year it stands hotter than it may be charged: find a cooler place.",
        ),
    )
    always = ("Below its cut-off a module must not be charged without its maker's word.",)
    return (*(sentence for holds, sentence in findings if holds), *always)
