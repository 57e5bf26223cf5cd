"""The register as plain tables for JSON: every measure's key ends in its unit."""

from typing import Any

from wattwright.pack.health import Estimate, Health
from wattwright.pack.mixing import Retiring
from wattwright.parts.register import Reading, Retirement, SetAside, Specimen
from wattwright.units import (
    ampere_hours_from_coulombs,
    celsius_from_kelvin,
    milliohms_from_ohms,
    percent_from_fraction,
)

Table = dict[str, Any]


def specimen_table(specimen: Specimen, found: Health | None, retired: Retirement | None) -> Table:
    """One module with its state of health."""
    return {
        "serial": specimen.serial,
        "module": specimen.module,
        "first_use": None if specimen.first_use is None else specimen.first_use.isoformat(),
        "note": specimen.note,
        "retired": None
        if retired is None
        else {"date": retired.date.isoformat(), "hand": retired.hand, "why": retired.why},
        "health": None if found is None else health_table(found),
    }


def health_table(found: Health) -> Table:
    """A state of health with its errors."""
    return {
        "date": found.date.isoformat(),
        "capacity_left_pct": _pct(found.capacity_left.value),
        "capacity_left_error_pct": _pct(found.capacity_left.error),
        "resistance_of_new_pct": _pct(found.resistance_risen.value),
        "resistance_of_new_error_pct": _pct(found.resistance_risen.error),
        "capacity_trend_pct_per_year": _trend(found.capacity_trend),
        "resistance_trend_pct_per_year": _trend(found.resistance_trend),
        "capacity_readings": found.capacity_readings,
        "resistance_readings": found.resistance_readings,
        "notes": list(found.notes),
    }


def reading_table(reading: Reading) -> Table:
    """One reading; what was not measured is null."""
    volts, charge, ohms, kelvin = (
        reading.rest_voltage,
        reading.capacity,
        reading.resistance,
        reading.temperature,
    )
    return {
        "serial": reading.serial,
        "date": reading.date.isoformat(),
        "hand": reading.hand,
        "rest_voltage_v": volts,
        "capacity_ah": None if charge is None else round(ampere_hours_from_coulombs(charge), 6),
        "resistance_mohm": None if ohms is None else round(milliohms_from_ohms(ohms), 6),
        "temperature_c": None if kelvin is None else round(celsius_from_kelvin(kelvin), 4),
        "note": reading.note,
    }


def aside_table(kept: SetAside) -> Table:
    """Something set aside, as it was given."""
    return {
        "number": kept.number,
        "date": kept.date.isoformat(),
        "origin": kept.origin,
        "content": dict(kept.content),
        "faults": list(kept.faults),
    }


def retiring_table(retiring: Retiring) -> Table:
    """The others without one module."""
    return {
        "serial": retiring.serial,
        "others_usable_ah": round(ampere_hours_from_coulombs(retiring.usable), 4),
        "others_carry_a": round(retiring.carried, 3),
    }


def _trend(trend: Estimate | None) -> Table | None:
    return None if trend is None else {"value": _pct(trend.value), "error": _pct(trend.error)}


def _pct(share: float) -> float:
    return round(percent_from_fraction(share), 2)
