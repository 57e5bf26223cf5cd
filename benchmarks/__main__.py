"""``./wattwright benchmark [NAME ...] [--json]``: run the benchmarks and show them in one table each."""

import argparse
import importlib
import json
import os
import pkgutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import asdict
from difflib import get_close_matches
from typing import Any, Final

from rich.console import Console
from rich.table import Table

import benchmarks
from benchmarks.harness import BENCHMARKS, REPOSITORY, Limit, Memory, Timing, machine_in_words, timed, weighed

VERDICTS: Final = {True: "met", False: "MISSED", None: "not measured"}


def discover() -> None:
    """Import every file of the folder, so that its benchmarks are known."""
    for file in pkgutil.iter_modules(benchmarks.__path__):
        if file.name not in {"__main__", "harness", "machine"}:
            importlib.import_module(f"benchmarks.{file.name}")


def memory_of(name: str, number: int) -> Memory | None:
    """Weigh one case in a fresh process; None where that failed (its trouble stands on standard error)."""
    done = subprocess.run(
        [sys.executable, "-m", "benchmarks", "--weigh", BENCHMARKS[name].__module__, name, str(number)],
        cwd=REPOSITORY,
        stdout=subprocess.PIPE,
        text=True,
        check=False,
    )
    return Memory(**json.loads(done.stdout)) if done.returncode == 0 else None


def weigh(file: str, name: str, number: str) -> int:
    """Print one case's memory as JSON; imports no benchmark file but its own."""
    importlib.import_module(file)
    print(json.dumps(asdict(weighed(BENCHMARKS[name]()[int(number)]))))
    return 0


def measured(name: str, *, with_memory: bool) -> list[Timing]:
    """Run one benchmark: every case timed, then weighed."""
    timings = []
    for number, case in enumerate(BENCHMARKS[name]()):
        memory = memory_of(name, number) if with_memory else None
        timings.append(timed(name, case, memory))
    return timings


def duration(seconds: float | None) -> str:
    """A time with three true figures and a fitting unit."""
    if seconds is None:
        return ""
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds * 1e9:.3g} ns"


def share_of_limit(timing: Timing) -> float | None:
    """How much of the machine's arithmetic limit the case reached."""
    work, things = timing.case.arithmetic, timing.case.things
    if work is None or not things:
        return None
    return limit_of(timing.case.cores).seconds(work) * things / timing.best


def limit_of(cores: int) -> Limit:
    """The machine's limit; its compiler is loaded here, so that a process that only weighs stays small."""
    from benchmarks.machine import machine_limit  # noqa: PLC0415

    return machine_limit(cores)


def limit_in_words(limit: Limit) -> str:
    """The machine's limit as a line."""
    cores = "1 core" if limit.cores == 1 else f"{limit.cores} cores together"
    return (
        f"arithmetic limit, {cores}: multiply-add {limit.fused * 1e9:.4f} ns, "
        f"division {limit.division * 1e9:.3f} ns, square root {limit.root * 1e9:.3f} ns"
    )


def row(timing: Timing) -> list[str]:
    """One line of the table."""
    each, share, memory = timing.nanoseconds_per_thing, share_of_limit(timing), timing.memory
    aims = [f"{words}: {VERDICTS[met]}" for words, met in timing.aims()]
    return [
        timing.case.title,
        duration(timing.best),
        duration(timing.median),
        f"{each:.3g} ns/{timing.case.thing}" if each is not None else "",
        f"{share:.0%}" if share is not None else "",
        f"{timing.case.reference_title} {duration(timing.reference_best)}" if timing.ratio else "",
        f"{timing.ratio:.1f} ×" if timing.ratio else "",
        f"{memory.peak_mb:.0f} (+{memory.growth_mb:.0f})" if memory else "",
        "\n".join(aims),
    ]


def table(name: str, timings: Sequence[Timing]) -> Table:
    """One benchmark as a table."""
    shown = Table(title=name, title_justify="left", show_lines=False)
    shown.add_column("case", overflow="fold")
    for heading in ("best", "median", "each", "of limit", "reference", "ratio", "peak MB", "aim"):
        shown.add_column(heading, justify="left" if heading in {"reference", "aim"} else "right")
    for timing in timings:
        shown.add_row(*row(timing))
    return shown


def as_json(timing: Timing) -> dict[str, Any]:
    """One case for a machine; times in seconds."""
    return {
        "benchmark": timing.benchmark,
        "case": timing.case.title,
        "best_s": timing.best,
        "median_s": timing.median,
        "each_ns": timing.nanoseconds_per_thing,
        "thing": timing.case.thing,
        "share_of_limit": share_of_limit(timing),
        "reference": timing.case.reference_title,
        "reference_best_s": timing.reference_best,
        "ratio": timing.ratio,
        "peak_mb": timing.memory and timing.memory.peak_mb,
        "growth_mb": timing.memory and timing.memory.growth_mb,
        "aims": [{"aim": words, "met": met} for words, met in timing.aims()],
    }


def arguments_given(given: Sequence[str]) -> argparse.Namespace:
    """Read the command's arguments."""
    parser = argparse.ArgumentParser(prog="wattwright benchmark", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help="which to run; all if none is named")
    parser.add_argument("--list", action="store_true", help="name the benchmarks and stop")
    parser.add_argument("--json", action="store_true", help="print one JSON document instead of tables")
    parser.add_argument("--no-memory", action="store_true", help="leave out the extra process for memory")
    arguments = parser.parse_args(given)
    for name in arguments.names:
        if name not in BENCHMARKS:
            near = get_close_matches(name, BENCHMARKS, n=1, cutoff=0.0)
            parser.error(f"there is no benchmark called {name!r}; nearest: {', '.join(near)}")
    return arguments


def main(given: Sequence[str]) -> int:
    """Run what is asked for.

    Returns:
        The exit code: 1 if a benchmark broke. A missed aim is told, not punished.
    """
    if given[:1] == ["--weigh"]:
        return weigh(*given[1:])
    discover()
    arguments = arguments_given(given)
    if arguments.list:
        print("\n".join(BENCHMARKS))
        return 0
    names = arguments.names or list(BENCHMARKS)
    console = Console(stderr=arguments.json)
    console.print(machine_in_words())
    limits = [limit_of(cores) for cores in sorted({1, os.cpu_count() or 1})]
    for limit in limits:
        console.print(limit_in_words(limit))
    results: list[dict[str, Any]] = []
    failed = False
    for name in names:
        try:
            with console.status(f"{name} ..."):
                timings = measured(name, with_memory=not arguments.no_memory)
        except Exception:  # noqa: BLE001  (one broken benchmark must not hide the others; told below)
            failed = True
            console.print(f"{name} failed:", style="bold")
            console.print_exception(max_frames=3)
            continue
        console.print(table(name, timings))
        results += [as_json(timing) for timing in timings]
    if arguments.json:
        machine = {"machine": machine_in_words(), "limits_s": [asdict(limit) for limit in limits]}
        print(json.dumps({**machine, "results": results}, indent=2))
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
