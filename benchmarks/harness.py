"""What a benchmark is, and how it is timed, weighed and compared.

A benchmark is a function without arguments in a file of this folder, marked ``@benchmark``, that prepares
its inputs (not timed) and returns cases:

    @benchmark
    def reading() -> list[Case]:
        content = long_gpx(100_000)
        return [
            Case(
                title="GPX, 100,000 points",
                run=lambda: read_track_bytes("long.gpx", content),
                reference=lambda: read_with_gpxpy(content),
                reference_title="gpxpy",
                things=100_000,
                thing="point",
                aim_seconds=1.0,
            )
        ]

Ours and the reference are run turn by turn in one process, so that a busy machine slows both; the best of
each is compared. Memory is taken in a process of its own, so that no other case's peak counts.
"""

import os
import platform
import resource
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

REPOSITORY: Final = Path(__file__).resolve().parent.parent
COMMAND_LINE: Final = Path(sys.executable).parent / "wattwright"

BYTES_EACH: Final = 1 if sys.platform == "darwin" else 1024
"""Of the figure the system gives for resident memory."""
WEIGH_COMMAND: Final = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdin=subprocess.DEVNULL, capture_output=True)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arithmetic:
    """Floating-point work of one thing, counted by hand from the code; 64-bit numbers."""

    fused: float
    """Multiply-adds, and every lone multiplication, addition or comparison."""
    divisions: float = 0.0
    roots: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """The shortest time one operation was seen to take, all cores together, in seconds."""

    cores: int
    fused: float
    division: float
    root: float

    def seconds(self, work: Arithmetic) -> float:
        """The least time this machine needs for that work, in seconds."""
        slow = work.divisions * self.division + work.roots * self.root
        return max(work.fused * self.fused, slow)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """One thing to time."""

    title: str
    run: Callable[[], object]
    reference: Callable[[], object] | None = None
    reference_title: str = ""
    """What the reference is: "NumPy, same model, two processes"."""
    things: float = 0.0
    """How many things one run deals with, for the time per thing; 0 where that says nothing."""
    thing: str = ""
    """"point", "lane-segment"."""
    arithmetic: Arithmetic | None = None
    """Of one thing: prints the share of this machine's measured limit."""
    cores: int = 1
    """Cores our run uses, for that limit."""
    repeats: int = 5
    reference_repeats: int = 3
    warm_ups: int = 1
    """Runs before the first timed one: they compile, fill caches and import."""
    aim_seconds: float | None = None
    aim_ratio: float | None = None
    """Reference's time over ours, at least."""
    aim_memory_mb: float | None = None
    """Peak of the whole process, at most."""
    command: tuple[str, ...] = ()
    """The command the run starts, whose memory is meant instead of ours; filled by ``command``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Memory:
    """Resident memory of a process that did nothing but prepare and run the case."""

    peak_mb: float
    growth_mb: float
    """Over the peak before the first run: inputs, libraries and interpreter taken off."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """What was measured of one case."""

    benchmark: str
    case: Case
    seconds: tuple[float, ...]
    reference_seconds: tuple[float, ...]
    memory: Memory | None

    @property
    def best(self) -> float:
        """Our shortest run, in seconds."""
        return min(self.seconds)

    @property
    def median(self) -> float:
        """Our middle run, in seconds."""
        return statistics.median(self.seconds)

    @property
    def reference_best(self) -> float | None:
        """The reference's shortest run, in seconds."""
        return min(self.reference_seconds, default=None)

    @property
    def ratio(self) -> float | None:
        """How many times faster than the reference, best against best."""
        return None if self.reference_best is None else self.reference_best / self.best

    @property
    def nanoseconds_per_thing(self) -> float | None:
        """Best time of one thing."""
        return self.best / self.case.things * 1e9 if self.case.things else None

    def aims(self) -> list[tuple[str, bool | None]]:
        """Each aim in words, and whether it was met; None where nothing was measured to tell."""
        case, memory = self.case, self.memory
        aims: list[tuple[str, bool | None]] = []
        if case.aim_seconds is not None:
            aims.append((f"under {case.aim_seconds:g} s", self.best < case.aim_seconds))
        if case.aim_ratio is not None:
            met = None if self.ratio is None else self.ratio >= case.aim_ratio
            aims.append((f"at least {case.aim_ratio:g} times", met))
        if case.aim_memory_mb is not None:
            met = None if memory is None else memory.peak_mb < case.aim_memory_mb
            aims.append((f"below {case.aim_memory_mb:g} MB", met))
        return aims


