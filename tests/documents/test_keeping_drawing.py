"""Pictures of years and storage: well formed, and saying what the answer says."""

import datetime as dt
from xml.etree import ElementTree as ET

import pytest

from pack_examples import NICKEL_MODULE
from wattwright.documents.keeping_drawing import storage_drawing, storage_picture, years_drawing
from wattwright.documents.keeping_table import storage_table, years_table
from wattwright.pack.ageing import Fade
from wattwright.pack.put_away import Stored, put_away
from wattwright.parts.battery_module import PowerState
from wattwright.sizing.years import Course, Lasting, YearRow, YearsAhead


def years() -> YearsAhead:
    """Two courses of made-up years."""
    rows = tuple(
        YearRow(
            years=float(age),
            central=Fade(capacity_left=1 - 0.03 * age, resistance_risen=1 + 0.05 * age),
            bound=Fade(capacity_left=1 - 0.04 * age, resistance_risen=1 + 0.06 * age),
        )
        for age in range(11)
    )
    planned = Course(
        title="as planned",
        modules=5,
        full_cycles=120.0,
        depth=0.4,
        rows=rows,
        models=(),
        lasting=Lasting(years=7.5, ends_with="hill <round>"),
        lasting_cautious=Lasting(years=0.0, ends_with="hill <round>"),
        notes=(),
    )
    return YearsAhead(wished=6.0, planned=planned, others=(planned,), notes=("Mind.",))


@pytest.mark.parametrize("state", list(PowerState))
def test_a_stored_module_is_drawn_with_its_dates(state: PowerState) -> None:
    answer = put_away(
        Stored(
            battery_module=NICKEL_MODULE,
            name="A & B",
            state=state,
            start=dt.date(2026, 11, 25),
            start_charge=0.5,
            recharge_at=0.2,
            month_temperature=(288.15,) * 12,
        )
    )
    svg = storage_drawing(answer)

    ET.fromstring(svg)  # noqa: S314 (our own text)
    content = storage_table(answer)
    assert content["charge_again_by"] is None or content["charge_again_by"] in svg
    assert content["course"][0]["charge_pct"] == 50.0
    assert storage_picture(answer).title.startswith("A & B put away 2026-11-25")


def test_the_years_are_drawn_with_what_ends_them() -> None:
    svg = years_drawing(years())

    ET.fromstring(svg)  # noqa: S314 (our own text)
    assert "rides last 7.5 years, ended by “hill &lt;round&gt;” (by the bound not even new)" in svg


def test_the_table_of_years_names_units_and_ends() -> None:
    content = years_table(years())

    assert content["planned"]["rides_last"] == {
        "years": 7.5,
        "ends_with": "hill <round>",
        "beyond_horizon": False,
    }
    assert content["planned"]["years"][2]["central"]["capacity_left_pct"] == 94.0
