"""One recorded ride, looked at by itself: what it holds, what it would take, what its power tells."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from wattwright.files.job_file import new_job_text, read_job_text
from wattwright.files.tracks import ReadTrack, read_track
from wattwright.parts.catalogue import Catalogue
from wattwright.ride.path_building import BuiltPath
from wattwright.ride.recorded import recorded_ride
from wattwright.sizing.brief import PlannedRide
from wattwright.units import Kilogram, Metre
from wattwright.workflow.briefing import brief_of
from wattwright.workflow.planned_rides import built_path

if TYPE_CHECKING:
    from wattwright.job.job import Job
    from wattwright.ride.calibration import Calibration
    from wattwright.sizing.plan import Plan

FEWEST_POWER_SAMPLES = 300
"""Five minutes at a second: less says nothing of drag and rolling resistance."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RideReport:
    """What one file says."""

    path: Path
    """As it was named."""
    read: ReadTrack
    built: BuiltPath
    plan: "Plan"
    """With a usual rider and bicycle, or with the job's."""
    calibration: "Calibration | None"
    """Where the file carries the rider's power."""
    assumed: "Job"
    one_way: Metre
    """Length of the recording itself."""


def report_ride(
    path: Path,
    catalogue: Catalogue,
    date: str,
    *,
    assume_flat: bool = False,
    ascent: Metre | None = None,
    there_and_back: bool = False,
    mass: Kilogram | None = None,
    accept_cut_off: bool = False,
    progress: Callable[[str, float], None] = lambda _what, _share: None,
) -> RideReport:
    """Read, mend and ride one file with a usual rider and bicycle.

    Args:
        path: Of the track file.
        catalogue: Of parts.
        date: ISO 8601, for the job that could be made of it.
        assume_flat: The fitter's word for a track without elevation.
        ascent: Of a track without elevation, one way. [m]
        there_and_back: Whether the file is one way of a round trip.
        mass: Of the rider with clothes; the file's own, else the template's, if not given. [kg]
        accept_cut_off: Take the part before a break in the file.
        progress: Told what is being worked out.

    Raises:
        FileError: If the file cannot be read or ridden.
        InputError: If an argument does not suit.
    """
    from wattwright.sizing.planner import plan  # noqa: PLC0415 - the engine loads when needed

    progress("reading", 0.0)
    read = read_track(path, accept_cut_off=accept_cut_off)
    built = built_path(read, path, assume_flat=assume_flat, ascent=ascent, there_and_back=there_and_back)
    job = read_job_text(new_job_text(path.stem, date, "eu"), "the template")
    job = replace(job, rider=replace(job.rider, mass=_rider_mass(mass, read, job.rider.mass)))
    brief, _ = brief_of(job, path.parent, catalogue)
    ride = PlannedRide(
        name=path.stem,
        path=built.path,
        times_per_week=brief.rides[0].times_per_week,
        months=brief.rides[0].months,
        load=brief.rides[0].load,
        start_charge=1.0,
        charged_after=True,
    )
    worked = plan(replace(brief, rides=(ride,), places=()), progress=progress)
    progress("what the power tells", 0.95)
    return RideReport(
        path=path,
        read=read,
        built=built,
        plan=worked,
        calibration=_calibration(read, job.rider.mass + job.bicycle.mass),
        assumed=job,
        one_way=built.distance / (2.0 if there_and_back else 1.0),
    )


def _rider_mass(given: Kilogram | None, read: ReadTrack, usual: Kilogram) -> Kilogram:
    if given is not None:
        return given
    return read.track.rider_mass if np.isfinite(read.track.rider_mass) else usual


def _calibration(read: ReadTrack, mass: Kilogram) -> "Calibration | None":
    """Drag and rolling resistance from the recorded power, where there is enough of it."""
    from wattwright.ride.calibration import calibrated  # noqa: PLC0415 - only for rides with power

    if np.count_nonzero(np.isfinite(read.track.power) & (read.track.power > 0)) < FEWEST_POWER_SAMPLES:
        return None
    return calibrated(recorded_ride(read.track), mass)
