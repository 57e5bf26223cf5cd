"""State of health of one module from its readings: capacity and resistance, how sure, whither."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.ageing import KNEE, Fade, faded
from wattwright.pack.cold import charge_factor
from wattwright.pack.resistance import arrhenius_factor
from wattwright.pack.year import Year, year_of_service
from wattwright.parts.battery_module import BatteryModule, Chemistry
from wattwright.parts.register import Reading
from wattwright.units import (
    DAYS_PER_YEAR,
    GAS_CONSTANT,
    FloatArray,
    Fraction,
    JoulePerMole,
    Kelvin,
    kelvin_from_celsius,
)

CAPACITY_ERROR: Final = 0.02
"""Standard error of a measured capacity, of rated: a metered discharge at the bench (common practice, no
source)."""
RESISTANCE_ERROR: Final = 0.06
"""Of a measured resistance, of itself: contacts, timing, charge at which it was taken (common practice, no
source)."""
THERMOMETER_ERROR: Kelvin = 2.0
"""[K] How far the cells are from the temperature written down (common practice, no source)."""
BENCH_TEMPERATURE: Kelvin = kelvin_from_celsius(20.0)
"""[K] Taken where none was written down,"""
BENCH_SPREAD: Kelvin = 5.0
"""[K] and how far that may be off (assumption)."""
ACTIVATION_SPREAD: JoulePerMole = 6000.0
"""[J/mol] How far a sheet's activation energy may be off (assumption; single reactions have 18 to
40 kJ/mol)."""
LEAST_SCALE_SPREAD: Final = 0.5
"""At least this uncertain is how fast a module wears against the ageing models (assumption): nobody wrote
down its use."""
DRIFT: Final = (0.025, 0.05)
"""[1/a] Spread of a steady change besides the models': capacity, resistance (assumption)."""
AGES: Final = (0, 0.1, 0.25, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30)
"""[years] At which the models' course is worked out; straight between."""


class Estimate(NamedTuple):
    """A value and its standard error."""

    value: float
    error: float


WATCHED_BELOW: Final = 0.8
"""Capacity left below which 32 like cells of a published set all fell at least 2.8 times as fast as before
(docs/models/ageing.md): measure more often from here."""
NEW: Final = (Estimate(1.0, 0.03), Estimate(1.0, 0.10))
"""How far new modules lie from their sheet: capacity, resistance (assumption)."""
UNKNOWN_AGE: Final = (Estimate(0.85, 0.15), Estimate(1.4, 0.5))
"""What is believed of a module of unknown age before any reading: capacity, resistance (assumption)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """What a module is worth on a day."""

    date: dt.date
    capacity_left: Estimate
    """Of rated."""
    resistance_risen: Estimate
    """Over the new module's, both at 25 °C: 1.2 is one fifth more."""
    capacity_trend: Estimate | None
    """Change a year of the former; None for a module of unknown age with fewer than two readings."""
    resistance_trend: Estimate | None
    capacity_readings: int
    resistance_readings: int
    notes: tuple[str, ...]

    @property
    def is_to_be_watched(self) -> bool:
        """Whether its capacity is where like cells began to fall fast."""
        return self.capacity_left.value < WATCHED_BELOW

    @property
    def is_worn_out(self) -> bool:
        """Whether its capacity lies below what any ageing model has data for: it may fail suddenly."""
        return self.capacity_left.value < KNEE


def usual_year(battery_module: BatteryModule) -> Year:
    """The year of use that is believed of a module nobody kept a diary of (assumption).

    Notes:
        15 °C, standing at 80 % of charge, sixty rides over the year that take 70 %.
    """
    return year_of_service(
        month_temperature=np.full(12, kelvin_from_celsius(15.0)),
        month_charge_drawn=np.full(12, 5 * 0.7 * battery_module.capacity),
        ride_depth=np.array([0.7]),
        capacity=battery_module.capacity,
        storage_charge=0.8,
    )


