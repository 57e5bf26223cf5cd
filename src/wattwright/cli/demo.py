"""``wattwright demo``: the invented jobs of Halvermoor, worked out, with sheets and drawings to look at."""

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wattwright.cli import shown
from wattwright.cli.progress import progress_bar
from wattwright.workflow.job_papers import sheet_header, write_drawing, write_sheet

if TYPE_CHECKING:
    from wattwright.job.job import Job
    from wattwright.sizing.plan import Plan

DEMO_JOBS = ("mixte", "longtail", "gravel", "small-frame")
"""Three jobs with an answer, and one whose window is empty."""


def demo_command(
    out: Annotated[Path, typer.Option("--out", help="Folder for the sheets and drawings.")] = Path("out"),
) -> None:
    """Work out the demo jobs, print their answers, and leave sheets and drawings in a folder."""
    out.mkdir(parents=True, exist_ok=True)
    for name in DEMO_JOBS:
        start = time.perf_counter()
        job, plan = _worked(name)
        written = _written(job, plan, name, out)
        _show(job, plan, written, time.perf_counter() - start)
    shown.lines(
        "Next",
        (
            f"Open {out / 'mixte-sheet.pdf'}, or the same as a page: {out / 'mixte-sheet.html'}.",
            "Your own recorded ride: ./wattwright ride FILE",
            "A telephone call: ./wattwright ask --distance-km 25 --ascent-m 200",
        ),
    )


def _worked(name: str) -> "tuple[Job, Plan]":
    from wattwright.files.catalogue_file import demo_folder, load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.files.job_file import read_job  # noqa: PLC0415 (start-up)
    from wattwright.workflow.plan_job import plan_job  # noqa: PLC0415 (start-up)

    job = read_job(demo_folder() / f"{name}.toml")
    with progress_bar(f"planning {job.title}") as progress:
        plan = plan_job(job, demo_folder(), load_catalogue(), progress=progress)
    return job, plan


def _written(job: "Job", plan: "Plan", name: str, out: Path) -> list[Path]:
    """Everything there is to look at of one job."""
    from wattwright.documents.profile_drawing import profile_drawing  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

    header = sheet_header(job)
    paths = [out / f"{name}-sheet.pdf", out / f"{name}-sheet.html", out / f"{name}-window.svg"]
    write_sheet(plan, header, paths[0])
    write_sheet(plan, header, paths[1])
    write_drawing(plan, paths[2])
    profile = out / f"{name}-ride.svg"
    write_text(profile, profile_drawing(plan.answers[0], reserve=plan.brief.wishes.reserve), replace=True)
    return [*paths, profile]


def _show(job: "Job", plan: "Plan", written: list[Path], seconds: float) -> None:
    from rich.text import Text  # noqa: PLC0415 (start-up)

    from wattwright.cli.plan_shown import window_line  # noqa: PLC0415 (start-up)

    screen = shown.console()
    screen.print(Text(f"\n{job.title} (invented)", style="bold"))
    screen.print(Text(plan.sentence))
    screen.print(Text(window_line(plan)))
    for way in plan.opening[:2]:
        screen.print(Text(way))
    names = ", ".join(path.name for path in written)
    screen.print(Text(f"{seconds:.1f} s; in {written[0].parent}: {names}", style="dim"))
