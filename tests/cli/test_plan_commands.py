"""wattwright plan, ask and ride, as a fitter types them; and the same by Python."""

import json
import math
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from wattwright import api
from wattwright.cli.today import today
from wattwright.files.job_file import new_job_text, read_job

Command = Callable[..., Any]

SHORT = new_job_text("Short", "2026-11-25", "eu").replace("# samples = 1000", "samples = 128")


def written(text: str, name: str = "job.toml") -> Path:
    path = Path(name)
    path.write_text(text, encoding="utf-8")
    return path


def riding(track: str) -> str:
    """The short job with one recorded ride."""
    ride = f'\n[[rides]]\nname = "city"\nfile = "{track}"\ntimes_per_week = 5\n'
    return SHORT[: SHORT.index("\n[[rides]]")] + ride + SHORT[SHORT.index("\n[climate]") :]


def leaves(value: object) -> Iterator[object]:
    if isinstance(value, dict):
        for part in value.values():
            yield from leaves(part)
    elif isinstance(value, list):
        for part in value:
            yield from leaves(part)
    else:
        yield value


def test_an_open_window_is_exit_code_0_and_says_the_answer_first(wattwright: Command) -> None:
    ran = wattwright("plan", written(SHORT), "--no-alternatives")

    assert ran.code == 0
    assert ran.said.splitlines()[0].split()[0] in {"One", "Two", "Three", "Four", "Five", "Just"}
    assert "Limits, with" in ran.said


def test_an_empty_window_is_exit_code_1_with_what_would_open_it(wattwright: Command) -> None:
    job = written(SHORT.replace("free_length_mm = 360", "free_length_mm = 146"))

    ran = wattwright("plan", job, "--no-alternatives")

    assert ran.code == 1
    assert ran.said.startswith("No count will do yet.")
    assert "will do." in ran.said


@pytest.mark.parametrize(
    ("change", "named"),
    [
        (('name = "rill-hub-250"', 'nam = "rill-hub-250"'), "name"),
        (('name = "rill-hub-250"', 'name = "no-such-drive"'), "no-such-drive"),
        (('charger = "kettle-48-4"', 'charger = "kettle-lfp-4"'), "Would fit: kettle-48-2"),
        (("free_length_mm = 360", "free_length_mm = nan"), "free_length_mm"),
        (("reserve_pct = 15", "reserve_pct = 150"), "reserve_pct"),
        (("reserve_pct = 15", "reserve_pkt = 15"), "reserve_pct"),
    ],
)
def test_bad_input_is_one_line_exit_code_2_and_nothing_written(
    wattwright: Command, change: tuple[str, str], named: str
) -> None:
    assert change[0] in SHORT
    job = written(SHORT.replace(*change))

    ran = wattwright("plan", job, "--sheet", "sheet.html", "--drawing", "window.svg")

    assert ran.code == 2
    assert ran.said == ""
    assert len(ran.complained.splitlines()) == 1
    assert named in ran.complained
    assert sorted(path.name for path in Path().iterdir()) == ["job.toml"]


def test_a_job_without_a_drive_or_without_rides_is_refused_in_one_line(wattwright: Command) -> None:
    whole = SHORT.splitlines(keepends=True)
    start = next(i for i, line in enumerate(whole) if line.startswith("[drive]"))
    end = next(i for i, line in enumerate(whole) if line.startswith("[pack]"))
    no_drive = wattwright("plan", written("".join(whole[:start] + whole[end:])))
    first = next(i for i, line in enumerate(whole) if line.startswith("[[rides]]"))
    after = next(i for i, line in enumerate(whole) if line.startswith("[climate]"))
    no_rides = wattwright("plan", written("".join(whole[:first] + whole[after:])))

    for ran, named in ((no_drive, "drive"), (no_rides, "rides")):
        assert ran.code == 2
        assert len(ran.complained.splitlines()) == 1
        assert named in ran.complained


def test_a_missing_track_is_refused_by_name(wattwright: Command) -> None:
    ran = wattwright("plan", written(riding("gone.gpx")))

    assert ran.code == 2
    assert "gone.gpx" in ran.complained


def test_json_by_the_command_line_is_the_table_by_python(wattwright: Command) -> None:
    job = written(SHORT)

    by_command = json.loads(wattwright("plan", job, "--json").said)
    by_python = json.loads(json.dumps(api.table(api.plan(job))))

    assert by_command == by_python
    assert by_command["alternatives"]


def test_json_holds_every_part_of_the_answer_and_only_numbers(wattwright: Command) -> None:
    table = json.loads(wattwright("plan", written(SHORT), "--json", "--no-alternatives").said)

    assert set(table) == {
        "job", "sentence", "window", "chosen_modules", "worked_out_for_modules", "opening", "limits", "rides",
        "parts", "added_mass_kg", "price", "currency", "settings", "highest_current_per_module_a",
        "alternatives", "cautions", "notes", "samples", "seed",
    }  # fmt: skip
    assert all(math.isfinite(leaf) for leaf in leaves(table) if isinstance(leaf, float))
    for limit in table["limits"]:
        assert set(limit) == {
            "subject", "side", "modules", "reachable", "spare_modules", "because", "loosen", "at_count",
            "bound", "working",
        }  # fmt: skip
        assert limit["working"]["formula"]
        assert limit["working"]["source"]
        if limit["bound"]:
            shown = [held["modules"] for held in limit["at_count"]]
            assert table["worked_out_for_modules"] in shown


