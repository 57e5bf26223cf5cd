"""``wattwright connect`` and ``wattwright pack``: answers, exit codes, JSON, and bad input on one line."""

import json
from pathlib import Path

import pytest

from wattwright.cli.app import run

DEMO = Path(__file__).resolve().parents[2] / "src" / "wattwright" / "data" / "demo"


def test_modules_that_may_not_be_joined_say_why_and_what_first(capsys: pytest.CaptureFixture[str]) -> None:
    code = run(["connect", "slate-48", "--voltage-v", "53.5", "--voltage-v", "44.0"])
    printed = capsys.readouterr().out

    assert code == 1
    assert "Do not join them yet." in printed
    assert "Module 2 would be charged with" in printed
    assert "Charge module 2 by itself to 53.5 V" in printed


def test_the_answer_as_json_has_units_in_its_keys(capsys: pytest.CaptureFixture[str]) -> None:
    code = run(["connect", "slate-48", "--charge-pct", "80", "--charge-pct", "79", "--json"])
    table = json.loads(capsys.readouterr().out)

    assert code == 0
    assert table["may_join"] is True
    assert [module["charge_pct"] for module in table["modules"]] == [80.0, 79.0]
    assert 0.0 < table["modules"][0]["peak_current_a"] < 1.0


def test_readings_that_cannot_be_are_told_on_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    both = run(["connect", "slate-48", "--voltage-v", "50", "--charge-pct", "50"])
    high = run(["connect", "slate-48", "--voltage-v", "80", "--voltage-v", "50"])
    lines = capsys.readouterr().err.splitlines()

    assert (both, high) == (2, 2)
    assert len(lines) == 2
    assert "not both" in lines[0]
    assert "voltage_v is 80.0" in lines[1]


@pytest.mark.slow
def test_a_module_joined_half_empty_lets_go_on_the_hill(capsys: pytest.CaptureFixture[str]) -> None:
    """The demo's mixte with its first module at 60 %: winter of the last year ends early, and says where."""
    code = run(["pack", str(DEMO / "mixte.toml"), "--charge-pct", "60", "--bag", "--json"])
    table = json.loads(capsys.readouterr().out)
    hardest = table["rides"][0]

    assert code == 1
    assert table["modules"] == len(hardest["peak_current_a"])
    assert "let go at" in hardest["events"][0]
    assert "voltage too low" in hardest["events"][0]


@pytest.mark.slow
def test_more_modules_described_than_there_are_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    code = run(["pack", str(DEMO / "mixte.toml"), *(["--charge-pct", "60"] * 30)])

    assert code == 2
    assert "charge_pct" in capsys.readouterr().err
