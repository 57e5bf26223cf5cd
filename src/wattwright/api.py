"""The whole program in a few calls: what the command line does, three lines of Python do.

>>> from wattwright import api
>>> answer = api.ask(distance_km=12, ascent_m=60, samples=256)
>>> answer.window.floor.modules >= 1
True
"""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wattwright.documents.figures import Units
from wattwright.documents.header import Paper
from wattwright.files.catalogue_file import load_catalogue
from wattwright.files.job_file import read_job
from wattwright.parts.catalogue import Catalogue
from wattwright.units import metres_from_km, metres_per_second_from_km_h
from wattwright.workflow.job_check import JobCheck, check_job, job_with_catalogue

if TYPE_CHECKING:
    from wattwright.sizing.plan import Plan
    from wattwright.sizing.years import YearsAhead
    from wattwright.workflow.ride_file import RideReport
    from wattwright.workflow.shelf import Shelved

File = str | PathLike[str]


def plan(job_file: File, *, catalogues: Sequence[File] = (), alternatives: bool = True) -> "Plan":
    """Work out how many modules a job needs, and why: ``wattwright plan JOB``.

    Args:
        job_file: TOML.
        catalogues: Further catalogue files.
        alternatives: Whether other modules and drives are worked out beside.

    Raises:
        InputError: If a value, a track or a catalogue cannot be used.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    from wattwright.workflow.plan_job import plan_job  # noqa: PLC0415 - the engine loads when needed

    path = Path(job_file)
    job, parts = job_with_catalogue(path, extra=[Path(name) for name in catalogues])
    return plan_job(job, path.parent, parts, alternatives=alternatives)


def ask(
    *,
    distance_km: float,
    ascent_m: float = 0.0,
    speed_km_h: float | None = None,
    samples: int | None = None,
    **said: Any,  # noqa: ANN401 - the rest of what a customer can say
) -> "Plan":
    """Answer the phone call: ``wattwright ask``.

    Args:
        distance_km: Of the whole ride on one charge.
        ascent_m: Sum of all climbs.
        speed_km_h: Average while moving; None for the drive's usual help.
        samples: Ridden; None for the usual number.
        said: Further fields of ``wattwright.workflow.phone_call.Call``: stops, load, rider_mass, ...

    Raises:
        InputError: If the distance, ascent or speed cannot be.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    from wattwright.workflow.phone_call import Call, job_from_call, plan_call  # noqa: PLC0415 - as above

    speed = None if speed_km_h is None else metres_per_second_from_km_h(speed_km_h)
    call = Call(distance=metres_from_km(distance_km), ascent=ascent_m, speed=speed, **said)
    parts = catalogue()
    job = job_from_call(call, "2000-01-01", parts)  # the date is printed on sheets alone
    return plan_call(call, job if samples is None else replace(job, samples=samples), parts)


def years(job_file: File, *, modules: int | None = None, catalogues: Sequence[File] = ()) -> "YearsAhead":
    """The years ahead of a job, with the plan's own count unless one is given: ``wattwright keep years``.

    Raises:
        InputError: If a value or a track cannot be used.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    from wattwright.workflow.keep import job_years  # noqa: PLC0415 - the engine loads when needed

    path = Path(job_file)
    job, parts = job_with_catalogue(path, extra=[Path(name) for name in catalogues])
    return job_years(job, path.parent, parts, modules=modules)[0]


def shelf(register_file: File, today: dt.date, *, catalogues: Sequence[File] = ()) -> tuple["Shelved", ...]:
    """Every module in use with its state of health on a day: ``wattwright register list``.

    Raises:
        FileError: If the register cannot be read.
        NotInCatalogueError: If a module's kind is not in the catalogue.
    """
    from wattwright.files.register_file import read_register  # noqa: PLC0415 - as above
    from wattwright.workflow.shelf import shelf as shelf_of  # noqa: PLC0415

    return shelf_of(read_register(Path(register_file)), catalogue(*catalogues), today)


def ride(track_file: File, **choices: Any) -> "RideReport":  # noqa: ANN401 - passed on
    """Look at one recorded ride: ``wattwright ride FILE``.

    Args:
        track_file: GPX, TCX, FIT or CSV.
        choices: As of ``wattwright.workflow.ride_file.report_ride``: assume_flat, ascent, there_and_back, ...

    Raises:
        FileError: If the file cannot be read or ridden.
    """
    from wattwright.workflow.ride_file import report_ride  # noqa: PLC0415 - as above

    return report_ride(Path(track_file), catalogue(), "2000-01-01", **choices)


def check(job_file: File) -> JobCheck:
    """Read a job with everything it names: ``wattwright job check JOB``. Errors as ``plan``."""
    return check_job(Path(job_file))


def catalogue(*files: File) -> Catalogue:
    """The parts there are: ``wattwright parts list``. Later files add to ours or replace them."""
    return load_catalogue([Path(name) for name in files])


def sheet(
    plan: "Plan", job_file: File, out: File, *, units: Units = Units.METRIC, paper: Paper = Paper.A4
) -> None:
    """Write a plan's job sheet as PDF, or as HTML by its name: ``wattwright plan JOB --sheet OUT``.

    Raises:
        FileError: If the job cannot be read or the sheet not be written.
    """
    from wattwright.workflow.job_papers import sheet_header, write_sheet  # noqa: PLC0415 - as above

    write_sheet(plan, sheet_header(read_job(Path(job_file)), units=units, paper=paper), Path(out))


def table(plan: "Plan") -> dict[str, Any]:
    """Everything a plan says as plain tables, keys with units: ``wattwright plan JOB --json``."""
    from wattwright.documents.plan_table import plan_table  # noqa: PLC0415 - as above

    return plan_table(plan)
