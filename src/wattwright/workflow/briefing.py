"""From a job file's job to a brief: parts by name, tracks to paths, rides of one charge joined."""

from pathlib import Path

from wattwright.files.assist_classes import assist_class_named
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.job.job import Job, JobPlace
from wattwright.parts.catalogue import Catalogue
from wattwright.sizing.brief import Brief, Place
from wattwright.workflow.drive_setting import drive_as_set
from wattwright.workflow.planned_rides import planned_rides


def brief_of(job: Job, folder: Path, catalogue: Catalogue) -> tuple[Brief, tuple[str, ...]]:
    """The job with its parts looked up and its tracks laid out as paths.

    Args:
        job: As read.
        folder: That the job's track files are relative to.
        catalogue: To look the parts up in.

    Returns:
        The brief, and what the fitter should know of the tracks.

    Raises:
        InputError: If a track cannot be used.
        NotInCatalogueError: If a part is not in the catalogue.
    """
    kind = catalogue.module(job.module)
    rides, notes = planned_rides(job.rides, folder)
    brief = Brief(
        title=job.title,
        rider=job.rider,
        bicycle=job.bicycle,
        rides=rides,
        climate=job.climate,
        assist_class=assist_class_named(job.region),
        drive=drive_as_set(catalogue.drive(job.drive), job),
        battery_module=kind,
        open_circuit=open_circuit_table(kind.chemistry).voltage,
        charger=catalogue.charger(job.charger),
        cable=catalogue.cable(job.cable),
        cable_length=job.cable_length,
        places=tuple(_place(place, catalogue) for place in job.places),
        other_parts_mass=job.other_parts_mass,
        other_parts_price=job.other_parts_price,
        spread=job.spread,
        wishes=job.wishes,
        storage_temperature=job.storage_temperature,
        storage_charge=job.storage_charge,
        charge_temperature=job.charge_temperature,
        samples=job.samples,
        seed=job.seed,
        help=job.help,
    )
    return brief, notes


def _place(place: JobPlace, catalogue: Catalogue) -> Place:
    return Place(name=place.name, free_length=place.free_length, carrier=catalogue.carrier(place.carrier))
