"""The register from the command line: exit codes, one-line faults, JSON and tables alike."""

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from wattwright import api
from wattwright.files.catalogue_file import demo_folder
from wattwright.files.register_file import read_register

DEMO = demo_folder() / "register.jsonl"


@pytest.fixture(autouse=True)
def _the_day_is(monkeypatch: pytest.MonkeyPatch) -> None:
    for file in ("register", "keep"):
        monkeypatch.setattr(f"wattwright.cli.{file}.today_at_the_bench", lambda: "2026-11-25")
    monkeypatch.delenv("WATTWRIGHT_HAND", raising=False)
    monkeypatch.delenv("WATTWRIGHT_REGISTER", raising=False)


def test_a_module_is_entered_read_and_listed(wattwright: Callable[..., Any]) -> None:
    assert wattwright("register", "add", "A1", "--module", "fen-36", "--hand", "mk").code == 0
    read = wattwright(
        "register", "read", "a1", "--capacity-ah", "2.1", "--temperature-c", "20", "--hand", "mk"
    )
    listed = wattwright("register", "list", "--json")

    assert (read.code, read.complained) == (0, "")
    (module,) = json.loads(listed.said)
    assert module["serial"] == "A1"
    assert module["health"]["capacity_left_pct"] == pytest.approx(85, abs=2)
    assert "A1" in wattwright("register", "list").said
    shown = json.loads(wattwright("register", "show", "A1", "--json").said)
    assert shown["readings"][0]["capacity_ah"] == 2.1


def test_a_reading_that_cannot_be_true_is_set_aside_and_may_be_taken_or_left(
    wattwright: Callable[..., Any],
) -> None:
    wattwright("register", "add", "A1", "--module", "fen-36", "--hand", "mk")
    wrong = wattwright("register", "read", "A1", "--rest-voltage-v", "37180", "--hand", "mk")
    late = wattwright(
        "register", "read", "A1", "--rest-voltage-v", "37", "--date", "2027-01-01", "--hand", "mk"
    )
    review = wattwright("register", "review")

    assert (wrong.code, late.code) == (1, 1)
    assert "looks like mV: that would be 37.18 V" in " ".join(wrong.said.split())
    assert "lies in the future" in " ".join(review.said.split())
    assert wattwright("register", "drop", "1", "--hand", "mk", "--why", "slip").code == 0
    assert wattwright("register", "accept", "2", "--hand", "mk").code == 0
    assert wattwright("register", "accept", "2", "--hand", "mk").code == 2
    assert "Nothing waits" in wattwright("register", "review").said


def test_a_table_goes_out_and_in(wattwright: Callable[..., Any]) -> None:
    for form in ("csv", "xlsx"):
        out = wattwright("register", "export", f"out.{form}", "--register", DEMO)
        back = wattwright("register", "import", f"out.{form}", "--register", f"{form}.jsonl", "--hand", "mk")
        assert (out.code, back.code) == (0, 0), back.said + back.complained
        assert set(read_register(Path(f"{form}.jsonl")).readings) == set(read_register(DEMO).readings)
    assert wattwright("register", "export", "out.csv", "--register", DEMO).code == 2
    assert wattwright("register", "export", "out.ods", "--register", DEMO).code == 2


def test_a_header_of_another_name_is_mapped(wattwright: Callable[..., Any]) -> None:
    wattwright("register", "add", "A1", "--module", "fen-36", "--hand", "mk")
    Path("t.csv").write_text("serial,date,U\nA1,2026-11-20,37.2\n")
    blind = wattwright("register", "import", "t.csv", "--hand", "mk")
    told = wattwright("register", "import", "t.csv", "--hand", "mk", "--map", "U=rest_voltage_v", "--json")

    assert blind.code == 2
    assert blind.complained.count("\n") == 1
    assert "--map" in blind.complained
    assert json.loads(told.said)["readings"][0]["rest_voltage_v"] == 37.2
    assert wattwright("register", "import", "t.csv", "--hand", "mk", "--map", "U").code == 2


def test_the_best_set_of_the_demo_is_the_same_in_words_and_as_json(wattwright: Callable[..., Any]) -> None:
    asked = ("register", "match", "--register", DEMO, "--module", "fen-36", "--modules", "4")
    words, content = wattwright(*asked), json.loads(wattwright(*asked, "--json").said)

    assert content["carries_demand"] is True
    assert all(each["serial"] in words.said for each in content["modules"])
    assert content["stepped_usable_ah"] <= content["sum_ah"]
    assert content["missed_least"]["serial"] in words.said
    assert "connect" in words.said
    assert wattwright(*asked, "--highest-current-a", "40").code == 1
    assert wattwright(*asked[:-1], "40").code == 2