Benchmark = Callable[[], Sequence[Case]]
BENCHMARKS: Final[dict[str, Benchmark]] = {}
"""Every benchmark by name; filled as the files of this folder are imported."""


def benchmark(function: Benchmark) -> Benchmark:
    """Mark a function as a benchmark, under its own name with hyphens."""
    name = function.__name__.replace("_", "-")
    if name in BENCHMARKS:
        raise ValueError(f"two benchmarks are called {name}")
    BENCHMARKS[name] = function
    return function


def command(
    title: str,
    *arguments: str,
    aim_seconds: float | None = None,
    repeats: int = 5,
    exit_codes: Sequence[int] = (0,),
) -> Case:
    """Time a cold start of the command line: a fresh process each run, the compile cache warm.

    Raises:
        RuntimeError: While running, if the command ends with another exit code.
    """
    started = (str(COMMAND_LINE), *arguments)

    def run() -> None:
        done = subprocess.run(started, stdin=subprocess.DEVNULL, capture_output=True, text=True, check=False)
        if done.returncode not in exit_codes:
            raise RuntimeError(f"{' '.join(started)} ended with {done.returncode}: {done.stderr}")

    return Case(title=title, run=run, repeats=repeats, aim_seconds=aim_seconds, command=started)


def seconds_of(run: Callable[[], object]) -> float:
    """Wall time of one run."""
    start = time.perf_counter()
    run()
    return time.perf_counter() - start


def timed(name: str, case: Case, memory: Memory | None = None) -> Timing:
    """Time one case and its reference, turn by turn."""
    for _ in range(case.warm_ups):
        case.run()
    reference_repeats = case.reference_repeats if case.reference else 0
    seconds, reference_seconds = [], []
    for turn in range(max(case.repeats, reference_repeats)):
        if turn < case.repeats:
            seconds.append(seconds_of(case.run))
        if case.reference and turn < reference_repeats:
            reference_seconds.append(seconds_of(case.reference))
    return Timing(
        benchmark=name,
        case=case,
        seconds=tuple(seconds),
        reference_seconds=tuple(reference_seconds),
        memory=memory,
    )


def peak_mb() -> float:
    """Highest resident memory of this process so far, in MB."""
    status = Path("/proc/self/status")
    if status.exists():  # getrusage would count what our parent held when it started us
        line = next(line for line in status.read_text("ascii").splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) * 1024 / 1e6
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * BYTES_EACH / 1e6


def weighed(case: Case) -> Memory:
    """Memory of one run of the case in *this* process, which should have done little else.

    A command is weighed from a small process between: a child's peak starts with its parent's size.
    """
    if case.command:
        done = subprocess.run(
            [sys.executable, "-S", "-c", WEIGH_COMMAND, *case.command],
            stdout=subprocess.PIPE,
            text=True,
            check=True,
        )
        peak = int(done.stdout) * BYTES_EACH / 1e6
        return Memory(peak_mb=peak, growth_mb=peak)
    before = peak_mb()
    case.run()
    peak = peak_mb()
    return Memory(peak_mb=peak, growth_mb=peak - before)


def machine_in_words() -> str:
    """Processor, cores, system and Python, as found."""
    model = platform.processor() or platform.machine()
    information = Path("/proc/cpuinfo")
    if information.exists():
        names = [
            line for line in information.read_text(encoding="utf-8").splitlines() if "model name" in line
        ]
        model = names[0].split(":", 1)[1].strip() if names else model
    return f"{model}, {os.cpu_count()} cores, {platform.system()}, Python {platform.python_version()}"
