"""``wattwright pack JOB``: unequal modules on the job's rides, what lets go, and which limit avoids it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from wattwright.cli import shown
from wattwright.cli.progress import progress_bar
from wattwright.units import (
    celsius_from_kelvin,
    fraction_from_percent,
    km_from_metres,
    ohms_from_milliohms,
    percent_from_fraction,
)

if TYPE_CHECKING:
    from wattwright.pack.network import Event
    from wattwright.workflow.pack_behaviour import PackBehaviour, RideBehaviour


def pack_command(
    job_file: Annotated[Path, typer.Argument(metavar="JOB", help="Job file (TOML).")],
    *,
    charge_pct: Annotated[
        list[float] | None,
        typer.Option(help="Charge of one module at the start; once for each, first first."),
    ] = None,
    capacity_left_pct: Annotated[
        list[float] | None, typer.Option(help="Capacity a module has left beside the others; once for each.")
    ] = None,
    contact_mohm: Annotated[float, typer.Option(help="Between neighbours, out and back.")] = 2.0,
    bag: Annotated[bool, typer.Option("--bag", help="The modules ride in a closed bag.")] = False,
    sun: Annotated[bool, typer.Option("--sun", help="A high summer sun shines on them all the way.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Ride the job with every module by itself: shares, warmth, what lets go and what follows.

    Exit code 0 if every module holds, 1 if one lets go, 2 if something given cannot be used.
    """
    from wattwright.files.catalogue_file import load_catalogue  # noqa: PLC0415 (start-up)
    from wattwright.files.job_file import job_catalogues, read_job  # noqa: PLC0415 (start-up)
    from wattwright.pack.heat import Shelter  # noqa: PLC0415 (start-up)
    from wattwright.workflow.pack_behaviour import pack_behaviour  # noqa: PLC0415 (start-up)

    job = read_job(job_file)
    parts = load_catalogue(job_catalogues(job_file, job))
    with progress_bar(f"riding {job.title}", quiet=as_json) as progress:
        found = pack_behaviour(
            job,
            job_file.parent,
            parts,
            charges=[fraction_from_percent(share) for share in charge_pct or ()],
            capacities_left=[fraction_from_percent(share) for share in capacity_left_pct or ()],
            contact=ohms_from_milliohms(contact_mohm),
            shelter=Shelter.BAG if bag else Shelter.OPEN,
            in_sun=sun,
            progress=progress,
        )
    if as_json:
        shown.show_json(behaviour_table(found))
    else:
        _show(found)
    if any(ride.course.let_go() for ride in found.rides):
        raise typer.Exit(1)


def behaviour_table(found: "PackBehaviour") -> dict[str, Any]:
    """The behaviour as plain tables; keys end in their units."""
    return {
        "modules": found.modules,
        "rides": [
            {
                "ride": ride.ride,
                "season": ride.season,
                "lowest_voltage_v": round(float(ride.course.voltage.min()), 2),
                "peak_current_a": [round(float(peak), 2) for peak in ride.course.current.max(axis=0)],
                "charge_left_pct": [
                    round(percent_from_fraction(float(left)), 1) for left in ride.course.charge[-1]
                ],
                "hottest_c": round(celsius_from_kelvin(float(ride.course.temperature.max())), 1),
                "events": [event_sentence(event) for event in ride.course.events],
                "holding_limit_a": round(ride.limit.limit, 1),
                "limit_must_fall": ride.limit.was_needed,
            }
            for ride in found.rides
        ],
    }


def event_sentence(event: "Event") -> str:
    """One event as a fitter would tell it."""
    where = "" if event.distance is None else f" at {km_from_metres(event.distance):.1f} km"
    who = "The pack" if event.module is None else f"Module {event.module + 1}"
    why = "" if event.cause is None else f" ({event.cause.cause.value}, {event.current_before:.1f} A)"
    after = max((abs(float(current)) for current in event.currents_after), default=0.0)
    rest = f"; the most any other then carries is {after:.1f} A" if event.cause is not None else ""
    return f"{who} {event.happening.value}{where}{why}{rest}."


def _show(found: "PackBehaviour") -> None:
    columns = ("ride", "season", ">lowest", ">most loaded", ">hottest", ">let go", ">limit that holds")
    screen = shown.console()
    screen.print(shown.table(f"{found.modules} modules, each by itself", columns, map(_row, found.rides)))
    for ride in found.rides:
        shown.lines(f"{ride.ride}, {ride.season}", map(event_sentence, ride.course.events))


def _row(ride: "RideBehaviour") -> tuple[str, ...]:
    course, limit = ride.course, ride.limit
    holds = f"{limit.limit:.1f} A" if limit.limit > 0 else "none"
    return (
        ride.ride,
        ride.season,
        f"{course.voltage.min():.1f} V",
        f"{course.current.max():.1f} A",
        f"{celsius_from_kelvin(float(course.temperature.max())):.0f} °C",
        str(len(course.let_go())),
        holds if limit.was_needed else "as set",
    )
