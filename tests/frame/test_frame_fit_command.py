"""``wattwright frame fit``: one frame, a table of frames, exit codes, and the ceiling it gives."""

import json
from pathlib import Path

import pytest

from wattwright.cli.app import run
from wattwright.files.catalogue_file import DATA
from wattwright.sizing.limits import Side
from wattwright.workflow.fit_frame import fit_frame

MIXTE = DATA / "demo" / "frames" / "mixte.toml"


def test_the_answer_as_json_says_where_why_and_what_would_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["frame", "fit", str(MIXTE), "--module", "slate-48", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)

    assert answer["modules"] == sum(one["modules"] for one in answer["fits"][0]["stacks"]) > 0
    assert all(one["refusals"] and one["wanting_mm"] > 0 for one in answer["refused"])
    assert all(one["modules"] > answer["modules"] for one in answer["changes"])


def test_the_tables_name_the_place_and_the_reason(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["frame", "fit", str(MIXTE), "--module", "slate-48", "--no-changes"]) == 0
    shown = capsys.readouterr().out

    assert "Why not one more" in shown
    assert "maker's manual" in shown


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([str(MIXTE)], "--module"),
        ([str(MIXTE), "--module", "slate-48", "--wish", "cheap"], "--wish"),
        ([str(MIXTE), "--module", "slate-48", "--without", "glue"], "--without"),
        ([], "FILE"),
        (["no-such.toml", "--module", "slate-48"], "no-such.toml"),
    ],
)
def test_bad_input_is_refused_in_one_line(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["frame", "fit", *arguments]) == 2
    complaint = capsys.readouterr().err

    assert said in complaint
    assert len(complaint.splitlines()) == 1


def test_no_way_of_fixing_left_is_an_answer_of_none(capsys: pytest.CaptureFixture[str]) -> None:
    every = ("bosses", "bands", "straps", "plate-on-bosses", "plate-on-bands")
    without = [word for kind in every for word in ("--without", kind)]

    assert run(["frame", "fit", str(MIXTE), "--module", "slate-48", "--no-changes", *without]) == 1
    assert "No carrier" in capsys.readouterr().out


def test_a_table_of_frames_gives_a_count_or_a_refusal_for_each(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "frames.csv"
    head = (
        "title,kind,head_angle_deg,seat_angle_deg,stack_mm,reach_mm,bottom_bracket_drop_mm,"
        "chain_stay_mm,head_tube_mm,seat_tube_mm,rear_tyre"
    )
    rows = [
        f"{name},diamond,{angle},73,{stack},385,70,430,{head_tube},{seat},32-622"
        for name, angle, stack, head_tube, seat in (
            ("small", 71, 540, 110, 480), ("large", 72.5, 630, 200, 600), ("cannot be", 12, 540, 110, 480),
        )
    ]  # fmt: skip
    table.write_text("\n".join([head, *rows]), encoding="utf-8")

    assert run(["frame", "fit", "--frames", str(table), "--module", "slate-48", "--json"]) == 0
    small, large, impossible = json.loads(capsys.readouterr().out)
    assert large["modules"] >= small["modules"] > 0
    assert impossible["modules"] is None
    assert "head_angle_deg" in impossible["where"]


def test_the_ceiling_opens_to_every_stack_and_every_refused_placement() -> None:
    answer = fit_frame(MIXTE, module="slate-48", changes=False)
    ceiling = answer.ceiling

    assert ceiling.side is Side.CEILING
    assert ceiling.modules == answer.fits[0].modules
    titles = [step.title for step in ceiling.working.steps]
    assert sum(title.endswith("refused") for title in titles) == len(answer.refused) > 0
    assert sum(title.startswith("stack ") for title in titles) == len(answer.fits[0].stacks)
