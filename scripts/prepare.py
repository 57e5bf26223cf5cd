"""Make or mend the environment of Wattwright's launcher; started by ``./wattwright``, standard library only.

Everything is said on standard error, so that ``./wattwright plan JOB --json > answer.json`` stays clean
even where it is the first start. A kernel lock keeps concurrent first starts apart and lets go when its
holder dies; a marker tells the next start that this one was cut short.
"""

import fcntl
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Final

CANNOT_PREPARE: Final = 69
"""Exit code: something this depends on is not to be had (EX_UNAVAILABLE of sysexits.h)."""
INTERRUPTED: Final = 130
SYSTEM_PROGRAMS: Final = {"chromium": "chromium", "pdftoppm": "poppler-utils"}
"""What some tests drive, and the Debian package that brings it."""


class CannotPrepareError(Exception):
    """The environment cannot be prepared; the text says why and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Preparation:
    """What is being prepared, and where."""

    purpose: str
    """"runtime" or "development": the lock file's name."""
    root: str
    """As the launcher spells it: the stamp must match byte for byte."""
    environment: Path

    @property
    def python(self) -> Path:
        """The environment's own interpreter."""
        return self.environment / "bin" / "python"

    @property
    def lock(self) -> Path:
        """The pinned and hashed libraries."""
        return Path(self.root, "requirements", f"{self.purpose}.txt")

    @property
    def installer_lock(self) -> Path:
        """The pinned and hashed installer."""
        return Path(self.root, "requirements", "installer.txt")

    @property
    def stamp(self) -> Path:
        """Written last: what the environment was made from."""
        return self.environment / f"{self.purpose}.stamp"

    @property
    def unfinished(self) -> Path:
        """Stands from the first change to the last: a start that finds it begins anew."""
        return self.environment / "unfinished"

    def wanted_stamp(self) -> bytes:
        """What the stamp holds once all is done; the launcher composes the same."""
        head = f"{self.root}\n{os.path.realpath(self.python)}\n".encode()
        return head + self.lock.read_bytes() + Path(self.root, "pyproject.toml").read_bytes()

    def is_done(self) -> bool:
        """Whether the environment stands, whole, as the files ask for it."""
        return (
            not self.unfinished.exists()
            and self.python.exists()
            and self.stamp.exists()
            and self.stamp.read_bytes() == self.wanted_stamp()
        )


def say(text: str) -> None:
    """Tell the person waiting."""
    print(f"wattwright: {text}", file=sys.stderr, flush=True)


def run(command: Sequence[str | Path], *, quiet: bool = False) -> bool:
    """Run a command with its output on standard error; whether it succeeded."""
    output = subprocess.DEVNULL if quiet else sys.stderr
    try:
        # Descriptors stay open for the lock's sake: an installer that outlives us keeps holding it.
        done = subprocess.run(
            command, stdin=subprocess.DEVNULL, stdout=output, stderr=output, close_fds=False, check=False
        )
    except OSError:
        return False
    return done.returncode == 0


@contextmanager
def alone(preparation: Preparation) -> Iterator[None]:
    """Hold the lock beside the environment; wait, and say so, while another start holds it."""
    place = preparation.environment.with_name(preparation.environment.name + ".lock")
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        lock = place.open("w")
    except OSError as trouble:
        raise CannotPrepareError(
            f"{place.parent} cannot be written to ({trouble.strerror}), so no environment can be made there. "
            "Copy the checkout to a folder of your own, or name one: "
            "WATTWRIGHT_ENVIRONMENT=/path/to/new/folder ./wattwright"
        ) from None
    with lock:
        os.set_inheritable(lock.fileno(), True)  # noqa: FBT003  (the standard library's signature)
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("another start is preparing the environment; waiting for it.")
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def made_for_here(preparation: Preparation) -> bool:
    """Whether an environment stands, works, was not cut short and has not been moved."""
    if not preparation.python.exists() or preparation.unfinished.exists():
        return False
    for stamp in preparation.environment.glob("*.stamp"):
        if not stamp.read_bytes().startswith(f"{preparation.root}\n".encode()):
            return False
    fit = "import sys, pip; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 14))"
    return run([preparation.python, "-c", fit], quiet=True)