def health(
    battery_module: BatteryModule, readings: Sequence[Reading], today: dt.date, first_use: dt.date | None
) -> Health:
    """The state of health of one module on a day.

    Args:
        battery_module: Its kind, as the sheet describes it new.
        readings: Of this module, any order; those after ``today`` are left out.
        today: The day asked about.
        first_use: When its life began, or None.

    Returns:
        Capacity and resistance with standard errors, and how they change.

    Raises:
        InputError: If its life begins after today.

    Notes:
        Each quantity is y(t) = y₀ + s·L(t) + q·t: a start y₀ (the sheet's, within `NEW`), the central ageing
        model's course L of the usual year, s times as fast (1 within what the models part, at least
        `LEAST_SCALE_SPREAD`), and a steady drift q (0 within `DRIFT`), for modules that wear otherwise than
        any model. Readings correct all three by least squares with those priors, each weighed by its
        error: the posterior of a linear Gaussian model, exact. A capacity is brought to 25 °C by the cold's
        charge factor, a resistance by Arrhenius; what the temperature is not known enters the error. Without
        first use the course starts at the first reading, from `UNKNOWN_AGE`.

        A rest voltage says charge, not health, and is not used here.
    """
    if first_use is not None and first_use > today:
        raise InputError("first_use", first_use.isoformat(), f"on or before {today.isoformat()}")
    seen = sorted((each for each in readings if each.date <= today), key=lambda each: each.date)
    start = first_use or (seen[0].date if seen else today)
    known = first_use is not None
    capacities, resistances = _capacities(battery_module, seen), _resistances(battery_module, seen)
    (left, left_trend), (risen, risen_trend) = (
        _Belief(wear=wear, start=start, known=known, level=new if known else unknown).fitted(found, today)
        for wear, new, unknown, found in zip(
            _wear(battery_module), NEW, UNKNOWN_AGE, (capacities, resistances), strict=True
        )
    )
    return Health(
        date=today,
        capacity_left=left,
        resistance_risen=risen,
        capacity_trend=left_trend,
        resistance_trend=risen_trend,
        capacity_readings=len(capacities),
        resistance_readings=len(resistances),
        notes=_notes(battery_module, seen, capacities, first_use),
    )


class _Measured(NamedTuple):
    """One reading brought to 25 °C and set against the sheet."""

    date: dt.date
    value: float
    error: float


def _capacities(kind: BatteryModule, readings: Sequence[Reading]) -> list[_Measured]:
    found = []
    for reading in readings:
        if reading.capacity is not None:
            kelvin, spread = _temperature(reading)
            factor = float(charge_factor(kind.chemistry, kelvin))
            around = charge_factor(kind.chemistry, np.array([kelvin - spread, kelvin + spread]))
            share = reading.capacity / kind.capacity / factor
            by_warmth = share * float(np.ptp(around)) / 2 / factor
            found.append(_Measured(reading.date, share, float(np.hypot(CAPACITY_ERROR, by_warmth))))
    return found


def _resistances(kind: BatteryModule, readings: Sequence[Reading]) -> list[_Measured]:
    found = []
    for reading in readings:
        if reading.resistance is not None:
            kelvin, spread = _temperature(reading)
            ratio = reading.resistance / kind.resistance / at_temperature(kind, kelvin)
            found.append(_Measured(reading.date, ratio, ratio * _resistance_error(kind, kelvin, spread)))
    return found


def at_temperature(kind: BatteryModule, temperature: Kelvin) -> float:
    """How much larger a module's resistance is than at 25 °C (Arrhenius)."""
    return float(arrhenius_factor(temperature, kind.activation_energy))


def _resistance_error(kind: BatteryModule, kelvin: Kelvin, spread: Kelvin) -> float:
    """Relative: the meter, the thermometer, and the activation energy times the way to 25 °C."""
    by_warmth = kind.activation_energy / GAS_CONSTANT / kelvin**2 * spread
    by_energy = ACTIVATION_SPREAD / GAS_CONSTANT * abs(1 / kelvin - 1 / 298.15)
    return float(np.sqrt(RESISTANCE_ERROR**2 + by_warmth**2 + by_energy**2))


def _temperature(reading: Reading) -> tuple[Kelvin, Kelvin]:
    """Of the module at the reading, and its standard error."""
    if reading.temperature is None:
        return BENCH_TEMPERATURE, BENCH_SPREAD
    return reading.temperature, THERMOMETER_ERROR


class _Wear(NamedTuple):
    """How one quantity of a kind changes from new in the usual year, by the ageing models."""

    drift: float
    """[1/a] Spread of a steady change besides."""
    central: FloatArray
    """(ages,) at `AGES`; negative for capacity."""
    bound: FloatArray

    def at(self, age: float) -> float:
        """Central change at an age in years."""
        return float(np.interp(age, AGES, self.central))

    @property
    def spread(self) -> float:
        """How uncertain the pace is, of itself: what the models part over ten years, or more."""
        row = AGES.index(10)
        return max(abs(float(self.bound[row] / self.central[row]) - 1.0), LEAST_SCALE_SPREAD)


