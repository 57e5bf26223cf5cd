"""wattwright job …, as a fitter types it."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wattwright.cli import app as frame
from wattwright.files.catalogue_file import demo_folder
from wattwright.files.job_file import read_job
from wattwright.files.schema import schema_text

Command = Callable[..., Any]


def test_a_new_job_is_written_checked_and_shown(wattwright: Command) -> None:
    made = wattwright("job", "new", "anna.toml", "--title", "Anna's [red] bike")
    checked = wattwright("job", "check", "anna.toml")
    shown = wattwright("job", "show", "anna.toml")

    assert (made.code, checked.code, shown.code) == (0, 0, 0)
    assert made.said == "Wrote anna.toml. Fill it in, then: wattwright job check anna.toml\n"
    assert "rider.power_w = 90" in checked.said
    assert "“Anna's [red] bike” can be worked out." in checked.said
    assert "Anna's [red] bike" in shown.said
    assert made.complained + checked.complained + shown.complained == ""


def test_a_new_job_takes_recordings_along(wattwright: Command, tmp_path: Path) -> None:
    recording = demo_folder() / "rides" / "hill-round.gpx"

    made = wattwright("job", "new", "anna.toml", "--ride", str(recording))
    ride = read_job(tmp_path / "anna.toml").rides[0]

    assert made.code == 0
    assert (tmp_path / ride.file).resolve() == recording.resolve()
    assert (ride.name, ride.distance) == ("hill round", 0.0)


def test_a_recording_that_is_none_leaves_no_job_behind(wattwright: Command, tmp_path: Path) -> None:
    (tmp_path / "letter.gpx").write_text("Dear Anna")

    refused = wattwright("job", "new", "anna.toml", "--ride", "letter.gpx")

    assert refused.code == 2
    assert refused.complained.count("\n") == 1
    assert "letter.gpx" in refused.complained
    assert not (tmp_path / "anna.toml").exists()


def test_a_job_is_not_written_over_unless_forced(wattwright: Command, tmp_path: Path) -> None:
    wattwright("job", "new", "anna.toml")
    (tmp_path / "anna.toml").write_text("mine")

    refused = wattwright("job", "new", "anna.toml")
    kept = (tmp_path / "anna.toml").read_text()
    forced = wattwright("job", "new", "anna.toml", "--force")

    assert refused.code == 2
    assert refused.complained == (
        "wattwright: anna.toml: there is a file already. Choose another name, or give --force.\n"
    )
    assert kept == "mine"
    assert forced.code == 0
    assert read_job(tmp_path / "anna.toml").title == "anna"
    assert [path.name for path in tmp_path.iterdir()] == ["anna.toml"]


def test_a_folder_that_is_not_there_is_named(wattwright: Command) -> None:
    ran = wattwright("job", "new", "nowhere/anna.toml")

    assert ran.code == 2
    assert "nowhere/anna.toml: it cannot be written" in ran.complained


def test_an_unknown_region_names_the_nearest(wattwright: Command, tmp_path: Path) -> None:
    ran = wattwright("job", "new", "anna.toml", "--region", "us-clas-1")

    assert ran.code == 2
    assert "us-class-1" in ran.complained
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("path", sorted(demo_folder().glob("*.toml")), ids=lambda path: path.stem)
def test_the_demo_jobs_check_out(wattwright: Command, path: Path) -> None:
    ran = wattwright("job", "check", path, "--json")
    answer = json.loads(ran.said)

    assert ran.code == 0
    assert answer["fits_together"] is True
    assert answer["misfits"] == []
    assert answer["title"] == read_job(path).title
    assert "sampling.seed = 1" in answer["defaults"]


def test_parts_that_do_not_belong_together_answer_no(wattwright: Command, tmp_path: Path) -> None:
    wattwright("job", "new", "anna.toml")
    path = tmp_path / "anna.toml"
    path.write_text(path.read_text().replace('"slate-48"', '"moor-lfp-38"'))

    ran = wattwright("job", "check", path)

    assert ran.code == 1
    assert "DANGER: charger 'kettle-48-4' ends at 54.6 V, module 'moor-lfp-38' bears 43.2 V." in ran.said
    assert "needs mending" in ran.said


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("mass_kg = 78", "mass_kg = 7", "anna.toml: rider.mass_kg is 7; it must be 20 to 250 kg."),
        ("[rider]", "[rider", "anna.toml, line 18, column 7: it is not valid TOML"),
        (
            '"slate-48"',
            '"slat-48"',
            "There is no module called 'slat-48' in the catalogue. Nearest: slate-48",
        ),
        ('region = "eu"', 'region = "eux"', "There is no assist class called 'eux'"),
        ("distance_km = 14", 'file = "none.gpx"', "none.gpx: there is no such track file. The job anna.toml"),
        ("# catalogues", "catalogues", "mine.toml: there is no such file"),
        ("# alternatives = [", 'alternatives = ["x-drive", ', "There is no module or drive called 'x-drive'"),
    ],
)
def test_bad_input_is_one_line_and_exit_code_2(
    wattwright: Command, tmp_path: Path, *, before: str, after: str, said: str
) -> None:
    wattwright("job", "new", "anna.toml")
    path = tmp_path / "anna.toml"
    text = path.read_text()
    assert before in text
    path.write_text(
        text.replace(before, after, 1).replace("ascent_m = 110\n", "").replace("stops = 12\n", "")
    )

    ran = wattwright("job", "check", "anna.toml")

    assert ran.code == 2
    assert ran.said == ""
    assert said in ran.complained
    assert ran.complained.count("\n") == 1


def test_a_jobs_own_catalogue_is_found_beside_it(wattwright: Command, tmp_path: Path) -> None:
    folder = tmp_path / "jobs"
    folder.mkdir()
    wattwright("job", "new", "jobs/anna.toml")
    path = folder / "anna.toml"
    path.write_text(
        path.read_text().replace("# catalogues", "catalogues").replace('"lead-2-5"', '"our-lead"')
    )
    (folder / "mine.toml").write_text(
        '[origin]\ntext = "drum in the shed"\nstanding = "assumption"\n[[cable]]\nname = "our-lead"\n'
        'title = "Lead"\narea_mm2 = 4\nmass_kg_per_m = 0.1\nprice_per_metre = 5\nmaximum_current_a = 30\n'
    )

    assert wattwright("job", "check", "jobs/anna.toml").code == 0


def test_show_spells_out_what_reads_back_the_same(wattwright: Command) -> None:
    path = demo_folder() / "mixte.toml"

    answer = json.loads(wattwright("job", "show", path, "--json").said)

    assert answer["rider"]["power_per_grade_w_per_pct"] == 9
    assert answer["bicycle"]["wheel_radius_mm"] == 351
    assert answer["job"]["date"] == "2026-11-25"
    assert len(answer["climate"]["temperature_c"]) == 12


def test_the_schema_is_printed_or_written(wattwright: Command, tmp_path: Path) -> None:
    assert wattwright("job", "schema").said == schema_text("job")
    assert wattwright("job", "schema", "--kind", "catalogue", "--out", "c.json").code == 0
    assert (tmp_path / "c.json").read_text() == schema_text("catalogue")
    assert wattwright("job", "schema", "--kind", "ride").code == 2


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("jobb",), "No such command 'jobb'."),
        (("job", "check"), "Missing argument 'JOB'."),
        (("job", "check", "--bogus", "x"), "No such option: --bogus"),
    ],
)
def test_a_slip_in_the_command_is_one_line(
    wattwright: Command, *, arguments: tuple[str, ...], said: str
) -> None:
    ran = wattwright(*arguments)

    assert ran.code == 2
    assert ran.complained.startswith(f"wattwright: {said}")
    assert ran.complained.count("\n") == 1


def test_version_and_help_answer(wattwright: Command) -> None:
    assert wattwright("--version").said.startswith("wattwright 0.")
    helped = wattwright("--help")
    assert helped.code == 0
    assert "job" in helped.said
    assert "parts" in helped.said


def test_a_fault_of_ours_is_one_line_unless_asked(
    wattwright: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(**_: object) -> None:
        raise ZeroDivisionError("by zero")

    monkeypatch.setattr("wattwright.files.schema.schema_text", lambda _kind: broken())

    quiet = wattwright("job", "schema")
    loud = wattwright("--debug", "job", "schema")

    assert quiet.code == loud.code == frame.OUR_FAULT
    assert quiet.complained.startswith("wattwright: unexpected ZeroDivisionError: by zero.")
    assert quiet.complained.count("\n") == 1
    assert "Traceback" in loud.complained
