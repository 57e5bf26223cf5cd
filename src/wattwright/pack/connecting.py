"""May these modules be joined now? Equalising currents, their limits, and what to do first."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.branches import PlacedModule, Stack, pack_of
from wattwright.pack.guarding import OVERCHARGE_MARGIN
from wattwright.pack.network import PackCourse, pack_course
from wattwright.pack.open_circuit import voltage_at
from wattwright.parts.battery_module import BatteryModule, Chemistry
from wattwright.parts.supply import Supply
from wattwright.units import Ampere, FloatArray, Fraction, Kelvin, Ohm, Second, Volt

CURVE_ERROR: Final[Volt] = 0.010
"""[V] a cell either way. A real cell lies 20 to 50 mV off its family's table (worked out from published
parameter sets); half of the least of it for modules of one kind (assumption)."""
TELLS_CHARGE: Final = 0.10
"""Most uncertainty either way with which a voltage is said to tell a charge; assumption."""
WATCHED: Final[Second] = 6 * 3600.0
"""[s] over which equalising is worked out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RestReading:
    """What is known of one module before joining: its rest voltage or its charge."""

    voltage: Volt | None = None
    """After an hour's rest or more."""
    charge: Fraction | None = None
    """From a counter or because it was just charged full; it is taken before the voltage."""
    temperature: Kelvin = 298.15
    capacity_left: Fraction = 1.0
    resistance_risen: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeRange:
    """Charge as a voltage tells it: the value, and how low or high it could be."""

    low: Fraction
    value: Fraction
    high: Fraction

    @property
    def is_told(self) -> bool:
        """Whether the voltage tells the charge at all."""
        return self.high - self.low <= 2.0 * TELLS_CHARGE


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ConnectAnswer:
    """Whether modules may be joined, and why."""

    may_join: bool
    reasons: tuple[str, ...]
    """Why not; empty where they may."""
    first: tuple[str, ...]
    """What to do first; empty where they may."""
    cannot_tell: tuple[int, ...]
    """Modules (0 first) whose charge the voltage does not tell."""
    charges: tuple[ChargeRange, ...]
    peak_current: FloatArray
    """(modules,) largest equalising current of each, in the worst case of the readings. [A]"""
    peak_joint: Ampere
    """Through the most loaded contact."""
    limits: tuple[Ampere, Ampere]
    """Of a module that is charged, and of one that discharges."""
    settled: Second
    """Until the largest current is below a tenth of its peak; infinite where it is not within six hours."""
    target_voltage: Volt
    """Rest voltage to which the others are brought."""
    course: PackCourse
    """Of equalising, worst case."""


def charge_from_voltage(
    supply: Supply, chemistry: Chemistry, cells: int, voltage: Volt, *, curve_error: Volt = CURVE_ERROR
) -> ChargeRange:
    """What a rest voltage says of the charge.

    Args:
        supply: Tables of the module.
        chemistry: Named in the error only.
        cells: In series.
        voltage: At rest for an hour or more. [V]
        curve_error: Of one cell against the table, either way. [V]

    Raises:
        InputError: If no cell of the family rests at such a voltage.

    Notes:
        The table read backwards at U and U ± cells · curve error. On flat curves the range is wide: an LFP
        cell moves 21.5 mV from 40 to 70 % (Prada et al. 2013, the table itself).
    """
    table = supply.open_circuit_voltage
    margin = cells * curve_error
    if not table[0] - margin <= voltage <= table[-1] + margin:
        raise InputError(
            "voltage_v",
            voltage,
            f"from {table[0]:.1f} to {table[-1]:.1f} V at rest for {cells} {chemistry.value} cells",
            "Below it the module may be damaged: do not charge it, see its manual.",
        )
    grid = np.linspace(0.0, 1.0, len(table))
    low, value, high = (float(np.interp(voltage + shift, table, grid)) for shift in (-margin, 0.0, margin))
    return ChargeRange(low=low, value=value, high=high)


