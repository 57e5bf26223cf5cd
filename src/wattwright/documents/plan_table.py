"""The plan as plain tables for JSON: every key that is a measure ends in its unit."""

from typing import Any

from wattwright.sizing.limits import Change, Limit
from wattwright.sizing.plan import Alternative, PartLine, Plan, RideAnswer, Setting
from wattwright.units import (
    celsius_from_kelvin,
    km_from_metres,
    minutes_from_seconds,
    percent_from_fraction,
    watt_hours_from_joules,
)
from wattwright.working import Quantity, Working

Table = dict[str, Any]


def plan_table(plan: Plan, *, working: bool = True) -> Table:
    """Everything a plan says, as nested tables.

    Args:
        plan: As worked out.
        working: Whether each limit carries its working.
    """
    return {
        "job": plan.brief.title,
        "sentence": plan.sentence,
        "window": {
            "is_open": plan.window.is_open,
            "floor_modules": plan.window.floor.modules,
            "ceiling_modules": plan.window.ceiling.modules,
            "deciding_floor": plan.window.floor.subject,
            "deciding_ceiling": plan.window.ceiling.subject,
        },
        "chosen_modules": plan.chosen,
        "worked_out_for_modules": plan.shown,
        "opening": list(plan.opening),
        "limits": [limit_table(limit, plan.shown, working=working) for limit in plan.limits],
        "rides": [_answer(answer) for answer in plan.answers],
        "parts": [_part(line, plan.brief.wishes.currency) for line in plan.parts],
        "added_mass_kg": round(plan.added_mass, 3),
        "price": round(plan.price, 2),
        "currency": plan.brief.wishes.currency,
        "settings": [_setting(setting) for setting in plan.settings],
        "highest_current_per_module_a": round(plan.highest_current_per_module, 2),
        "alternatives": [_alternative(other) for other in plan.alternatives],
        "cautions": list(plan.cautions),
        "notes": list(plan.notes),
        "samples": plan.brief.samples,
        "seed": plan.brief.seed,
    }


def limit_table(limit: Limit, shown: int, *, working: bool = True) -> Table:
    """One limit; ``spare_modules`` is how far the count shown stands clear of it."""
    spare = shown - limit.modules if limit.side.value == "floor" else limit.modules - shown
    table: Table = {
        "subject": limit.subject,
        "side": limit.side.value,
        "modules": limit.modules,
        "reachable": limit.reachable,
        "spare_modules": spare,
        "because": limit.because,
        "loosen": [_change(change) for change in limit.loosen],
        "at_count": [{"modules": count, **quantity_table(held)} for count, held in limit.at_count],
        "bound": None if limit.bound is None else quantity_table(limit.bound),
    }
    if working:
        table["working"] = working_table(limit.working)
    return table


def working_table(working: Working) -> Table:
    """Formula, values, result and source, steps included."""
    return {
        "title": working.title,
        "formula": working.formula,
        "values": [quantity_table(value) for value in working.values],
        "result": quantity_table(working.result),
        "source": working.source.text,
        "standing": working.source.standing.value,
        "steps": [working_table(step) for step in working.steps],
    }


def quantity_table(quantity: Quantity) -> Table:
    """One number with its symbol, meaning and unit."""
    return {
        "symbol": quantity.symbol,
        "meaning": quantity.meaning,
        "value": round(quantity.value, quantity.digits + 2),
        "unit": quantity.unit,
    }


def _change(change: Change) -> Table:
    return {
        "what": change.what,
        "field": change.field,
        "before": round(change.before, 3),
        "after": round(change.after, 3),
        "unit": change.unit,
        "modules": change.modules,
    }


def _answer(answer: RideAnswer) -> Table:
    shares = ("5", "10", "50", "90", "95")
    season = answer.season
    return {
        "ride": answer.ride.name,
        "season": season.title,
        "distance_km": round(km_from_metres(answer.outcome.distance), 3),
        "temperature_c": round(celsius_from_kelvin(season.temperature), 1),
        "age_years": season.age_years,
        "capacity_left_pct": round(percent_from_fraction(season.capacity_left), 1),
        "resistance_over_new": round(season.resistance_risen, 3),
        "arrival_charge_pct": {
            f"quantile_{share}": round(percent_from_fraction(float(left)), 1)
            for share, left in zip(shares, answer.arrival, strict=True)
        },
        "arriving_with_reserve_pct": round(percent_from_fraction(answer.likely_to_arrive), 1),
        "energy_wh": round(watt_hours_from_joules(answer.energy), 1),
        "time_min": round(minutes_from_seconds(answer.time), 1),
    }


def _part(line: PartLine, currency: str) -> Table:
    return {
        "count": line.count,
        "unit": line.unit,
        "title": line.title,
        "mass_kg": round(line.mass, 3),
        "price": round(line.price, 2),
        "currency": currency,
    }


def _setting(setting: Setting) -> Table:
    return {
        "what": setting.what,
        "value": round(setting.value.value, setting.value.digits + 2),
        "unit": setting.value.unit,
        "because": setting.because,
    }


def _alternative(other: Alternative) -> Table:
    return {
        "module": other.module_name,
        "drive": other.drive_name,
        "title": other.title,
        "floor_modules": other.floor,
        "ceiling_modules": other.ceiling,
        "is_open": other.is_open,
        "chosen_modules": other.chosen,
        "added_mass_kg": round(other.mass, 3),
        "price": round(other.price, 2),
        "worst_arrival_pct": round(percent_from_fraction(other.worst_arrival), 1),
        "because": other.because,
    }
