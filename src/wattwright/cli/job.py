"""wattwright job …: start, check, show a job file; write its schema."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli.shown import console, figure, lines, say, show_json, table
from wattwright.cli.today import today

if TYPE_CHECKING:
    from wattwright.workflow.job_check import JobCheck

app = typer.Typer(no_args_is_help=True, help="Start, check and show a job file.")

JobArgument = Annotated[Path, typer.Argument(metavar="JOB", help="The job file.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
CatalogueOption = Annotated[
    list[Path] | None,
    typer.Option(
        "--catalogue", metavar="FILE", help="Further catalogue file; may be given again, later wins."
    ),
]


@app.command()
def new(
    path: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write it, such as anna.toml.")],
    title: Annotated[str, typer.Option(help="What the job is called.")] = "",
    region: Annotated[str, typer.Option(help="Legal class the bicycle is to stay in.")] = "eu",
    ride: Annotated[
        list[Path] | None,
        typer.Option("--ride", metavar="TRACK", help="Your recording; may be given again for further rides."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
) -> None:
    """Write a commented job file to start from; it can be planned as it stands."""
    from wattwright.files.assist_classes import assist_class_named  # noqa: PLC0415 (start-up)
    from wattwright.files.job_file import new_job_text  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

    assist_class_named(region)
    recordings = [_beside(track, path) for track in ride or ()]
    text = new_job_text(title or path.stem.replace("-", " "), today(), region, recordings)
    write_text(path, text, replace=force)
    say(f"Wrote {path}. Fill it in, then: wattwright job check {path}")


def _beside(track: Path, job: Path) -> str:
    """The track as the job file names it; one that cannot be read is refused before anything is written."""
    import os.path  # noqa: PLC0415 (start-up)

    from wattwright.files.tracks import read_track  # noqa: PLC0415 (start-up)

    read_track(track)
    return Path(os.path.relpath(track.resolve(), job.resolve().parent)).as_posix()


@app.command()
def check(job: JobArgument, catalogue: CatalogueOption = None, as_json: JsonOption = False) -> None:
    """Read a job with everything it names; say what is assumed and what does not belong together."""
    from wattwright.workflow.job_check import check_job  # noqa: PLC0415 (start-up)

    found = check_job(job, extra=catalogue or ())
    if as_json:
        show_json(_check_answer(found))
    else:
        _show_check(job, found)
    raise typer.Exit(1 if found.misfits else 0)


@app.command()
def show(job: JobArgument, as_json: JsonOption = False) -> None:
    """Show a job with every value spelt out, defaults and presets filled in."""
    from wattwright.files.job_file import job_table, read_job  # noqa: PLC0415 (start-up)

    content = job_table(read_job(job))
    if as_json:
        show_json(content)
        return
    screen = console()
    for name, part in content.items():
        for number, section in enumerate(part if isinstance(part, list) else [part], start=1):
            heading = f"{name} {number}" if isinstance(part, list) else name
            screen.print(table(heading, ("key", "value"), _rows(section)))


@app.command()
def schema(
    kind: Annotated[str, typer.Option(help="job or catalogue.")] = "job",
    out: Annotated[Path | None, typer.Option(metavar="FILE", help="Write it there instead.")] = None,
) -> None:
    """Print the JSON Schema of job files, or of catalogue files, for your editor."""
    from wattwright.files.schema import schema_text  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

    text = schema_text(kind)
    if out is None:
        typer.echo(text, nl=False)
    else:
        write_text(out, text, replace=True)
        say(f"Wrote {out}.")


def _rows(section: dict[str, Any]) -> list[tuple[str, str]]:
    return [(key, figure(value)) for key, value in section.items()]


def _check_answer(found: "JobCheck") -> dict[str, Any]:
    return {
        "title": found.job.title,
        "fits_together": not found.misfits,
        "misfits": list(found.misfits),
        "defaults": list(found.defaults),
        "replaced_parts": list(found.replaced),
    }


def _show_check(path: Path, found: "JobCheck") -> None:
    lines("These do not belong together:", found.misfits)
    lines("Replaced in the catalogue:", found.replaced)
    lines("Assumed, because the file does not say:", found.defaults)
    verdict = "needs mending" if found.misfits else "can be worked out"
    say(f"{path}: “{found.job.title}” {verdict}.")
