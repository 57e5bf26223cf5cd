"""Setting up: one start at a time, begun anew when cut short, kept when whole."""

import subprocess
import sys
import venv
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from scripts import prepare
from scripts.prepare import CannotPrepareError, Preparation, alone, made_for_here, make_environment


@pytest.fixture
def preparation(tmp_path: Path) -> Preparation:
    """A preparation whose lock and project file are a line each."""
    (tmp_path / "requirements").mkdir()
    (tmp_path / "requirements" / "runtime.txt").write_text("numpy==1\n")
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    return Preparation(purpose="runtime", root=str(tmp_path), environment=tmp_path / ".venv")


def made(preparation: Preparation) -> None:
    """Make a bare environment, as a finished set-up leaves it."""
    venv.create(preparation.environment, symlinks=True, with_pip=False)
    preparation.stamp.write_bytes(preparation.wanted_stamp())


def test_a_whole_environment_is_done_until_something_it_was_made_from_changes(
    preparation: Preparation,
) -> None:
    made(preparation)
    assert preparation.is_done()

    (Path(preparation.root) / "pyproject.toml").write_text("[project] # other\n")

    assert not preparation.is_done()


def test_an_environment_cut_short_is_not_done_and_not_kept(
    preparation: Preparation, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(prepare, "run", lambda *_, **__: True)  # its Python works
    made(preparation)
    assert made_for_here(preparation)
    preparation.unfinished.touch()

    assert not preparation.is_done()
    assert not made_for_here(preparation)


def test_an_environment_that_was_moved_is_not_kept(
    preparation: Preparation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(prepare, "run", lambda *_, **__: True)  # its Python works
    made(preparation)
    elsewhere = Preparation(
        purpose="runtime", root=str(tmp_path / "elsewhere"), environment=preparation.environment
    )

    assert not made_for_here(elsewhere)


def test_an_environment_whose_python_is_gone_or_lacks_pip_is_not_kept(preparation: Preparation) -> None:
    made(preparation)
    without_pip = made_for_here(preparation)
    preparation.python.unlink()

    assert not without_pip
    assert not made_for_here(preparation)


def test_a_folder_of_other_things_is_never_cleared(preparation: Preparation) -> None:
    preparation.environment.mkdir()
    keepsake = preparation.environment / "photographs"
    keepsake.touch()

    with pytest.raises(CannotPrepareError, match="no Python environment"):
        make_environment(preparation)

    assert keepsake.exists()


def test_what_was_cut_short_is_made_anew_and_marked_until_finished(
    preparation: Preparation, monkeypatch: pytest.MonkeyPatch
) -> None:
    preparation.environment.mkdir()
    preparation.unfinished.touch()
    (preparation.environment / "half-written").touch()
    monkeypatch.setattr(prepare, "run", lambda *_, **__: True)

    make_environment(preparation)

    assert [path.name for path in preparation.environment.iterdir()] == ["unfinished"]


def test_where_nothing_can_be_installed_the_reason_and_the_way_out_are_told(
    preparation: Preparation, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(prepare, "run", lambda command, **_: "venv" in command)

    code = prepare.main([preparation.purpose, preparation.root, str(preparation.environment)])
    told = capsys.readouterr()

    assert code == prepare.CANNOT_PREPARE
    assert told.out == ""
    assert "registry can be reached" in told.err
    assert preparation.unfinished.exists()
    assert not preparation.stamp.exists()


def test_a_start_that_finds_everything_done_changes_nothing(
    preparation: Preparation, monkeypatch: pytest.MonkeyPatch
) -> None:
    made(preparation)
    monkeypatch.setattr(prepare, "install", lambda _: pytest.fail("installed again"))

    assert prepare.main([preparation.purpose, preparation.root, str(preparation.environment)]) == 0


HOLD = """
import sys
from pathlib import Path
from scripts.prepare import Preparation, alone
with alone(Preparation(purpose="runtime", root=sys.argv[1], environment=Path(sys.argv[1], ".venv"))):
    print("held", flush=True)
    sys.stdin.read()
"""


@contextmanager
def held_elsewhere(preparation: Preparation) -> Iterator[subprocess.Popen[str]]:
    """Another process that holds the lock until its input ends."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, preparation.root],
        cwd=Path(prepare.__file__).parent.parent,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as other:
        assert other.stdout is not None
        assert other.stdout.readline() == "held\n"
        yield other


def test_a_second_start_says_that_it_waits_and_goes_on_when_the_first_has_ended(
    preparation: Preparation, monkeypatch: pytest.MonkeyPatch
) -> None:
    with held_elsewhere(preparation) as other:
        told: list[str] = []

        def hear(text: str) -> None:
            told.append(text)
            other.kill()  # a holder that dies lets go as well

        monkeypatch.setattr(prepare, "say", hear)
        with alone(preparation):
            assert other.wait() != 0

    assert told == ["another start is preparing the environment; waiting for it."]
