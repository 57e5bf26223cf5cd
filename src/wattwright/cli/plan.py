"""``wattwright plan JOB``: how many modules, and why."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wattwright.cli import shown
from wattwright.cli.progress import progress_bar
from wattwright.documents.figures import Units
from wattwright.documents.header import Paper
from wattwright.workflow.job_papers import sheet_header, write_drawing, write_sheet

if TYPE_CHECKING:
    from wattwright.sizing.plan import Plan

NO_COUNT = 1
"""Exit code of an empty window: an answer, but a "no"."""


def plan_command(
    job_file: Annotated[Path, typer.Argument(metavar="JOB", help="Job file (TOML).")],
    *,
    catalogue: Annotated[
        list[Path] | None, typer.Option("--catalogue", help="Further catalogue file; may be repeated.")
    ] = None,
    working: Annotated[bool, typer.Option("--working", help="Open every number to its working.")] = False,
    alternatives: Annotated[bool, typer.Option(help="Work out other modules and drives beside.")] = True,
    sheet: Annotated[
        Path | None, typer.Option("--sheet", help="Write the job sheet here (.pdf or .html).")
    ] = None,
    drawing: Annotated[
        Path | None, typer.Option("--drawing", help="Write the window's drawing here (.svg).")
    ] = None,
    units: Annotated[Units, typer.Option(help="Units on the sheet.")] = Units.METRIC,
    paper: Annotated[Paper, typer.Option(help="Paper of the sheet.")] = Paper.A4,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Work out how many modules a job needs, and why.

    Exit code 0 if the window is open, 1 if no count will do, 2 if something given cannot be used.
    """
    from wattwright.workflow.job_check import job_with_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.workflow.plan_job import plan_job  # noqa: PLC0415 (start-up)

    job, parts = job_with_catalogue(job_file, extra=catalogue or ())
    with progress_bar(f"planning {job.title}", quiet=as_json) as progress:
        plan = plan_job(job, job_file.parent, parts, alternatives=alternatives, progress=progress)
    if sheet is not None:
        write_sheet(plan, sheet_header(job, units=units, paper=paper), sheet)
    if drawing is not None:
        write_drawing(plan, drawing)
    show(plan, as_json=as_json, working=working)
    if plan.chosen is None:
        raise typer.Exit(NO_COUNT)


def show(plan: "Plan", *, as_json: bool, working: bool) -> None:
    """Print a plan, as tables or as JSON."""
    if as_json:
        from wattwright.documents.plan_table import plan_table  # noqa: PLC0415 (start-up)

        shown.show_json(plan_table(plan))
    else:
        from wattwright.cli.plan_shown import show_plan  # noqa: PLC0415 (start-up)

        show_plan(shown.console(), plan, working=working)
