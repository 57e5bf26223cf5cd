"""A year of service of one module: where it stands, how full, and what the rides take out of it."""

from dataclasses import dataclass

import numpy as np

from wattwright.errors import InputError
from wattwright.units import Coulomb, FloatArray, Fraction, Kelvin


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Year:
    """A year of service of one module, as the ageing models ask for it; spells in order of the calendar."""

    share: FloatArray
    """(spells,) of the year's time; together 1."""
    temperature: FloatArray
    """(spells,) of the cells. [K]"""
    charge: FloatArray
    """(spells,) state of charge at which it stands, 0 to 1."""
    full_cycles: float
    """Charge taken out in the year over rated capacity."""
    depth: Fraction
    """Depth of discharge of the usual ride."""
    highest_charge: Fraction
    """At the start of the usual ride."""
    discharge_rate: float
    """Mean while riding, in rated capacities per hour (C-rate)."""
    charge_rate: float
    """Mean while charging, in rated capacities per hour."""
    cycle_temperature: Kelvin
    """Of the cells while riding, by charge taken out."""


def year_of_service(
    *,
    month_temperature: FloatArray,
    month_charge_drawn: FloatArray,
    ride_depth: FloatArray,
    capacity: Coulomb,
    storage_charge: Fraction,
    start_charge: Fraction = 1.0,
    ridden_down: Fraction = 0.25,
    discharge_rate: float = 0.5,
    charge_rate: float = 0.3,
    ride_temperature: FloatArray | None = None,
) -> Year:
    """A year of service from what the customer's rides and habits come to.

    Args:
        month_temperature: (12,) where the pack stands, January first. [K]
        month_charge_drawn: (12,) from one module. [C]
        ride_depth: (rides,) depth of discharge of the usual rides, above 0 to 1; their mean counts.
        capacity: Rated, of one module. [C]
        storage_charge: State of charge at which it usually stands, 0 to 1.
        start_charge: At which a ride begins.
        ridden_down: Share of the time it stands ridden down before it is charged, in months with rides
            (assumption: a quarter).
        discharge_rate: Mean while riding, in rated capacities per hour.
        charge_rate: Mean while charging, in rated capacities per hour.
        ride_temperature: (12,) of the cells while riding, or None for where it stands. [K]

    Returns:
        Twelve months, each with a spell at ``storage_charge`` and one ridden down.

    Raises:
        InputError: If an array has not its length, or a value is out of its range.
    """
    _check_year(month_temperature, month_charge_drawn, ride_depth, capacity)
    for field, share in (
        ("storage_charge_pct", storage_charge),
        ("start_charge_pct", start_charge),
        ("ridden_down_pct", ridden_down),
    ):
        if not 0 <= share <= 1:
            raise InputError(field, 100 * share, "from 0 to 100 %")
    depth = min(float(np.mean(ride_depth)), start_charge)
    down = np.where(month_charge_drawn > 0, ridden_down, 0.0)
    drawn = float(month_charge_drawn.sum())
    riding = month_temperature if ride_temperature is None else ride_temperature
    weights = month_charge_drawn if drawn > 0 else np.ones(12)
    return Year(
        share=np.column_stack([1.0 - down, down]).ravel() / 12.0,
        temperature=np.repeat(month_temperature, 2),
        charge=np.tile([storage_charge, start_charge - depth], 12),
        full_cycles=drawn / capacity,
        depth=depth,
        highest_charge=start_charge,
        discharge_rate=discharge_rate,
        charge_rate=charge_rate,
        cycle_temperature=float(np.average(riding, weights=weights)),
    )


def _check_year(temperature: FloatArray, drawn: FloatArray, depth: FloatArray, capacity: Coulomb) -> None:
    if temperature.shape != (12,) or not np.all(temperature > 200):
        raise InputError("month_temperature_c", temperature.tolist(), "twelve temperatures")
    if drawn.shape != (12,) or not np.all(drawn >= 0):
        raise InputError("month_charge_drawn_ah", drawn.tolist(), "twelve charges, 0 or more")
    if len(depth) == 0 or not np.all((depth > 0) & (depth <= 1)):
        raise InputError("ride_depth_pct", depth.tolist(), "at least one ride, each above 0 to 100 %")
    if not capacity > 0:
        raise InputError("capacity_ah", capacity, "more than 0")
