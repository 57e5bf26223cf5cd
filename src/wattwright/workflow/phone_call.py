"""The phone call: distance, ascent and speed, the rest as usual."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from wattwright.errors import InputError
from wattwright.files.job_file import new_job_text, read_job_text
from wattwright.job.job import Job, JobRide
from wattwright.parts.catalogue import Catalogue
from wattwright.units import (
    Kilogram,
    Metre,
    MetrePerSecond,
    km_from_metres,
    km_h_from_metres_per_second,
    metres_per_second_from_km_h,
)
from wattwright.workflow.briefing import brief_of
from wattwright.workflow.other_briefs import with_fitting_parts

if TYPE_CHECKING:
    from wattwright.sizing.plan import Plan

SLOWEST, FASTEST = metres_per_second_from_km_h(6.0), metres_per_second_from_km_h(54.0)
"""[m/s] Averages that are still cycling with help: 6 to 54 km/h; assumption."""
STOPS_PER_KILOMETRE = 0.8
"""Where the caller does not say; assumption: outskirts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What a customer can say by telephone."""

    distance: Metre
    ascent: Metre
    speed: MetrePerSecond | None = None
    """Average while moving; None for the drive's usual help."""
    stops: int | None = None
    load: Kilogram | None = None
    rider_mass: Kilogram | None = None
    times_per_week: float = 5.0
    years: float | None = None
    module: str | None = None
    drive: str | None = None
    region: str = "eu"


def job_from_call(call: Call, date: str, catalogue: Catalogue) -> Job:
    """A job with the caller's ride and everything else as the template assumes.

    Args:
        call: What was said.
        date: ISO 8601, of the call.
        catalogue: For a charger and a carrier that suit the module.

    Raises:
        InputError: If the distance, ascent or speed cannot be.
        NotInCatalogueError: If the module is not in the catalogue.
    """
    _check(call)
    usual = read_job_text(new_job_text("Phone call", date, call.region), "the template")
    stops = round(km_from_metres(call.distance) * STOPS_PER_KILOMETRE) if call.stops is None else call.stops
    ride = JobRide(
        name="the ride",
        file="",
        distance=call.distance,
        ascent=call.ascent,
        stops=stops,
        there_and_back=False,
        assume_flat=False,
        times_per_week=call.times_per_week,
        months=tuple(range(1, 13)),
        load=usual.rides[0].load if call.load is None else call.load,
        start_charge=1.0,
        charged_after=True,
    )
    job = replace(
        usual,
        rides=(ride,),
        rider=replace(usual.rider, mass=call.rider_mass or usual.rider.mass),
        module=call.module or usual.module,
        drive=call.drive or usual.drive,
        wishes=usual.wishes if call.years is None else replace(usual.wishes, years=call.years),
    )
    return with_fitting_parts(job, catalogue)


def plan_call(
    call: Call,
    job: Job,
    catalogue: Catalogue,
    *,
    progress: Callable[[str, float], None] = lambda _what, _share: None,
) -> "Plan":
    """Work the call out; room, mass and budget are not known yet and are no limits, as the notes say."""
    from wattwright.sizing.cruising import holding_average  # noqa: PLC0415 - the engine loads when needed
    from wattwright.sizing.planner import plan  # noqa: PLC0415

    brief, notes = brief_of(job, Path(), catalogue)
    if call.speed is not None:
        brief = holding_average(brief, call.speed)
    assumed = (
        f"Assumed until the bicycle is seen: {job.rider.mass:.0f} kg rider, {job.bicycle.title.lower()} of "
        f"{job.bicycle.mass:.0f} kg, {brief.drive.title}, {brief.battery_module.title}. Room is not "
        "measured, mass and budget are not asked: the only ceilings are the parts' own."
    )
    return plan(replace(brief, places=()), notes=(*notes, assumed), progress=progress)


def _check(call: Call) -> None:
    if not 300.0 <= call.distance <= 1_000_000.0:
        raise InputError("distance_km", km_from_metres(call.distance), "0.3 to 1000 km")
    if not 0.0 <= call.ascent <= 0.15 * call.distance:
        raise InputError(
            "ascent_m",
            call.ascent,
            f"0 to {0.15 * call.distance:.0f} m over {km_from_metres(call.distance):g} km",
        )
    for field, value, most in (("rider_mass_kg", call.rider_mass, 250.0), ("load_kg", call.load, 300.0)):
        if value is not None and not 0.0 <= value <= most:
            raise InputError(field, value, f"0 to {most:g} kg")
    if call.stops is not None and not 0 <= call.stops <= 2000:
        raise InputError("stops", call.stops, "0 to 2000")
    if not 0.0 <= call.times_per_week <= 100.0:
        raise InputError("times_per_week", call.times_per_week, "0 to 100")
    if call.years is not None and not 0.0 <= call.years <= 25.0:
        raise InputError("years", call.years, "0 to 25")
    if call.speed is not None and not SLOWEST <= call.speed <= FASTEST:
        raise InputError("speed_km_h", round(km_h_from_metres_per_second(call.speed), 1), "6 to 54 km/h")
