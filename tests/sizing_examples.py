"""A light brief to decide on: an invented catalogue, a made-up road, few samples, so that a plan is quick."""

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from wattwright.files.catalogue_file import load_catalogues
from wattwright.files.job_file import new_job_text, read_job_text
from wattwright.job.job import Job, JobRide
from wattwright.parts.catalogue import Catalogue
from wattwright.sizing.brief import Brief, Wishes
from wattwright.sizing.considerations import considerations
from wattwright.sizing.limits import Aim, Limit
from wattwright.sizing.subjects import ride_subjects
from wattwright.sizing.trials import Trials
from wattwright.workflow.briefing import brief_of


@cache
def catalogue() -> Catalogue:
    """The shipped parts alone, whatever the user's own folder holds."""
    return load_catalogues((), own=()).catalogue


@cache
def light_job(distance: float = 16_000.0, ascent: float = 120.0, samples: int = 128) -> Job:
    """The template's job with one short ride without a recording."""
    job = read_job_text(new_job_text("Light", "2026-11-25", "eu"), "the template")
    return replace(job, rides=(job_ride(distance=distance, ascent=ascent),), samples=samples)


def job_ride(**changes: Any) -> JobRide:  # noqa: ANN401 - whatever a ride has
    """A ride of the job, told over the counter."""
    ride = JobRide(
        name="shop",
        file="",
        distance=16_000.0,
        ascent=120.0,
        stops=8,
        there_and_back=False,
        assume_flat=False,
        times_per_week=5.0,
        months=tuple(range(1, 13)),
        load=5.0,
        start_charge=1.0,
        charged_after=True,
    )
    return replace(ride, **changes)


@cache
def light_brief(distance: float = 16_000.0, ascent: float = 120.0, samples: int = 128) -> Brief:
    """The brief of ``light_job``."""
    return brief_of(light_job(distance, ascent, samples), Path(), catalogue())[0]


def wishing(brief: Brief, **wishes: Any) -> Brief:  # noqa: ANN401 - as above
    """The brief with other wishes."""
    changed: Wishes = replace(brief.wishes, **wishes)
    return replace(brief, wishes=changed)


def with_limit(brief: Brief, current: float) -> Brief:
    """The brief with another battery-current limit of the controller."""
    controller = replace(brief.drive.controller, battery_current_limit=current)
    return replace(brief, drive=replace(brief.drive, controller=controller))


def with_module(brief: Brief, **changes: Any) -> Brief:  # noqa: ANN401 - as above
    """The brief with a changed module."""
    return replace(brief, battery_module=replace(brief.battery_module, **changes))


def limits_of(brief: Brief, trials: Trials | None = None) -> dict[str, Limit]:
    """Every limit by its subject."""
    tried = trials or Trials(brief)
    makers = considerations(tried, ride_subjects(tried))
    return {limit.subject: limit for make in makers if (limit := make(Aim()))}
