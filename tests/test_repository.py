"""The repository as a whole: launcher, lock, lint, types, the import rule, and what must not be in it."""

import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

REPOSITORY = Path(__file__).resolve().parent.parent
PROGRAMS = Path(sys.executable).parent
LOCKS = ("runtime", "development", "installer")

HOSTS = ("pypi" + ".org", "python" + "hosted", "npmjs" + ".", "deb.debian" + ".", "crates" + ".io")
MACHINE_PATHS = re.compile(r"(?<![\w.])/(?:home|root|work|Users)/[A-Za-z]")


def tracked_files() -> list[tuple[str, bytes]]:
    """Name and content of every tracked file."""
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=REPOSITORY, capture_output=True, text=True, check=False
    )
    if listed.returncode != 0:
        pytest.skip("not a git checkout: there is no list of tracked files")
    paths = [(name, REPOSITORY / name) for name in listed.stdout.split("\0") if name]
    return [(name, path.read_bytes()) for name, path in paths if path.is_file()]


def test_no_tracked_file_names_a_registry_host_or_a_path_of_some_machine() -> None:
    found = [
        f"{name}:{number}: {line.strip()[:80]}"
        for name, content in tracked_files()
        if b"\0" not in content
        for number, line in enumerate(content.decode("utf-8", errors="replace").splitlines(), start=1)
        if any(host in line for host in HOSTS) or MACHINE_PATHS.search(line)
    ]

    assert found == []


def pins(purpose: str) -> dict[str, set[str]]:
    """Versions each library is pinned to, by name; several where they differ between Pythons."""
    pinned: dict[str, set[str]] = {}
    for line in (REPOSITORY / "requirements" / f"{purpose}.txt").read_text().splitlines():
        if line and not line.startswith((" ", "#")):
            requirement = Requirement(line.removesuffix("\\"))
            (specifier,) = requirement.specifier
            assert specifier.operator == "=="
            pinned.setdefault(canonicalize_name(requirement.name), set()).add(specifier.version)
    return pinned


@pytest.mark.parametrize("purpose", LOCKS)
def test_every_locked_library_carries_hashes_and_no_address(purpose: str) -> None:
    text = (REPOSITORY / "requirements" / f"{purpose}.txt").read_text()
    entries = re.split(r"\n(?=\S)", text.strip())

    assert entries
    assert all("--hash=sha256:" in entry for entry in entries)
    assert "://" not in text
    assert "--index" not in text


@pytest.mark.parametrize(("purpose", "extras"), [("runtime", False), ("development", True)])
def test_the_lock_serves_what_the_project_asks_for(purpose: str, *, extras: bool) -> None:
    """``scripts/lock`` was run after the last change of dependencies."""
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text())["project"]
    asked = list(project["dependencies"])
    if extras:
        asked += [line for lines in project["optional-dependencies"].values() for line in lines]
    pinned = pins(purpose)

    for requirement in map(Requirement, asked):
        versions = pinned.get(canonicalize_name(requirement.name), set())
        assert versions, f"{requirement.name} is not in requirements/{purpose}.txt: run scripts/lock"
        assert all(version in requirement.specifier for version in versions), requirement


def test_one_environment_serves_running_and_developing() -> None:
    runtime, development = pins("runtime"), pins("development")

    assert {name: development.get(name) for name in runtime} == runtime


