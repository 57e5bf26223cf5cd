"""``wattwright ask``: the phone call."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from wattwright.cli.plan import NO_COUNT, show
from wattwright.cli.progress import progress_bar
from wattwright.cli.today import today
from wattwright.units import metres_from_km, metres_per_second_from_km_h

if TYPE_CHECKING:
    from wattwright.job.job import Job


def ask_command(
    *,
    distance_km: Annotated[float, typer.Option(help="Of the whole ride on one charge, 0.3 to 1000.")],
    ascent_m: Annotated[
        float, typer.Option(help="Sum of all climbs; at most 150 m for each kilometre.")
    ] = 0.0,
    speed_km_h: Annotated[
        float | None,
        typer.Option(help="Average while moving, held as long as the drive can; left out: its usual help."),
    ] = None,
    stops: Annotated[int | None, typer.Option(help="Standing stops; left out: 8 in 10 km.")] = None,
    rider_mass_kg: Annotated[
        float | None, typer.Option(help="Rider with clothes; left out: as the template.")
    ] = None,
    load_kg: Annotated[float | None, typer.Option(help="Carried besides the rider.")] = None,
    times_per_week: Annotated[float, typer.Option(help="How often the ride is ridden.")] = 5.0,
    years: Annotated[float | None, typer.Option(help="Years of service.")] = None,
    module: Annotated[str | None, typer.Option(help="Module, by its catalogue name.")] = None,
    drive: Annotated[str | None, typer.Option(help="Drive, by its catalogue name.")] = None,
    region: Annotated[str, typer.Option(help="Legal class the bicycle is meant to stay in.")] = "eu",
    save: Annotated[
        Path | None, typer.Option("--save", metavar="JOB", help="Write the call as a job file to go on with.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a job file that is there.")] = False,
    working: Annotated[bool, typer.Option("--working", help="Open every number to its working.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Answer the phone call: how many modules for a distance, an ascent and a speed."""
    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.workflow.phone_call import Call, job_from_call, plan_call  # noqa: PLC0415 (start-up)

    call = Call(
        distance=metres_from_km(distance_km),
        ascent=ascent_m,
        speed=None if speed_km_h is None else metres_per_second_from_km_h(speed_km_h),
        stops=stops,
        rider_mass=rider_mass_kg,
        load=load_kg,
        times_per_week=times_per_week,
        years=years,
        module=module,
        drive=drive,
        region=region,
    )
    parts = load_catalogue()
    job = job_from_call(call, today(), parts)
    with progress_bar("the phone call", quiet=as_json) as progress:
        plan = plan_call(call, job, parts, progress=progress)
    if save is not None:
        save_call(job, save, replace=force)
    show(plan, as_json=as_json, working=working)
    if plan.chosen is None:
        raise typer.Exit(NO_COUNT)


def save_call(job: "Job", path: Path, *, replace: bool) -> None:
    """Write the call's job, every value spelt out; the average speed is not part of it.

    Raises:
        FileError: If there is a file already and ``replace`` is false.
    """
    from wattwright.files.job_file import write_job_text  # noqa: PLC0415 (start-up)
    from wattwright.files.written import write_text  # noqa: PLC0415 (start-up)

    write_text(path, write_job_text(job), replace=replace)
