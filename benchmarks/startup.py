"""How fast the command line answers when nothing runs yet: each time a fresh process."""

from benchmarks.harness import Case, benchmark, command


@benchmark
def startup() -> list[Case]:
    """Cold starts of the command line, compile cache warm."""
    return [
        command("wattwright --version", "--version"),
        command("wattwright --help", "--help", aim_seconds=0.3),
    ]
