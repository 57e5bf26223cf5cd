"""wattwright keep …: modules put away, and the years ahead of a job."""

import datetime as dt
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wattwright.cli.progress import progress_bar
from wattwright.cli.shown import console, lines, show_json, table
from wattwright.cli.today import today as today_at_the_bench

if TYPE_CHECKING:
    from wattwright.pack.put_away import StorageAnswer
    from wattwright.sizing.years import Course, YearsAhead

app = typer.Typer(no_args_is_help=True, help="Put modules away, and look at the years ahead of a job.")

CatalogueOption = Annotated[
    list[Path] | None,
    typer.Option("--catalogue", metavar="FILE", help="Further catalogue file; may be repeated."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
DrawingOption = Annotated[Path | None, typer.Option("--drawing", help="Write the picture here (.svg).")]


@app.command()
def stored(
    module: Annotated[str, typer.Argument(help="Kind in the catalogue, such as slate-48.")],
    *,
    charge_pct: Annotated[float, typer.Option("--charge-pct", help="Charge at which it is put away.")] = 40.0,
    state: Annotated[
        str, typer.Option(help="What its electronics do: awake, standby, switched off, deep sleep.")
    ] = "switched off",
    temperature_c: Annotated[
        list[float] | None,
        typer.Option("--temperature-c", help="Where it stands; give twelve from January on, or one [15]."),
    ] = None,
    recharge_at_pct: Annotated[
        float, typer.Option("--recharge-at-pct", help="Charge below which it should not fall.")
    ] = 20.0,
    capacity_left_pct: Annotated[
        float, typer.Option("--capacity-left-pct", help="Of rated, for a worn module.")
    ] = 100.0,
    name: Annotated[str, typer.Option(help="What to call it in the calendar: a serial.")] = "",
    start: Annotated[
        str, typer.Option("--from", help="Day it is put away, such as 2026-11-25 [today].")
    ] = "",
    calendar: Annotated[Path | None, typer.Option("--calendar", help="Write the dates here (.ics).")] = None,
    drawing: DrawingOption = None,
    catalogue: CatalogueOption = None,
    as_json: JsonOption = False,
) -> None:
    """Work out until when a module put away keeps its charge, and what standing takes for good."""
    from wattwright.cli.given import date_given, one_of  # noqa: PLC0415 (start-up)
    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.pack.put_away import Stored, put_away  # noqa: PLC0415 (start-up)
    from wattwright.parts.battery_module import PowerState  # noqa: PLC0415 (start-up)
    from wattwright.units import fraction_from_percent, kelvin_from_celsius  # noqa: PLC0415 (start-up)
    from wattwright.workflow.keep import twelve  # noqa: PLC0415 (start-up)

    kind = load_catalogue(catalogue or ()).module(module)
    now = dt.date.fromisoformat(today_at_the_bench())
    answer = put_away(
        Stored(
            battery_module=kind,
            name=name or kind.title,
            state=one_of(PowerState, "--state", state),
            start=date_given("--from", start) if start else now,
            start_charge=fraction_from_percent(charge_pct),
            recharge_at=fraction_from_percent(recharge_at_pct),
            month_temperature=twelve([kelvin_from_celsius(each) for each in temperature_c or [15.0]]),
            capacity_left=fraction_from_percent(capacity_left_pct),
        )
    )
    if calendar is not None:
        _write_calendar(answer, calendar, now)
    if drawing is not None:
        from wattwright.documents.keeping_drawing import storage_drawing  # noqa: PLC0415 (start-up)
        from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

        write_text(drawing, storage_drawing(answer), replace=True)
    if as_json:
        from wattwright.documents.keeping_table import storage_table  # noqa: PLC0415 (start-up)

        show_json(storage_table(answer))
    else:
        _show_stored(answer)


def _write_calendar(answer: "StorageAnswer", path: Path, now: dt.date) -> None:
    from wattwright.files.calendar import calendar_bytes  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_bytes  # noqa: PLC0415 (start-up)
    from wattwright.workflow.keep import reminders  # noqa: PLC0415 (start-up)

    write_bytes(path, calendar_bytes(reminders(answer), today=now), replace=True)


def _show_stored(answer: "StorageAnswer") -> None:
    from wattwright.documents.keeping_table import storage_table  # noqa: PLC0415 (start-up)

    content = storage_table(answer)
    floor = f"{content['recharge_at_pct']:g} %"
    rows = [
        ("put away", f"{content['put_away']}, {content['charge_pct']:g} %, {content['power_state']}"),
        ("charge it again by", content["charge_again_by"] or "beyond five years"),
        (f"likely down to {floor} on", content["charge_again_likely"] or "beyond five years"),
        ("may be empty from", content["empty_earliest"] or "beyond five years"),
        ("likely empty on", content["empty_likely"] or "beyond five years"),
        (
            "electronics take",
            f"{content['quiescent_current_ma']:g} mA",
        ),
        ("cells take at 25 °C", f"{content['self_discharge_pct_per_month']:g} % of rated a month"),
    ]
    year = content["after_a_year"]
    rows.append(
        (
            "capacity left for good after a year",
            f"{year['central']['capacity_left_pct']:.1f} %, bound {year['bound']['capacity_left_pct']:.1f} %",
        )
    )
    if year["handbook_capacity_left_pct"] is not None:
        rows.append(("the same by a handbook's table", f"{year['handbook_capacity_left_pct']:.1f} %"))
    console().print(table(content["name"], ("", ""), rows))
    lines("Mind:", content["notes"])


@app.command()
def years(
    job_file: Annotated[Path, typer.Argument(metavar="JOB", help="Job file (TOML).")],
    *,
    modules: Annotated[
        int | None, typer.Option(help="In the pack; the plan's own count if not given.")
    ] = None,
    catalogue: CatalogueOption = None,
    drawing: DrawingOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show what the job's own years leave of its modules, what would help, and when a ride ends.

    Exit code 1 if a ride ends before the wished years by the central estimate.
    """
    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.files.job_file import job_catalogues, read_job  # noqa: PLC0415 (start-up)
    from wattwright.workflow.keep import job_years  # noqa: PLC0415 (start-up)

    job = read_job(job_file)
    parts = load_catalogue((*job_catalogues(job_file, job), *(catalogue or ())))
    with progress_bar(f"the years of {job.title}", quiet=as_json) as progress:
        ahead, notes = job_years(job, job_file.parent, parts, modules=modules, progress=progress)
    if drawing is not None:
        from wattwright.documents.keeping_drawing import years_drawing  # noqa: PLC0415 (start-up)
        from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

        write_text(drawing, years_drawing(ahead), replace=True)
    if as_json:
        from wattwright.documents.keeping_table import years_table  # noqa: PLC0415 (start-up)

        show_json({**years_table(ahead), "track_notes": list(notes)})
    else:
        _show_years(ahead, notes)
    if ahead.falls_short:
        raise typer.Exit(1)


def _show_years(ahead: "YearsAhead", notes: tuple[str, ...]) -> None:
    planned = ahead.planned
    screen = console()
    screen.print(
        table(
            f"{planned.modules} modules, {planned.full_cycles:.0f} full cycles a year",
            (">year", ">capacity %", ">bound %", ">resistance %", ">bound %"),
            [
                (
                    f"{row.years:g}",
                    f"{100 * row.central.capacity_left:.1f}",
                    f"{100 * row.bound.capacity_left:.1f}",
                    f"{100 * row.central.resistance_risen:.0f}",
                    f"{100 * row.bound.resistance_risen:.0f}",
                )
                for row in planned.rows
            ],
        )
    )
    screen.print(
        table(
            f"After {ahead.wished:g} years, and how long every ride lasts",
            ("habit", ">capacity %", ">bound %", ">lasts, years", ">at least", "ended by"),
            [_habit(each, ahead.wished) for each in (planned, *ahead.others)],
        )
    )
    lines("Mind:", (*ahead.notes, *notes))
    after = f"after {ahead.wished:g} years"
    lines(
        f"Each model by itself, {after}:",
        [f"{each.title}: {100 * each.capacity_left:.1f} % ({each.source.text})" for each in planned.models],
    )


def _habit(course: "Course", wished: float) -> tuple[str, ...]:
    row = next(row for row in course.rows if row.years == wished)
    return (
        course.title,
        f"{100 * row.central.capacity_left:.1f}",
        f"{100 * row.bound.capacity_left:.1f}",
        course.lasting.in_words,
        course.lasting_cautious.in_words,
        course.lasting.ends_with,
    )
