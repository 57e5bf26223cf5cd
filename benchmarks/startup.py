"""How fast the command line answers when nothing runs yet: each time a fresh process, compile cache warm."""

from typing import Final

from benchmarks.harness import REPOSITORY, Case, benchmark, command

DEMO: Final = REPOSITORY / "src" / "wattwright" / "data" / "demo"
EMPTY_WINDOW: Final = 1
"""Exit code of a plan that found no count."""


@benchmark
def startup() -> list[Case]:
    """Cold starts that work nothing out."""
    return [
        command("wattwright --version", "--version"),
        command("wattwright --help", "--help", aim_seconds=0.3),
    ]


@benchmark
def answers() -> list[Case]:
    """Cold starts that answer: the phone call, a recorded ride, and each demo job with its alternatives."""
    call = ("ask", "--distance-km", "24", "--ascent-m", "350", "--speed-km-h", "21")
    ride = DEMO / "rides" / "hill-round.gpx"
    plans = [
        command(
            f"wattwright plan {job.name}",
            "plan",
            str(job),
            aim_seconds=2.0,
            repeats=3,
            exit_codes=(0, EMPTY_WINDOW),
        )
        for job in sorted(DEMO.glob("*.toml"))
    ]
    return [
        command("wattwright ask", *call, aim_seconds=1.5),
        command(f"wattwright ride {ride.name}", "ride", str(ride)),
        *plans,
    ]