@cache
def _wear(battery_module: BatteryModule) -> tuple[_Wear, _Wear]:
    """Of capacity, and of resistance."""
    year = usual_year(battery_module)
    course = [faded(battery_module.chemistry, year, age) for age in AGES]

    def change(of: Callable[[Fade], float], drift: float) -> _Wear:
        central, bound = (
            [of(fade) - 1.0 for fade in fades]
            for fades in ([ageing.central for ageing in course], [ageing.bound for ageing in course])
        )
        return _Wear(drift, np.array(central), np.array(bound))

    return (
        change(lambda fade: fade.capacity_left, DRIFT[0]),
        change(lambda fade: fade.resistance_risen, DRIFT[1]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Belief:
    """What is believed of one quantity of a module before anything was measured."""

    wear: _Wear
    start: dt.date
    known: bool
    """Whether ``start`` is when its life began."""
    level: Estimate
    """At the start."""

    def fitted(self, measured: Sequence[_Measured], today: dt.date) -> tuple[Estimate, Estimate | None]:
        """The value today by readings and belief, and its change a year."""
        mean, covariance = self._posterior(measured)
        age = self._age(today)
        now = self._row(age)
        value = _estimate(now, mean, covariance)
        if not self.known and len(measured) < 2:
            return value, None
        return value, _estimate(self._row(age + 1.0) - now, mean, covariance)

    def _posterior(self, measured: Sequence[_Measured]) -> tuple[FloatArray, FloatArray]:
        """Mean and covariance of (level, pace, drift)."""
        spread = np.array([self.level.error, self.wear.spread, self.wear.drift])
        precision = np.diag(spread**-2.0)
        pulled = precision @ np.array([self.level.value, 1.0, 0.0])
        for reading in measured:
            row = self._row(self._age(reading.date))
            precision = precision + np.outer(row, row) / reading.error**2
            pulled = pulled + row * reading.value / reading.error**2
        covariance = np.asarray(np.linalg.inv(precision), dtype=np.float64)
        return np.asarray(covariance @ pulled), covariance

    def _row(self, age: float) -> FloatArray:
        """What level, pace and drift count for at an age."""
        return np.array([1.0, self.wear.at(age), age])

    def _age(self, date: dt.date) -> float:
        return max((date - self.start).days / DAYS_PER_YEAR, 0.0)


def _estimate(row: FloatArray, mean: FloatArray, covariance: FloatArray) -> Estimate:
    return Estimate(float(row @ mean), float(np.sqrt(row @ covariance @ row)))


def _notes(
    kind: BatteryModule,
    readings: Sequence[Reading],
    capacities: Sequence[_Measured],
    first_use: dt.date | None,
) -> tuple[str, ...]:
    only_voltage = bool(readings) and not capacities and all(each.resistance is None for each in readings)
    findings = (
        (
            not readings,
            "No reading yet: this is what age alone lets one expect.",
        ),
        (
            only_voltage,
            "Only rest voltages so far: they say how full a module is, not how worn. Measure capacity.",
        ),
        (
            first_use is None,
            "Nobody wrote down when its life began: without readings its health is anybody's guess.",
        ),
        (
            kind.chemistry is Chemistry.LFP and any(each.rest_voltage is not None for each in readings),
            "Iron-phosphate cells hold one voltage over most of their charge: count it, do not read it.",
        ),
        (
            any(each.resistance is not None and each.temperature is None for each in readings),
            "A resistance without its temperature says little: 20 °C was taken, within 5 °C.",
        ),
    )
    return tuple(sentence for holds, sentence in findings if holds)


class ChargeRead(NamedTuple):
    """What a rest voltage says of the charge, 0 to 1."""

    low: Fraction
    likely: Fraction
    high: Fraction

    @property
    def is_told(self) -> bool:
        """Whether the voltage tells the charge within about a fifth."""
        return self.high - self.low <= 0.22


CELL_SPREAD: Final = 0.02
"""[V] of one cell: real cells differ from a published table by 20 to 50 mV (reference sheet, topic 4)."""


def charge_read(battery_module: BatteryModule, cell_voltage: FloatArray, rest_voltage: float) -> ChargeRead:
    """The charge a rest voltage can mean.

    Args:
        battery_module: Its kind.
        cell_voltage: (points,) of one cell on an even grid of charge. [V]
        rest_voltage: Of the module. [V]

    Returns:
        The charges whose rest voltage lies within `CELL_SPREAD` a cell; on a flat curve they lie far apart.
    """
    cell = rest_voltage / battery_module.cells_in_series
    grid = np.linspace(0.0, 1.0, len(cell_voltage))
    low, likely, high = np.interp([cell - CELL_SPREAD, cell, cell + CELL_SPREAD], cell_voltage, grid)
    return ChargeRead(low=float(low), likely=float(likely), high=float(high))
