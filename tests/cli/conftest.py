"""Running the command line in this process, as a person would."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from wattwright.cli.app import run


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """What a command left behind."""

    code: int
    said: str
    """On standard output."""
    complained: str
    """On standard error."""


@pytest.fixture
def wattwright(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Ran]:
    """Run a command line in an empty folder, without the user's own catalogue."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("COLUMNS", "120")

    def command(*arguments: object) -> Ran:
        capsys.readouterr()
        code = run([str(argument) for argument in arguments])
        printed = capsys.readouterr()
        return Ran(code=code, said=printed.out, complained=printed.err)

    return command