def make_environment(preparation: Preparation) -> None:
    """Make an empty environment in place of whatever stands there."""
    environment = preparation.environment
    if environment.exists():
        ours = preparation.unfinished.exists() or (environment / "pyvenv.cfg").exists()
        if not ours and any(environment.iterdir()):
            raise CannotPrepareError(
                f"{environment} is not empty and is no Python environment; name another folder."
            )
        say("the environment here is unfinished, broken or moved; making it anew.")
        shutil.rmtree(environment)
    environment.mkdir()
    preparation.unfinished.touch()
    say(f"making an environment in {environment} (Python {sys.version.split()[0]}) ...")
    if not run([sys.executable, "-m", "venv", environment]):
        raise CannotPrepareError("Python could not make an environment; its message stands above.")


def install(preparation: Preparation) -> None:
    """Install the locked libraries and the project: with uv if it can be had, else with pip."""
    uv = preparation.environment / "bin" / "uv"
    pip: list[str | Path] = [preparation.python, "-m", "pip", "--disable-pip-version-check", "--no-input"]
    quietly: list[str] = [] if sys.stderr.isatty() else ["--quiet"]
    locked: list[str | Path] = ["--require-hashes", "-r", preparation.lock]
    ours = ["--no-deps", "--no-build-isolation", "-e", preparation.root]
    have_uv = run([uv, "--version"], quiet=True) or run(
        [*pip, "install", "--quiet", "--require-hashes", "-r", preparation.installer_lock]
    )
    if have_uv:
        with_uv: list[str | Path] = [uv, "pip", "install", *quietly, "--python", preparation.python]
        if run([*with_uv, "--compile-bytecode", *locked]) and run([*with_uv, *ours]):
            return
    say("the quick installer did not manage; trying pip (about half a minute) ...")
    if not (run([*pip, "install", "--quiet", *locked]) and run([*pip, "install", "--quiet", *ours])):
        raise CannotPrepareError(
            "the libraries could not be installed; the installer's message stands above. "
            "Check that a Python package registry can be reached from here, then start again."
        )


def compile_kernels(preparation: Preparation) -> None:
    """Compile the ride engine ahead, so that the first answer comes as fast as the next."""
    if not run([preparation.environment / "bin" / "wattwright", "prepare"]):
        say("that failed; the first answer will compile it instead.")


def install_system_programs() -> None:
    """Bring the browser and the PDF tools some tests drive, where that is ours to do; else say so."""
    missing = {program: package for program, package in SYSTEM_PROGRAMS.items() if not shutil.which(program)}
    if not missing:
        return
    wanted = ", ".join(missing)
    if os.geteuid() == 0 and shutil.which("apt-get"):
        say(f"installing {wanted} for the tests ...")
        apt = ["apt-get", "-qq", "-o", "DPkg::Lock::Timeout=120"]
        environ = ["env", "DEBIAN_FRONTEND=noninteractive"]
        run([*environ, *apt, "update"])
        if run([*environ, *apt, "install", "--yes", "--no-install-recommends", *missing.values()]):
            return
    say(f"tests that drive {wanted} will be skipped: not installed, and not ours to install here.")


def prepare(preparation: Preparation) -> None:
    """Bring the environment to what the lock asks for, and stamp it."""
    with alone(preparation):
        if preparation.is_done():
            return
        started = time.monotonic()
        if not made_for_here(preparation):
            say("preparing everything, once; about half a minute.")
            make_environment(preparation)
        preparation.unfinished.touch()
        preparation.stamp.unlink(missing_ok=True)
        say(
            "installing the libraries"
            + (" for the tests ..." if preparation.purpose == "development" else " ...")
        )
        install(preparation)
        if preparation.purpose == "development":
            install_system_programs()
        else:
            compile_kernels(preparation)
        preparation.stamp.write_bytes(preparation.wanted_stamp())
        preparation.unfinished.unlink()
        say(f"ready after {time.monotonic() - started:.0f} s.")


def main(arguments: Sequence[str]) -> int:
    """Prepare for ``arguments``: purpose, root, environment. Returns the exit code."""
    purpose, root, environment = arguments
    try:
        prepare(Preparation(purpose=purpose, root=root, environment=Path(environment)))
    except CannotPrepareError as trouble:
        say(str(trouble))
        return CANNOT_PREPARE
    except OSError as trouble:
        say(f"{trouble.filename or environment}: {trouble.strerror}. Mend that, then start again.")
        return CANNOT_PREPARE
    except KeyboardInterrupt:
        say("interrupted; the next start begins anew.")
        return INTERRUPTED
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
