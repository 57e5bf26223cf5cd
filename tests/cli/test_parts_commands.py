"""wattwright parts …, as a fitter types it."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wattwright.files.catalogue_file import KINDS, load_catalogue, parts_of, shipped_catalogue

Command = Callable[..., Any]

CABLE = (
    '[origin]\ntext = "drum in the shed"\nstanding = "measured on this job"\n[[cable]]\nname = "lead-4"\n'
    'title = "Lead"\narea_mm2 = 5\nmass_kg_per_m = 0.1\nprice_per_metre = 5\nmaximum_current_a = 30\n'
)


def test_the_list_names_every_part_and_what_stands_behind_it(wattwright: Command) -> None:
    ran = wattwright("parts", "list")
    catalogue = load_catalogue(own=())

    assert ran.code == 0
    for kind in KINDS:
        for name in parts_of(catalogue, kind):
            assert name in ran.said
    assert "invented for the demo" in ran.said


def test_the_list_as_json_holds_what_the_file_holds(wattwright: Command) -> None:
    answer = json.loads(wattwright("parts", "list", "--kind", "module", "--json").said)

    assert set(answer) == {"module"}
    slate = next(part for part in answer["module"] if part["name"] == "slate-48")
    assert slate["energy_wh"] == 93.6
    assert slate["coldest_discharge_c"] == -20


@pytest.mark.parametrize("kind", KINDS)
def test_any_part_is_shown(wattwright: Command, kind: str) -> None:
    for name, part in parts_of(load_catalogue(own=()), kind).items():
        shown = wattwright("parts", "show", name)
        answer = json.loads(wattwright("parts", "show", name, "--json").said)

        assert shown.code == 0
        assert part.title in shown.said
        assert answer["kind"] == kind
        assert answer["part"]["name"] == name
        assert answer["source"]["standing"] == "invented for the demo"


def test_an_unknown_part_names_the_nearest(wattwright: Command) -> None:
    ran = wattwright("parts", "show", "slate")

    assert ran.code == 2
    assert "Nearest: slate-48" in ran.complained


def test_an_unknown_kind_lists_the_kinds(wattwright: Command) -> None:
    assert "one of module, drive" in wattwright("parts", "list", "--kind", "motor").complained


def test_a_catalogue_file_is_checked_and_used(wattwright: Command, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(CABLE)

    checked = wattwright("parts", "check", "mine.toml")
    used = wattwright("parts", "show", "lead-4", "--catalogue", "mine.toml", "--json")

    assert checked.code == 0
    assert f"cable 'lead-4' of {shipped_catalogue()} is replaced by that of mine.toml" in checked.said
    assert "mine.toml is in order (cables: 1)." in checked.said
    assert json.loads(used.said)["part"]["area_mm2"] == 5
    assert json.loads(used.said)["source"]["file"] == "mine.toml"


def test_a_bad_catalogue_file_is_one_line(wattwright: Command, tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(CABLE.replace("area_mm2 = 5", "area_mm2 = 0.000004"))

    ran = wattwright("parts", "check", "mine.toml")

    assert ran.code == 2
    assert ran.complained == (
        "wattwright: mine.toml: cable[1].area_mm2 is 4e-06; it must be 0.2 to 50 mm². "
        "If 4e-06 was meant in m², write 4.\n"
    )