def test_tables_and_json_say_the_same(wattwright: Command) -> None:
    job = written(SHORT)
    table = json.loads(wattwright("plan", job, "--json", "--no-alternatives").said)
    text = " ".join(wattwright("plan", job, "--no-alternatives").said.split())

    assert " ".join(table["sentence"].split()) in text
    assert f"{table['added_mass_kg']:.2f}" in text
    assert f"{table['price']:.0f}" in text
    for ride in table["rides"]:
        assert f"{ride['distance_km']:.1f}" in text


def test_a_sheet_of_another_form_is_refused_and_nothing_is_written(wattwright: Command) -> None:
    ran = wattwright("plan", written(SHORT), "--no-alternatives", "--sheet", "sheet.docx")

    assert ran.code == 2
    assert "sheet.docx: a sheet is written as PDF or HTML only" in ran.complained
    assert not Path("sheet.docx").exists()


def test_the_charge_left_is_told_at_the_confidence_asked_for(wattwright: Command) -> None:
    """What 75 rides in a hundred arrive with is never less than what 99 do."""
    held = {}
    for confidence in (75, 99):
        job = SHORT.replace("confidence_pct = 90", f"confidence_pct = {confidence}")
        plan = api.plan(written(job))
        answer = plan.answers[0]
        held[confidence] = answer.held(confidence / 100)
        assert (answer.outcome.charge_left >= held[confidence]).mean() >= confidence / 100 - 0.01
        ran = wattwright("plan", Path("job.toml"), "--no-alternatives")
        assert f"{100 * held[confidence]:.0f} % (middle" in " ".join(ran.said.split())


def test_sheet_and_drawing_are_written(wattwright: Command) -> None:
    ran = wattwright(
        "plan", written(SHORT), "--no-alternatives", "--sheet", "sheet.html", "--drawing", "window.svg"
    )

    assert ran.code == 0
    assert Path("sheet.html").read_text(encoding="utf-8").lstrip().lower().startswith("<!doctype html")
    assert "<svg" in Path("window.svg").read_text(encoding="utf-8")


def test_working_opens_every_limit(wattwright: Command) -> None:
    said = wattwright("plan", written(SHORT), "--no-alternatives", "--working").said

    assert "n = I_limit / I_module, rounded up" in said
    assert "E_pack = n · E_module · k_cold · k_age" in said
    assert "k_age = 1 −" in said


def test_the_call_is_answered_and_saved_as_a_job_that_plans(wattwright: Command) -> None:
    ran = wattwright("ask", "--distance-km", 9, "--ascent-m", 40, "--save", "call.toml")

    assert ran.code == 0
    assert "Room is not measured yet." in " ".join(ran.said.split())
    job = read_job(Path("call.toml"))
    assert job.rides[0].distance == 9000.0
    assert job.date == today()
    again = wattwright("ask", "--distance-km", 9, "--save", "call.toml")
    assert again.code == 2
    assert "there is a file already" in again.complained


def test_a_call_that_cannot_be_leaves_no_job(wattwright: Command) -> None:
    ran = wattwright("ask", "--distance-km", 9, "--module", "nonsense", "--save", "call.toml")

    assert ran.code == 2
    assert not Path("call.toml").exists()


def test_a_recorded_ride_is_sized_in_few_steps(wattwright: Command, shared_data: Path) -> None:
    """city-10km.tcx: 9.8 km, 61 m of climb, two full stops (DATA.md)."""
    looked = wattwright("ride", shared_data / "rides" / "city-10km.tcx")
    assert looked.code == 0
    assert "km" in looked.said.splitlines()[0]

    job = written(riding(str(shared_data / "rides" / "city-10km.tcx")))
    table = json.loads(wattwright("plan", job, "--json", "--no-alternatives").said)

    assert table["rides"][0]["distance_km"] == pytest.approx(9.8, rel=0.02)
    assert table["chosen_modules"] in {1, 2}
    energy = table["rides"][-1]["energy_wh"] / table["rides"][-1]["distance_km"]
    assert 3.0 < energy < 15.0  # Wh/km: between gentle help on the flat and a fast throttle ride


def test_three_lines_of_python_do_what_a_command_does(wattwright: Command) -> None:
    job = written(SHORT)
    assert wattwright("plan", job, "--no-alternatives", "--sheet", "by-command.html").code == 0

    plan = api.plan(job, alternatives=False)
    api.sheet(plan, job, "by-python.html")

    by_command, by_python = (Path(f"by-{way}.html").read_text("utf-8") for way in ("command", "python"))
    assert by_command == by_python
    assert api.check(job).misfits == ()
    assert "slate-48" in api.catalogue().modules
