"""The same job with other modules and drives."""

from dataclasses import replace
from pathlib import Path

import pytest

from sizing_examples import catalogue, light_job
from wattwright.errors import NotInCatalogueError
from wattwright.sizing.brief import Brief
from wattwright.sizing.mismatch import charger_suits
from wattwright.workflow.briefing import brief_of
from wattwright.workflow.other_briefs import other_briefs, with_fitting_parts


def others(*names: str, help_taken: float = 1.0) -> tuple[Brief, ...]:
    job = replace(light_job(), alternatives=names, help=help_taken)
    brief, _ = brief_of(job, Path(), catalogue())
    return other_briefs(brief, job, catalogue())


def pairs(briefs: tuple[Brief, ...]) -> list[tuple[str, str]]:
    return [(brief.battery_module.name, brief.drive.name) for brief in briefs]


def test_few_modules_and_drives_are_tried_in_all_pairs() -> None:
    assert pairs(others("moor-lfp-38", "tarn-mid-250")) == [
        ("slate-48", "tarn-mid-250"),
        ("moor-lfp-38", "rill-hub-250"),
        ("moor-lfp-38", "tarn-mid-250"),
    ]


def test_many_are_tried_one_at_a_time() -> None:
    """The catalogue's four modules and four drives make fifteen pairs: too many."""
    tried = pairs(others())

    assert len(tried) == 6
    assert all("slate-48" in pair or "rill-hub-250" in pair for pair in tried)


def test_another_module_brings_its_charger_carrier_and_voltages() -> None:
    other = others("moor-lfp-38")[0]

    assert charger_suits(other.charger, other.battery_module)
    assert "moor-lfp-38" in other.places[0].carrier.modules_fitting
    assert other.open_circuit[50] < 3.4  # [V] of an iron-phosphate cell at half charge


def test_another_drive_is_ridden_at_the_same_level_of_assistance() -> None:
    full, half = others("tarn-mid-250")[0], others("tarn-mid-250", help_taken=0.5)[0]

    assert half.drive.assist.power == pytest.approx(0.5 * full.drive.assist.power)


def test_a_name_that_is_neither_is_refused_with_the_nearest() -> None:
    with pytest.raises(NotInCatalogueError, match=r"moor-lfp-39.*Nearest: moor-lfp-38"):
        others("moor-lfp-39")


def test_a_job_is_given_parts_that_take_its_module() -> None:
    job = with_fitting_parts(replace(light_job(), module="moor-lfp-38"), catalogue())

    assert job.charger == "kettle-lfp-4"
    assert job.places[0].carrier == "sill-rail-wide"
