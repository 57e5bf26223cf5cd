"""Drawing a surveyed bicycle and marking out its stacks at the command line."""

import json
from pathlib import Path

import ezdxf
import pypdfium2
import pytest

from wattwright.cli.app import run
from wattwright.files.catalogue_file import demo_folder

FRAMES = demo_folder() / "frames"
GRAVEL = str(FRAMES / "gravel.toml")
FITS = (
    "face=above down tube, carrier=sill-rail-4, modules=3, offset_mm=140, "
    "fixing=plate-on-bosses, plate=shim-5"
)
MEETS = "face=above down tube, carrier=sill-rail-4, modules=4, offset_mm=200"


@pytest.mark.parametrize("name", [path.name for path in sorted(FRAMES.glob("*.toml"))])
def test_each_demo_bicycle_is_drawn(name: str, tmp_path: Path) -> None:
    assert run(["frame", "draw", str(FRAMES / name), "--out", str(tmp_path / "bike.svg"), "--dark"]) == 0
    assert "(invented), side view to scale</title>" in (tmp_path / "bike.svg").read_text(encoding="utf-8")


def test_a_stack_comes_with_its_sections(tmp_path: Path) -> None:
    out, sections = tmp_path / "bike.svg", tmp_path / "section.svg"

    assert (
        run(["frame", "draw", GRAVEL, "--out", str(out), "--sections", str(sections), "--stack", FITS]) == 0
    )
    assert "3 modules above down tube" in out.read_text(encoding="utf-8")
    assert len(list(tmp_path.glob("section-*.svg"))) >= 2


def test_a_refused_stack_is_drawn_said_and_exits_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "bike.svg"
    code = run(["frame", "draw", GRAVEL, "--out", str(out), "--stack", MEETS, "--json"])
    told = json.loads(capsys.readouterr().out)

    assert code == 1
    assert told["refusals"][0]["because"] in out.read_text(encoding="utf-8").split("<desc>")[1]
    assert told["refusals"][0]["short_by_mm"] > 0
    assert told["written"] == [str(out)]


@pytest.mark.parametrize(("paper", "across"), [("a4", 297.0), ("letter", 279.4)])
def test_the_template_and_the_plate_are_written(paper: str, across: float, tmp_path: Path) -> None:
    pdf, dxf = tmp_path / "t.pdf", tmp_path / "plate.dxf"
    line = ["frame", "template", GRAVEL, "--out", str(pdf), "--paper", paper, "--dxf", str(dxf)]

    assert run([*line, "--stack", f"{FITS}, step_mm=-20"]) == 0
    assert pypdfium2.PdfDocument(pdf)[0].get_width() / 72 * 25.4 == pytest.approx(across, abs=0.1)
    assert len(ezdxf.readfile(dxf).modelspace().query("CIRCLE")) >= 4


def test_a_refused_stack_gets_no_template(tmp_path: Path) -> None:
    """Nobody should drill for what cannot be there."""
    assert run(["frame", "template", GRAVEL, "--out", str(tmp_path / "t.pdf"), "--stack", MEETS]) == 1
    assert not (tmp_path / "t.pdf").exists()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (["--stack", "faace=1"], "key=value"),
        (["--stack", "face=above down tube"], "carrier=…"),
        (["--stack", MEETS.replace("200", "long")], "stack offset_mm is 'long'"),
        (["--stack", MEETS.replace("modules=4", "modules=-1")], "whole number"),
        (["--stack", MEETS.replace("modules=4", "modules=four")], "whole number"),
        (["--stack", MEETS.replace("down tube", "sea")], "one of above down tube"),
        (["--stack", MEETS.replace("sill-rail-4", "sill")], "carrier"),
        (["--stack", f"{MEETS}, plate=none, fixing=plate-on-bosses"], "plate"),
        (["--stack", f"{MEETS}, dock=middle"], "first, last"),
        (["--stack", f"{MEETS}, fixing=glue"], "one of"),
        (["--width-px", "100"], "640"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(
    given: list[str], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = run(["frame", "draw", GRAVEL, "--out", str(tmp_path / "bike.svg"), *given])
    said = capsys.readouterr().err

    assert code == 2
    assert words in said
    assert said.count("\n") == 1
    assert not (tmp_path / "bike.svg").exists()


def test_paper_nobody_has_and_no_stack_at_all_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    line = ["frame", "template", GRAVEL, "--out", str(tmp_path / "t.pdf")]

    assert run([*line, "--paper", "a5"]) == 2
    assert "a4 or letter" in capsys.readouterr().err
    assert run(line) == 2
    assert "--stack" in capsys.readouterr().err