def test_the_best_set_for_a_job_takes_its_kind_and_currents(wattwright: Callable[..., Any]) -> None:
    answer = wattwright(
        "register",
        "match",
        "--register",
        DEMO,
        "--job",
        demo_folder() / "mixte.toml",
        "--modules",
        "5",
        "--json",
    )
    content = json.loads(answer.said)

    assert content["highest_current_a"] == 15.0
    assert 2 < content["mean_current_a"] < 8
    assert all(each["serial"].startswith("SLT") for each in content["modules"])


def test_a_worn_out_module_is_named_and_retires_for_good(wattwright: Callable[..., Any]) -> None:
    Path("register.jsonl").write_bytes(DEMO.read_bytes())
    assert "Worn out" in wattwright("register", "list").said
    assert wattwright("register", "retire", "FEN-0141", "--why", "worn", "--hand", "mk").code == 0
    assert wattwright("register", "retire", "FEN-0141", "--why", "worn", "--hand", "mk").code == 2
    assert "FEN-0141 on 2026-11-25: worn" in wattwright("register", "list").said


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        (("register", "list"), "no such register"),
        (("register", "show", "FEM-1", "--register", DEMO), "Nearest: FEN-01"),
        (("register", "add", "A1", "--module", "fen-37", "--hand", "x"), "fen-36"),
        (("register", "add", "A1", "--module", "fen-36"), "hand"),
        (("keep", "stored", "slate-48", "--state", "dreaming"), "deep sleep"),
        (("keep", "stored", "slate-48", "--from", "soon"), "a date such as"),
        (("keep", "stored", "slate-48", "--charge-pct", "10"), "Charge it before"),
        (
            ("keep", "stored", "slate-48", "--temperature-c", "5", "--temperature-c", "6"),
            "one temperature, or twelve",
        ),
        (("keep", "years", "nobody.toml"), "no such file"),
    ],
)
def test_bad_input_is_one_line_and_exit_code_two(
    wattwright: Callable[..., Any], arguments: tuple[object, ...], named: str
) -> None:
    ran = wattwright(*arguments)

    assert ran.code == 2
    assert ran.complained.count("\n") == 1
    assert named in ran.complained


def test_a_stored_module_has_dates_a_calendar_and_a_picture(wattwright: Callable[..., Any]) -> None:
    asked = ("keep", "stored", "slate-48", "--from", "2026-11-25", "--name", "SLT-0012")
    ran = wattwright(*asked, "--calendar", "dates.ics", "--drawing", "stored.svg", "--json")
    content = json.loads(ran.said)
    calendar = Path("dates.ics").read_text()

    assert ran.code == 0
    assert content["charge_again_by"] <= content["charge_again_likely"] <= content["empty_likely"]
    day = dt.date.fromisoformat(content["charge_again_by"])
    assert f"DTSTART;VALUE=DATE:{day:%Y%m%d}" in calendar
    assert "SLT-0012: charge it again" in calendar.replace("\r\n ", "")
    assert content["charge_again_by"] in Path("stored.svg").read_text()
    assert content["charge_again_by"] in wattwright(*asked).said


def test_deep_sleep_keeps_a_demo_module_and_a_switch_does_not(wattwright: Callable[..., Any]) -> None:
    """Common practice, no source, on the invented sheet of the demo."""
    dates = {
        state: json.loads(wattwright("keep", "stored", "slate-48", "--state", state, "--json").said)[
            "empty_likely"
        ]
        for state in ("awake", "switched-off", "deep-sleep")
    }

    assert dates["switched-off"] == dates["awake"] < "2027-06"
    assert dates["deep-sleep"] > "2029"


def test_the_years_of_a_job_are_shown_with_what_would_help(wattwright: Callable[..., Any]) -> None:
    ran = wattwright(
        "keep", "years", demo_folder() / "mixte.toml", "--modules", "5", "--drawing", "y.svg", "--json"
    )
    content = json.loads(ran.said)

    assert ran.code == 0
    assert content["planned"]["modules"] == 5
    assert content["others"][0]["modules"] == 6
    assert Path("y.svg").read_text().startswith("<svg")


def test_years_that_end_a_ride_too_soon_are_a_no(wattwright: Callable[..., Any]) -> None:
    ran = wattwright("keep", "years", demo_folder() / "gravel.toml", "--modules", "2")

    assert ran.code == 1
    assert "not even new" in " ".join(ran.said.split())


def test_python_gives_what_the_command_line_gives(wattwright: Callable[..., Any]) -> None:
    listed = json.loads(wattwright("register", "list", "--register", DEMO, "--json").said)
    shelved = api.shelf(DEMO, dt.date(2026, 11, 25))
    ahead = api.years(demo_folder() / "gravel.toml", modules=2)

    assert {
        each["serial"]: each["health"]["capacity_left_pct"] for each in listed if each["retired"] is None
    } == {each.specimen.serial: round(100 * each.health.capacity_left.value, 2) for each in shelved}
    assert ahead.falls_short
