"""Years ahead and a module put away as plain tables for JSON: every measure's key ends in its unit."""

import datetime as dt
from typing import Any

from wattwright.pack.ageing import Fade
from wattwright.pack.put_away import StorageAnswer
from wattwright.sizing.years import Course, Lasting, YearRow, YearsAhead
from wattwright.units import (
    ampere_hours_from_coulombs,
    celsius_from_kelvin,
    milliamperes_from_amperes,
    percent_from_fraction,
    percent_per_month_from_per_second,
)

Table = dict[str, Any]


def years_table(ahead: YearsAhead) -> Table:
    """Everything the years ahead say."""
    return {
        "wished_years": ahead.wished,
        "planned": _course(ahead.planned),
        "others": [_course(other) for other in ahead.others],
        "notes": list(ahead.notes),
    }


def _course(course: Course) -> Table:
    return {
        "title": course.title,
        "modules": course.modules,
        "full_cycles_per_year": round(course.full_cycles, 1),
        "depth_pct": _pct(course.depth),
        "years": [_row(row) for row in course.rows],
        "models": [
            {
                "title": model.title,
                "capacity_left_pct": _pct(model.capacity_left),
                "source": model.source.text,
            }
            for model in course.models
        ],
        "rides_last": _lasting(course.lasting),
        "rides_last_cautiously": _lasting(course.lasting_cautious),
        "notes": list(course.notes),
    }


def _row(row: YearRow) -> Table:
    return {"years": row.years, "central": _fade(row.central), "bound": _fade(row.bound)}


def _fade(fade: Fade) -> Table:
    return {
        "capacity_left_pct": _pct(fade.capacity_left),
        "resistance_of_new_pct": _pct(fade.resistance_risen),
    }


def _lasting(lasting: Lasting) -> Table:
    return {
        "years": round(lasting.years, 2),
        "ends_with": lasting.ends_with or None,
        "beyond_horizon": not lasting.ends_with,
    }


def storage_table(answer: StorageAnswer) -> Table:
    """Everything a module put away says; charge at the first of each 30 days."""
    stored, course, dates = answer.stored, answer.course, answer.dates
    days = range(0, min(len(course.charge), 730), 30)
    return {
        "module": stored.battery_module.name,
        "name": stored.name,
        "power_state": stored.state.value,
        "put_away": stored.start.isoformat(),
        "charge_pct": _pct(stored.start_charge),
        "recharge_at_pct": _pct(stored.recharge_at),
        "capacity_ah": round(
            ampere_hours_from_coulombs(stored.battery_module.capacity * stored.capacity_left), 3
        ),
        "temperature_c": [round(celsius_from_kelvin(kelvin), 1) for kelvin in stored.month_temperature],
        "quiescent_current_ma": milliamperes_from_amperes(answer.losses.drain),
        "self_discharge_pct_per_month": _self_discharge(answer),
        "charge_again_by": _date(dates.recharge_early),
        "charge_again_likely": _date(dates.recharge),
        "empty_earliest": _date(dates.empty_early),
        "empty_likely": _date(dates.empty),
        "course": [
            {
                "date": (course.start + dt.timedelta(days=day)).isoformat(),
                "charge_pct": _pct(float(course.charge[day])),
                "least_pct": _pct(float(course.least[day])),
                "most_pct": _pct(float(course.most[day])),
            }
            for day in days
        ],
        "after_a_year": {
            "central": _fade(answer.loss_of_a_year.central),
            "bound": _fade(answer.loss_of_a_year.bound),
            "handbook_capacity_left_pct": None if answer.handbook is None else _pct(answer.handbook),
        },
        "notes": list(answer.notes),
    }


def _self_discharge(answer: StorageAnswer) -> float:
    """Of rated charge, at 25 °C and half charge."""
    loss = answer.losses.self_discharge
    return round(percent_per_month_from_per_second(loss.constant + loss.proportional / 2), 4)


def _date(date: dt.date | None) -> str | None:
    return None if date is None else date.isoformat()


def _pct(share: float) -> float:
    return round(percent_from_fraction(share), 2)
