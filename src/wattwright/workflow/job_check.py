"""Checking a job before it is worked out: does the file hold together, and do its parts belong together?"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from wattwright.errors import FileError
from wattwright.files.assist_classes import assist_class_named
from wattwright.files.catalogue_file import LoadedCatalogue, load_catalogues
from wattwright.files.job_file import defaults_taken, job_catalogues, job_from
from wattwright.files.toml_text import read_toml
from wattwright.job.job import Job
from wattwright.job.parts_fit import misfits
from wattwright.parts.catalogue import Catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCheck:
    """What checking a job found; a fault that stops the work is raised, not listed."""

    job: Job
    catalogue: Catalogue
    replaced: tuple[str, ...]
    """Parts that a later catalogue file replaced, one sentence each."""
    defaults: tuple[str, ...]
    """What the job leaves to our assumptions: "rider.power_w = 90"."""
    misfits: tuple[str, ...]
    """Parts that do not belong together, one sentence each."""


def check_job(path: Path, *, extra: Sequence[Path] = (), own: Sequence[Path] | None = None) -> JobCheck:
    """Read a job with everything it names.

    Args:
        path: The job file.
        extra: Catalogue files beyond those the job names; they win.
        own: The workshop's own; None takes those of the user's configuration folder.

    Raises:
        FileError: If the job, a catalogue or a track file is missing, or is not what it should be.
        InputError: If a value is out of range.
        NotInCatalogueError: If a part or the region is unknown; names the nearest.
    """
    content = read_toml(path)
    job = job_from(content, str(path))
    loaded = catalogue_of(path, job, extra=extra, own=own)
    assist_class_named(job.region)
    for file in _missing_tracks(path, job):
        raise FileError(str(file), "there is no such track file", f"The job {path} names it: mend the name.")
    return JobCheck(
        job=job,
        catalogue=loaded.catalogue,
        replaced=loaded.replaced,
        defaults=defaults_taken(content, str(path)),
        misfits=misfits(job, loaded.catalogue),
    )


def job_with_catalogue(path: Path, *, extra: Sequence[Path] = ()) -> tuple[Job, Catalogue]:
    """A job file's job, and the catalogue it is worked out with. Errors as ``check_job``."""
    job = job_from(read_toml(path), str(path))
    return job, catalogue_of(path, job, extra=extra).catalogue


def catalogue_of(
    path: Path, job: Job, *, extra: Sequence[Path] = (), own: Sequence[Path] | None = None
) -> LoadedCatalogue:
    """The catalogue a job is worked out with: shipped, the workshop's own, the job's, then ``extra``."""
    return load_catalogues([*job_catalogues(path, job), *extra], own=own)


def _missing_tracks(path: Path, job: Job) -> Iterator[Path]:
    files = (path.parent / ride.file for ride in job.rides if ride.file)
    return (file for file in files if not file.is_file())