def connect_check(
    battery_module: BatteryModule,
    supply: Supply,
    readings: Sequence[RestReading],
    *,
    lead: Ohm = 0.0,
    contact: Ohm = 0.0,
    joint_limit: Ampere = math.inf,
    may_take_peaks: bool = False,
) -> ConnectAnswer:
    """Whether modules may be joined in parallel now.

    Args:
        battery_module: All of this kind.
        supply: Its tables.
        readings: One for each module, in the order of the stack.
        lead: Of each module to its place, out and back. [Ω]
        contact: Between neighbours, out and back. [Ω]
        joint_limit: What a contact carries. [A]
        may_take_peaks: Whether, by the fitter's word, the short-time charge current (regeneration) may
            be used for the first minute; else the charge current is the limit throughout.

    Returns:
        The answer, with the course of equalising in the worst case of the readings: the fuller as full and
        the emptier as empty as the readings allow.

    Raises:
        InputError: If there are less than two modules, a reading says nothing or cannot be.

    Notes:
        Kirchhoff's laws with no load on the bus, over six hours. While a module takes charge its current may
        not exceed the sheet's charge current; while it gives, the continuous discharge current. Outside the
        sheet's charge temperatures no module may take any. Common practice, no source.
    """
    if len(readings) < 2:
        raise InputError("modules", len(readings), "2 or more")
    ranges = tuple(_range(battery_module, supply, reading) for reading in readings)
    cases = _cases(ranges)
    runs = [
        _equalised(battery_module, supply, readings, charges, lead=lead, contact=contact) for charges in cases
    ]
    course = max(runs, key=lambda run: float(np.abs(run.current).max()))
    takes = _charge_limit(battery_module, short=may_take_peaks)
    reasons = list(_currents_too_high(battery_module, course, takes))
    reasons += _too_cold(battery_module, readings, course)
    peak_joint = _peak_joint(course)
    if peak_joint > joint_limit:
        reasons.append(f"A contact would carry {peak_joint:.1f} A; it bears {joint_limit:g} A.")
    cannot_tell = tuple(at for at, found in enumerate(ranges) if not found.is_told)
    if cannot_tell:
        reasons.append(_untold(battery_module, cannot_tell, ranges))
    target = max(found.value for found in ranges)  # at a bench charging is easier than discharging
    return ConnectAnswer(
        may_join=not reasons,
        reasons=tuple(reasons),
        first=_first(battery_module, supply, ranges, cannot_tell, target) if reasons else (),
        cannot_tell=cannot_tell,
        charges=ranges,
        peak_current=np.abs(course.current).max(axis=0),
        peak_joint=peak_joint,
        limits=(takes, battery_module.continuous_discharge_current),
        settled=_settled(course),
        target_voltage=float(voltage_at(target, supply.open_circuit_voltage)),
        course=course,
    )


def _range(battery_module: BatteryModule, supply: Supply, reading: RestReading) -> ChargeRange:
    if reading.charge is not None:
        if not 0.0 <= reading.charge <= 1.0:
            raise InputError("charge_pct", 100 * reading.charge, "from 0 to 100 %")
        return ChargeRange(low=reading.charge, value=reading.charge, high=reading.charge)
    if reading.voltage is None:
        raise InputError("voltage_v", None, "a rest voltage, or a charge in its place")
    if reading.voltage > battery_module.maximum_voltage * OVERCHARGE_MARGIN:
        raise InputError(
            "voltage_v",
            reading.voltage,
            f"at most {battery_module.maximum_voltage:.1f} V, the end of charge of “{battery_module.title}”",
            "Is it another kind of module, or the meter's range?",
        )
    return charge_from_voltage(
        supply, battery_module.chemistry, battery_module.cells_in_series, reading.voltage
    )


def _cases(ranges: Sequence[ChargeRange]) -> list[list[Fraction]]:
    """The charges as told, and both extremes of the most charged against the least charged."""
    told = [found.value for found in ranges]
    if all(found.low == found.high for found in ranges):
        return [told]
    middle = (min(told) + max(told)) / 2.0
    apart = [found.high if found.value > middle else found.low for found in ranges]
    if max(told) - min(told) < 1e-9:  # all read alike: any one may be the fuller
        apart = [ranges[0].high] + [found.low for found in ranges[1:]]
    return [told, apart]


