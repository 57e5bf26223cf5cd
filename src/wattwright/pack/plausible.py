"""Whether a reading can be true: of its kind, beside its neighbours in time, and of the calendar."""

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from typing import Final, NamedTuple

from wattwright.pack.cold import charge_factor
from wattwright.pack.health import (
    BENCH_TEMPERATURE,
    CAPACITY_ERROR,
    RESISTANCE_ERROR,
    at_temperature,
)
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.register import Reading
from wattwright.units import (
    DAYS_PER_YEAR,
    Coulomb,
    Ohm,
    ampere_hours_from_coulombs,
    kelvin_from_celsius,
    milliohms_from_ohms,
)

DOUBT: Final = 3.0 * math.sqrt(2.0)
"""Two readings that part by more than so many of their errors contradict each other: three standard errors
of a difference."""
FASTEST_FADE: Final = 0.3
"""[1/a] Capacity lost in a year, of rated, beyond which a fall is not believed without a second look,"""
SUDDEN_FADE: Final = 0.15
"""and what may be lost besides at once (assumptions; the knee of docs/models/ageing.md is slower)."""
DEEPEST_REST: Final = 0.8
"""Of the module's own cut-off: below that a rest voltage is a slip of the pen, or a module that must not be
charged again without its maker's word (common practice, no source)."""


class Range(NamedTuple):
    """Least and most that is believed, SI."""

    low: float
    high: float

    def holds(self, value: float) -> bool:
        """Whether a value lies within."""
        return self.low <= value <= self.high


def plausible(battery_module: BatteryModule) -> Mapping[str, Range]:
    """What can be read of a module of a kind, by the reading's field (common practice, no source).

    Notes:
        Rest voltage from `DEEPEST_REST` to 1 % above the end of charge. Capacity up to 15 % above rated,
        resistance 0.4 times the sheet's when warm to 12 times when worn and cold, temperature −30 to 60 °C.
    """
    return {
        "rest_voltage": Range(
            DEEPEST_REST * battery_module.minimum_voltage, 1.01 * battery_module.maximum_voltage
        ),
        "capacity": Range(0.02 * battery_module.capacity, 1.15 * battery_module.capacity),
        "resistance": Range(0.4 * battery_module.resistance, 12.0 * battery_module.resistance),
        "temperature": Range(kelvin_from_celsius(-30.0), kelvin_from_celsius(60.0)),
    }


def calendar_faults(reading_date: dt.date, today: dt.date, first_use: dt.date | None) -> tuple[str, ...]:
    """What is wrong with a reading's date, as sentences."""
    if reading_date > today:
        return (f"Its date {reading_date.isoformat()} lies in the future (today is {today.isoformat()}).",)
    if first_use is not None and reading_date < first_use:
        return (f"Its date {reading_date.isoformat()} lies before its first use, {first_use.isoformat()}.",)
    return ()


def contradictions(
    battery_module: BatteryModule, reading: Reading, others: Iterable[Reading]
) -> tuple[str, ...]:
    """Where a reading contradicts its neighbours in time, as sentences.

    Args:
        battery_module: Their kind.
        reading: The one in question.
        others: The module's readings so far; of each quantity the last before and the first after count,
            and all of the same day.

    Notes:
        A capacity does not grow and a resistance does not fall by more than three standard errors of a
        difference, both brought to 25 °C; and a capacity does not fall faster than `FASTEST_FADE` and
        `SUDDEN_FADE` together.
    """
    others = tuple(others)
    found = []
    if reading.capacity is not None:
        for other in _neighbours(reading, others, "capacity"):
            found += _capacity_fault(battery_module, reading, other)
    if reading.resistance is not None:
        for other in _neighbours(reading, others, "resistance"):
            found += _resistance_fault(battery_module, reading, other)
    return tuple(found)


def _neighbours(reading: Reading, others: tuple[Reading, ...], field: str) -> list[Reading]:
    with_it = [other for other in others if getattr(other, field) is not None]
    same = [other for other in with_it if other.date == reading.date]
    before = max((other for other in with_it if other.date < reading.date), key=_day, default=None)
    after = min((other for other in with_it if other.date > reading.date), key=_day, default=None)
    return [*same, *(other for other in (before, after) if other is not None)]


def _day(reading: Reading) -> dt.date:
    return reading.date


def _capacity_fault(kind: BatteryModule, reading: Reading, other: Reading) -> list[str]:
    early, late = sorted((other, reading), key=_day)
    first, last = (_warm_capacity(kind, each) / kind.capacity for each in (early, late))
    years = (late.date - early.date).days / DAYS_PER_YEAR
    told = f"{_ah(reading.capacity)} contradicts {_ah(other.capacity)} on {other.date.isoformat()}"
    if years == 0 and abs(last - first) > DOUBT * CAPACITY_ERROR:
        return [f"{told}, the same day."]
    if last - first > DOUBT * CAPACITY_ERROR:
        return [f"{told}: a capacity does not grow."]
    if first - last > DOUBT * CAPACITY_ERROR + SUDDEN_FADE + FASTEST_FADE * years:
        return [f"{told}: that is too sudden a fall to believe unseen."]
    return []


def _resistance_fault(kind: BatteryModule, reading: Reading, other: Reading) -> list[str]:
    early, late = sorted((other, reading), key=_day)
    first, last = (_warm_resistance(kind, each) for each in (early, late))
    told = f"{_mohm(reading.resistance)} contradicts {_mohm(other.resistance)} on {other.date.isoformat()}"
    error = DOUBT * RESISTANCE_ERROR * (first + last) / 2
    if early.date == late.date and abs(last - first) > error:
        return [f"{told}, the same day."]
    if first - last > error:
        return [f"{told}: a resistance does not fall, once both are brought to 25 °C."]
    return []


def _warm_capacity(kind: BatteryModule, reading: Reading) -> Coulomb:
    kelvin = BENCH_TEMPERATURE if reading.temperature is None else reading.temperature
    return (reading.capacity or 0.0) / float(charge_factor(kind.chemistry, kelvin))


def _warm_resistance(kind: BatteryModule, reading: Reading) -> Ohm:
    kelvin = BENCH_TEMPERATURE if reading.temperature is None else reading.temperature
    return (reading.resistance or 0.0) / at_temperature(kind, kelvin)


def _ah(capacity: Coulomb | None) -> str:
    return f"{ampere_hours_from_coulombs(capacity or 0.0):.2f} Ah"


def _mohm(resistance: Ohm | None) -> str:
    return f"{milliohms_from_ohms(resistance or 0.0):.0f} mΩ"
