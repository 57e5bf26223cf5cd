"""The benchmark harness: what it compares, what it weighs, and that a missed aim shows."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from benchmarks.__main__ import duration, row
from benchmarks.harness import Arithmetic, Case, Limit, Memory, Timing, command, timed, weighed


def timing(case: Case, memory: Memory | None = None) -> Timing:
    """A timing of 2 and 4 s against the reference's 10 and 12 s."""
    return Timing(
        benchmark="b", case=case, seconds=(4.0, 2.0, 4.0), reference_seconds=(12.0, 10.0), memory=memory
    )


def nothing() -> None:
    """Do nothing."""


def test_the_ratio_is_best_against_best() -> None:
    measured = timing(Case(title="c", run=nothing, reference=nothing, things=1e9, thing="point"))

    assert measured.ratio == 5.0
    assert measured.median == 4.0
    assert measured.nanoseconds_per_thing == 2.0


def test_aims_are_met_only_by_what_was_measured() -> None:
    case = Case(title="c", run=nothing, aim_seconds=3.0, aim_ratio=6.0, aim_memory_mb=100.0)

    assert [met for _, met in timing(case).aims()] == [True, False, None]
    assert [met for _, met in timing(case, Memory(peak_mb=99.0, growth_mb=1.0)).aims()] == [True, False, True]
    assert "at least 6 times: MISSED" in row(timing(case))[-1]
    assert "below 100 MB: not measured" in row(timing(case))[-1]


def test_ours_and_the_reference_take_turns_after_warming_up() -> None:
    calls: list[str] = []
    case = Case(
        title="c",
        run=lambda: calls.append("ours"),
        reference=lambda: calls.append("reference"),
        repeats=3,
        reference_repeats=2,
        warm_ups=1,
    )

    measured = timed("b", case)

    assert calls == ["ours", "ours", "reference", "ours", "reference", "ours"]
    assert (len(measured.seconds), len(measured.reference_seconds)) == (3, 2)


WEIGH = """
import json, sys
from dataclasses import asdict
import numpy as np
from benchmarks.harness import Case, weighed
print(json.dumps(asdict(weighed(Case(title="c", run=lambda: np.ones(20_000_000).sum())))))
"""


def test_weighing_sees_an_array_of_known_size() -> None:
    """20 million numbers of 8 bytes are 160 MB."""
    done = subprocess.run(
        [sys.executable, "-c", WEIGH],
        cwd=Path(__file__).resolve().parent.parent,
        capture_output=True,
        text=True,
        check=True,
    )
    memory = Memory(**json.loads(done.stdout))

    assert memory.growth_mb == pytest.approx(160.0, rel=0.05)
    assert memory.peak_mb > memory.growth_mb


def test_a_command_is_weighed_by_itself_and_not_with_its_parents_memory() -> None:
    ballast = np.ones(20_000_000)
    small = Case(title="c", run=nothing, command=("true",))

    assert weighed(small).peak_mb < ballast.nbytes / 1e6 / 2


def test_a_command_that_fails_is_not_timed_as_if_it_had_answered() -> None:
    with pytest.raises(RuntimeError, match="ended with"):
        command("c", "--no-such-option").run()


def test_the_limit_is_the_longer_of_arithmetic_and_divider() -> None:
    limit = Limit(cores=1, fused=1.0, division=10.0, root=20.0)

    assert limit.seconds(Arithmetic(fused=100.0, divisions=2.0, roots=1.0)) == 100.0
    assert limit.seconds(Arithmetic(fused=10.0, divisions=2.0, roots=1.0)) == 40.0


@pytest.mark.parametrize(
    ("seconds", "shown"),
    [(1.234, "1.23 s"), (0.00456, "4.56 ms"), (7.8e-5, "78 µs"), (3e-9, "3 ns"), (None, "")],
)
def test_durations_carry_a_fitting_unit(seconds: float | None, shown: str) -> None:
    assert duration(seconds) == shown
