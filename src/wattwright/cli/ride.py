"""``wattwright ride FILE``: what a recorded ride holds and what it would take."""

import math
import shlex
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli import shown
from wattwright.cli.progress import progress_bar
from wattwright.cli.today import today
from wattwright.units import (
    km_from_metres,
    km_h_from_metres_per_second,
    minutes_from_seconds,
    percent_from_fraction,
    watt_hours_from_joules,
)

if TYPE_CHECKING:
    from wattwright.workflow.ride_file import RideReport


def ride_command(
    file: Annotated[Path, typer.Argument(help="Track file: GPX, TCX, FIT or CSV, packed or not.")],
    *,
    assume_flat: Annotated[
        bool, typer.Option("--assume-flat", help="A track without elevation is flat.")
    ] = False,
    ascent_m: Annotated[
        float | None, typer.Option(help="Climb of a track without elevation, one way.")
    ] = None,
    there_and_back: Annotated[bool, typer.Option("--there-and-back", help="The file is one way.")] = False,
    accept_cut_off: Annotated[
        bool, typer.Option("--accept-cut-off", help="Take what came before the place where the file breaks.")
    ] = False,
    rider_mass_kg: Annotated[
        float | None, typer.Option(help="With clothes; left out: the file's own.")
    ] = None,
    drawing: Annotated[
        Path | None, typer.Option("--drawing", help="Write the ride's profile here (.svg).")
    ] = None,
    working: Annotated[bool, typer.Option("--working", help="Open the numbers to their working.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Read one recorded ride: what it holds, what was mended, what it would take with a usual bicycle."""
    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.workflow.ride_file import report_ride  # noqa: PLC0415 (start-up)

    with progress_bar(f"reading {file.name}", quiet=as_json) as progress:
        report = report_ride(
            file,
            load_catalogue(),
            today(),
            assume_flat=assume_flat,
            ascent=ascent_m,
            there_and_back=there_and_back,
            mass=rider_mass_kg,
            accept_cut_off=accept_cut_off,
            progress=progress,
        )
    if drawing is not None:
        _write_profile(report, drawing)
    if as_json:
        shown.show_json(ride_table(report))
    else:
        show_report(report, working=working)


def ride_table(report: "RideReport") -> dict[str, Any]:
    """The report as plain tables; keys end in their units."""
    from wattwright.documents.plan_table import plan_table, working_table  # noqa: PLC0415 (start-up)

    built, calibration = report.built, report.calibration
    return {
        "file": report.read.track.title,
        "form": report.read.form.value,
        "distance_km": round(km_from_metres(built.distance), 3),
        "ascent_m": round(built.ascent, 1),
        "descent_m": round(built.descent, 1),
        "moving_time_min": _finite(minutes_from_seconds(built.moving_time)),
        "stops": len(built.stops),
        "repairs": [
            {"what": repair.what, "count": repair.count, "where": repair.where}
            for repair in (*report.read.repairs, *built.repairs)
        ],
        "notes": list(built.notes),
        "plan": plan_table(report.plan),
        "calibration": None if calibration is None else working_table(calibration.working()),
        "calibration_cannot_tell": [] if calibration is None else list(calibration.cannot_tell),
    }


def show_report(report: "RideReport", *, working: bool) -> None:
    """Print the report for people."""
    from rich.text import Text  # noqa: PLC0415 (start-up)

    from wattwright.cli.plan_shown import limits_table, rides_table, window_line, working_lines  # noqa: PLC0415
    from wattwright.workflow.planned_rides import repair_in_words  # noqa: PLC0415 (start-up)

    screen = shown.console()
    screen.print(Text(_heading(report), style="bold"))
    screen.print(shown.table("The road", ("what", ">value"), _facts(report)))
    mended = [repair_in_words(repair) for repair in (*report.read.repairs, *report.built.repairs)]
    shown.lines("Mended or left out", mended)
    shown.lines("Taken as", report.built.notes)
    job = report.assumed
    screen.print(
        Text(
            f"\nWith a usual bicycle of {job.bicycle.mass:.0f} kg, {job.rider.mass:.0f} kg of rider and "
            f"{report.plan.brief.drive.title}:"
        )
    )
    screen.print(Text(report.plan.sentence, style="bold"))
    screen.print(Text(window_line(report.plan)))
    screen.print(limits_table(report.plan))
    screen.print(rides_table(report.plan))
    if report.calibration is not None:
        _show_calibration(report)
    if working:
        for limit in report.plan.limits:
            screen.print(working_lines(limit.working))
    command = f"wattwright job new my.toml --ride {shlex.quote(str(report.path))}"
    screen.print(Text(f"\nTo size your own bicycle: {command}"), soft_wrap=True)


def _heading(report: "RideReport") -> str:
    distance, climb = km_from_metres(report.built.distance), report.built.ascent
    return f"{report.read.track.title}: {distance:.1f} km, {climb:.0f} m of climb"


def _facts(report: "RideReport") -> list[tuple[str, str]]:
    built = report.built
    usual = report.plan.answers[0]
    per_km = watt_hours_from_joules(usual.energy) / km_from_metres(built.distance)
    facts = [
        ("distance along the slope", f"{km_from_metres(built.distance):.2f} km"),
        ("climbs, all together", f"{built.ascent:.0f} m"),
        ("descents, all together", f"{built.descent:.0f} m"),
        ("steepest 10 m", f"{percent_from_fraction(float(built.path.grade.max())):.0f} %"),
        ("stops", f"{len(built.stops)}"),
        ("from the pack, usual weather", f"{per_km:.1f} Wh/km"),
    ]
    if math.isfinite(built.moving_time):
        speed = km_h_from_metres_per_second(report.one_way / built.moving_time)
        facts.insert(5, ("recorded moving time", f"{minutes_from_seconds(built.moving_time):.0f} min"))
        facts.insert(6, ("recorded speed while moving", f"{speed:.1f} km/h"))
    return facts


def _show_calibration(report: "RideReport") -> None:
    calibration = report.calibration
    if calibration is None:
        return
    rows = [
        (estimate.meaning, estimate.shown(), f"{percent_from_fraction(estimate.data_share):.0f} %")
        for estimate in calibration.estimates
    ]
    shown.console().print(
        shown.table(
            "What the recorded power tells", ("what", ">value ± standard error", ">from the ride"), rows
        )
    )
    shown.lines("It cannot tell", calibration.cannot_tell)


def _write_profile(report: "RideReport", path: Path) -> None:
    from wattwright.documents.profile_drawing import profile_drawing  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

    plan = report.plan
    write_text(path, profile_drawing(plan.answers[0], reserve=plan.brief.wishes.reserve), replace=True)


def _finite(value: float) -> float | None:
    return round(value, 1) if math.isfinite(value) else None