def passes(*command: str | Path) -> None:
    """Run a checking program over the repository; fail with all that it said."""
    done = subprocess.run(command, cwd=REPOSITORY, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        pytest.fail(done.stdout + done.stderr, pytrace=False)


def test_the_wheel_carries_every_file_of_the_package(tmp_path: Path) -> None:
    """Data, fonts and templates included: what works from a checkout works when installed."""
    built = subprocess.run(
        [PROGRAMS / "hatchling", "build", "--target", "wheel", "--directory", tmp_path],
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
        check=False,
    )
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("*.whl")
    packed = set(zipfile.ZipFile(wheel).namelist())
    ours = {name.removeprefix("src/") for name, _ in tracked_files() if name.startswith("src/wattwright/")}

    assert ours
    assert ours - packed == set()


@pytest.mark.tools
def test_every_file_is_formatted() -> None:
    passes(PROGRAMS / "ruff", "format", "--check", ".")


@pytest.mark.tools
def test_lint_finds_nothing() -> None:
    """Among the rest: every public function and class has a docstring (rules D)."""
    passes(PROGRAMS / "ruff", "check", ".")


@pytest.mark.tools
def test_types_hold() -> None:
    passes(PROGRAMS / "mypy")


@pytest.mark.tools
def test_folders_import_only_from_below() -> None:
    passes(PROGRAMS / "lint-imports")


@pytest.mark.tools
@pytest.mark.parametrize(
    ("file", "line"),
    [
        ("pack/intruder.py", "import wattwright.ride.air"),
        ("ride/intruder.py", "import sqlite3"),
        ("parts/intruder.py", "from wattwright.files import tracks"),
    ],
)
def test_the_import_rule_would_notice(tmp_path: Path, file: str, line: str) -> None:
    """A neighbour, a disk and an upper layer: each is caught, so that a pass means something."""
    shutil.copytree(
        REPOSITORY / "src",
        tmp_path / "src",
        ignore=shutil.ignore_patterns("__pycache__", "data", "templates"),
    )
    shutil.copy(REPOSITORY / "pyproject.toml", tmp_path)
    intruder = tmp_path / "src" / "wattwright" / file
    intruder.write_text(f'"""An intruder."""\n\n{line}\n')
    done = subprocess.run(
        [PROGRAMS / "lint-imports", "--no-cache"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path / "src")},
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode != 0
    assert "BROKEN" in done.stdout
    assert "intruder" in done.stdout


STAMP = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from prepare import Preparation
made = Preparation(purpose="runtime", root=sys.argv[2], environment=Path(sys.argv[2], ".venv"))
made.stamp.write_bytes(made.wanted_stamp())
"""


def checkout(folder: Path) -> Path:
    """A checkout with a stamped environment whose command prints its arguments and folder."""
    (folder / "requirements").mkdir(parents=True)
    (folder / "scripts").mkdir()
    (folder / ".venv" / "bin").mkdir(parents=True)
    shutil.copy(REPOSITORY / "wattwright", folder)
    for name in ("requirements/runtime.txt", "pyproject.toml"):
        shutil.copy(REPOSITORY / name, folder / name)
    (folder / ".venv" / "bin" / "python").symlink_to(sys.executable)
    command = folder / ".venv" / "bin" / "wattwright"
    command.write_text('#!/bin/sh\nprintf "%s|" "$PWD" "$@"\nexit 7\n')
    command.chmod(0o755)
    (folder / "scripts" / "prepare.py").write_text(
        "import sys; print('preparing', sys.argv[1]); sys.exit(69)\n"
    )
    stamped = subprocess.run([sys.executable, "-c", STAMP, REPOSITORY / "scripts", folder], check=False)
    assert stamped.returncode == 0
    return folder


def started(launcher: Path | str, *arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Start a launcher as a person would."""
    return subprocess.run([launcher, *arguments], cwd=cwd, capture_output=True, text=True, check=False)


def test_the_launcher_hands_over_from_anywhere_with_spaces_and_through_links(tmp_path: Path) -> None:
    folder = checkout(tmp_path / "a bench with spaces")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "second").symlink_to(folder / "wattwright")
    (elsewhere / "first").symlink_to("second")

    for launcher, cwd in (
        (folder / "wattwright", elsewhere),
        (elsewhere / "first", tmp_path),
        ("./wattwright", folder),
        ("./first", elsewhere),
    ):
        done = started(launcher, "plan", "two words", "", cwd=cwd)
        assert done.stdout == f"{cwd}|plan|two words||", done.stderr
        assert done.returncode == 7


def test_the_launcher_prepares_again_when_the_lock_changes_or_set_up_was_cut_short(tmp_path: Path) -> None:
    folder = checkout(tmp_path / "bench")
    assert started("./wattwright", cwd=folder).returncode == 7

    (folder / ".venv" / "unfinished").touch()
    cut_short = started("./wattwright", cwd=folder)
    (folder / ".venv" / "unfinished").unlink()
    with (folder / "requirements" / "runtime.txt").open("a") as lock:
        lock.write("# changed\n")
    changed = started("./wattwright", cwd=folder)

    assert (cut_short.stdout, cut_short.returncode) == ("preparing runtime\n", 69)
    assert (changed.stdout, changed.returncode) == ("preparing runtime\n", 69)


def test_the_launcher_prepares_again_when_the_checkout_was_moved(tmp_path: Path) -> None:
    folder = checkout(tmp_path / "bench").rename(tmp_path / "moved")

    assert started("./wattwright", cwd=folder).stdout == "preparing runtime\n"


def test_a_machine_without_a_fit_python_is_told_what_to_install(tmp_path: Path) -> None:
    folder = checkout(tmp_path / "bench")
    (folder / ".venv" / "runtime.stamp").unlink()
    programs = tmp_path / "programs"
    programs.mkdir()
    for name in ("sh", "cat", "cmp", "readlink"):
        (programs / name).symlink_to(str(shutil.which(name)))
    alone = {"PATH": str(programs)}
    none = subprocess.run(
        ["./wattwright"], cwd=folder, env=alone, capture_output=True, text=True, check=False
    )
    python = programs / "python3"
    python.write_text(f'#!/bin/sh\ncase "$*" in *ensurepip*) exit 1;; esac\nexec "{sys.executable}" "$@"\n')
    python.chmod(0o755)
    bare = subprocess.run(
        ["./wattwright"], cwd=folder, env=alone, capture_output=True, text=True, check=False
    )

    assert (none.returncode, bare.returncode) == (69, 69)
    assert "needs Python 3.11" in none.stderr
    assert "apt-get install python3." in bare.stderr


def test_ci_runs_the_tests_and_nothing_weaker() -> None:
    script = (REPOSITORY / ".ci" / "run").read_text()
    commands = [line for line in script.splitlines() if line and not line.startswith("#")]

    assert commands[0] == "set -euo pipefail"
    assert commands[-1] == './wattwright test "$@"'
    assert os.access(REPOSITORY / ".ci" / "run", os.X_OK)
    assert os.access(REPOSITORY / "wattwright", os.X_OK)
