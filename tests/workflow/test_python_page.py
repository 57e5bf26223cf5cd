"""The page on Python runs as it stands."""

import doctest
import re
from pathlib import Path

import pytest

from sizing_examples import light_job
from wattwright.files.job_file import write_job_text

PAGE = Path(__file__).resolve().parents[2] / "docs" / "python.md"


def test_the_examples_of_the_page_give_what_it_says() -> None:
    tried = doctest.testfile(str(PAGE), module_relative=False)

    assert tried.attempted > 5
    assert tried.failed == 0


def test_the_three_lines_leave_a_sheet(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("mixte.toml").write_text(write_job_text(light_job()), encoding="utf-8")
    lines = re.search(r"```python\n(.*?)```", PAGE.read_text("utf-8"), re.DOTALL)
    assert lines is not None

    exec(compile(lines[1], str(PAGE), "exec"), {})  # noqa: S102 - the page's own lines

    assert Path("mixte.pdf").read_bytes().startswith(b"%PDF")
    assert "modules." in capsys.readouterr().out