def _equalised(
    battery_module: BatteryModule,
    supply: Supply,
    readings: Sequence[RestReading],
    charges: Sequence[Fraction],
    *,
    lead: Ohm,
    contact: Ohm,
) -> PackCourse:
    placed = tuple(
        PlacedModule(
            charge=charge,
            temperature=reading.temperature,
            capacity_left=reading.capacity_left,
            resistance_risen=reading.resistance_risen,
            lead=lead,
        )
        for charge, reading in zip(charges, readings, strict=True)
    )
    branches = pack_of(supply, battery_module, [Stack(modules=placed, contact=contact)])
    time = np.concatenate([np.arange(0.0, 60.0, 0.5), np.arange(60.0, WATCHED + 1.0, 10.0)])
    return pack_course(branches, time, np.zeros(len(time)))


def _charge_limit(battery_module: BatteryModule, *, short: bool) -> Ampere:
    lasting = battery_module.maximum_charge_current
    return max(lasting, battery_module.regeneration_current) if short else lasting


def _currents_too_high(battery_module: BatteryModule, course: PackCourse, takes: Ampere) -> Sequence[str]:
    found = []
    lasting, gives = battery_module.maximum_charge_current, battery_module.continuous_discharge_current
    later = course.time >= 60.0
    for module in range(course.current.shape[1]):
        into, out = -course.current[:, module], course.current[:, module]
        if into.max() > takes + 1e-9:
            found.append(
                f"Module {module + 1} would be charged with {into.max():.1f} A; it takes {takes:g} A."
            )
        elif into[later].max() > lasting + 1e-9:
            found.append(
                f"Module {module + 1} would still be charged with {into[later].max():.1f} A after a minute; "
                f"it takes {lasting:g} A."
            )
        if out.max() > gives + 1e-9:
            found.append(f"Module {module + 1} would give {out.max():.1f} A; it gives {gives:g} A for good.")
    return found


def _too_cold(
    battery_module: BatteryModule, readings: Sequence[RestReading], course: PackCourse
) -> Sequence[str]:
    """A module outside its charge temperatures may not be charged by its neighbours either."""
    return [
        f"Module {at + 1} would be charged at {reading.temperature - 273.15:.0f} °C; its sheet permits "
        f"{battery_module.coldest_charge - 273.15:.0f} to {battery_module.hottest_charge - 273.15:.0f} °C."
        for at, reading in enumerate(readings)
        if -course.current[:, at].min() > 0.01
        and not battery_module.coldest_charge <= reading.temperature <= battery_module.hottest_charge
    ]


def _peak_joint(course: PackCourse) -> Ampere:
    """The most loaded contact passes the sum of all modules beyond it."""
    beyond = np.cumsum(course.current[:, ::-1], axis=1)[:, :-1]
    return float(np.abs(beyond).max())


def _settled(course: PackCourse) -> Second:
    largest = np.abs(course.current).max(axis=1)
    still = np.flatnonzero(largest > 0.1 * largest.max())
    if largest.max() < 1e-9:
        return 0.0
    return float(course.time[still[-1] + 1]) if still[-1] + 1 < len(course.time) else math.inf


def _untold(battery_module: BatteryModule, modules: Sequence[int], ranges: Sequence[ChargeRange]) -> str:
    named = ", ".join(str(at + 1) for at in modules)
    worst = ranges[max(modules, key=lambda at: ranges[at].high - ranges[at].low)]
    return (
        f"The voltage does not tell the charge of module {named}: anything from {100 * worst.low:.0f} to "
        f"{100 * worst.high:.0f} % rests there ({battery_module.chemistry.value} cells)."
    )


def _first(
    battery_module: BatteryModule,
    supply: Supply,
    ranges: Sequence[ChargeRange],
    cannot_tell: Sequence[int],
    target: Fraction,
) -> tuple[str, ...]:
    if cannot_tell:
        end = f"{battery_module.maximum_voltage:.1f} V, until the charger ends"
        return (
            f"Take another reading: charge each module by itself to the end of charge ({end}).",
            "Then all are full and may be joined.",
            "Or read each one's charge counter, or its capacity by a full discharge, and give the charge.",
        )
    goal = float(voltage_at(target, supply.open_circuit_voltage))
    lower = [
        f"Charge module {at + 1} by itself to {goal:.1f} V at rest ({100 * target:.0f} %)."
        for at, found in enumerate(ranges)
        if target - found.value > 0.005
    ]
    lower.append("Let all rest an hour, measure again with one meter, and ask again.")
    return tuple(lower)
