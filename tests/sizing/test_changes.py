"""Every change that is said to move a limit is made, in brief and job file, and the limit moves."""

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from sizing_examples import catalogue, job_ride, light_job
from wattwright.files.job_file import job_from, job_table
from wattwright.job.job import Job, JobPlace
from wattwright.sizing.applied import applied
from wattwright.sizing.brief import Brief
from wattwright.sizing.considerations import Maker, considerations
from wattwright.sizing.limits import Aim, Change, Depth, Limit, Side
from wattwright.sizing.loosening import cheap_changes
from wattwright.sizing.ride_floors import needed
from wattwright.sizing.subjects import Subject, ride_subjects
from wattwright.sizing.trials import Trials
from wattwright.units import kelvin_from_celsius
from wattwright.workflow.briefing import brief_of

FIELD_STEP = re.compile(r"([a-z_]+)(?:\[(\d+)\])?")
NOT_A_NUMBER_IN_THE_FILE = {"pack.charger", "pack.module"}
"""Keys that hold a name: the change says which figure the named part must have."""


def hard_job() -> Job:
    """A job in which every consideration has something to say and something to loosen."""
    job = light_job()
    return replace(
        job,
        rides=(
            job_ride(distance=26_000.0, ascent=300.0),
            job_ride(name="hill", distance=11_000.0, ascent=320.0, times_per_week=2.0, months=(11, 12, 1)),
        ),
        drive="lee-direct-400",
        help=0.9,
        charger="kettle-48-8",
        places=(
            JobPlace(name="down tube", free_length=0.260, carrier="sill-rail"),
            JobPlace(name="rack", free_length=0.200, carrier="satchel-bag"),
        ),
        wishes=replace(
            job.wishes, years=7.0, added_mass=12.0, budget=1700.0, one_module_off=True, charge_hours=3600.0
        ),
        storage_temperature=kelvin_from_celsius(20.0),
        region="us-class-1",
    )


def brief_from(job: Job) -> Brief:
    return brief_of(job, Path(), catalogue())[0]


@pytest.fixture(scope="module")
def brief() -> Brief:
    return brief_from(hard_job())


@pytest.fixture(scope="module")
def trials(brief: Brief) -> Trials:
    return Trials(brief)


@pytest.fixture(scope="module")
def considered(trials: Trials) -> list[tuple[Limit, Maker]]:
    """Each limit with all that would move it."""
    makers = considerations(trials, ride_subjects(trials))
    return [(make(Aim(depth=Depth.THOROUGH)), make) for make in makers]


def moved(trials: Trials, limit: Limit, brief: Brief) -> int:
    """The limit's count for another brief."""
    again = trials.changed(brief)
    subjects = ride_subjects(again)
    for subject in subjects:
        if same_season(limit.subject, subject):
            return needed(again, subject) or 25
    same = {made.subject: made for make in considerations(again, subjects) if (made := make(Aim()))}
    if limit.subject not in same:  # the consideration no longer applies: regeneration switched off
        return 0 if limit.side is Side.FLOOR else 99
    return same[limit.subject].modules


def same_season(name: str, subject: Subject) -> bool:
    """The same ride and season, though the years of service may have changed."""
    if subject.wear is None:
        return subject.name == name
    return name.startswith(subject.ride.name + ",") and " of year " in name


def test_every_limit_says_what_would_move_it(considered: list[tuple[Limit, Maker]]) -> None:
    still = [
        limit.subject
        for limit, _ in considered
        if not limit.loosen and limit.modules > (2 if "one module off" in limit.subject else 1)
    ]

    assert still == []


def test_a_change_is_said_for_each_key_there_is(considered: list[tuple[Limit, Maker]]) -> None:
    """So that the test below tries them all."""
    fields = {re.sub(r"\d", "0", change.field) for limit, _ in considered for change in limit.loosen}

    assert fields >= {
        "", "wishes.confidence_pct", "wishes.years", "wishes.added_mass_kg", "wishes.budget",
        "wishes.charge_time_h", "drive.battery_current_limit_a", "drive.regeneration_current_limit_a",
        "drive.help_pct", "places[0].free_length_mm", "pack.charger", "pack.module",
    }  # fmt: skip


def test_a_change_made_in_the_brief_moves_its_limit(
    brief: Brief, trials: Trials, considered: list[tuple[Limit, Maker]]
) -> None:
    for limit, _ in considered:
        for change in limit.loosen:
            if not change.field:
                continue
            made = applied(brief, change)
            assert made is not None
            now = moved(trials, limit, made)
            assert reaches(limit, now, change), (limit.subject, change, now)


def reaches(limit: Limit, now: int, change: Change) -> bool:
    return now <= change.modules if limit.side is Side.FLOOR else now >= change.modules


def test_a_lower_reserve_moves_a_floor_that_stands_on_a_high_one() -> None:
    job = light_job()
    brief = brief_from(replace(job, wishes=replace(job.wishes, reserve=0.45, years=0.0)))
    trials = Trials(brief)
    for subject in ride_subjects(trials):
        count = needed(trials, subject)
        assert count is not None
        changes = cheap_changes(trials, subject, count - 1)
        lower = next(change for change in changes if change.field == "wishes.reserve_pct")
        made = applied(brief, lower)
        assert made is not None
        assert needed(trials.changed(made), subject) == count - 1


def test_a_change_made_in_the_job_file_is_the_same_brief(considered: list[tuple[Limit, Maker]]) -> None:
    tried = 0
    for change in {change for limit, _ in considered for change in limit.loosen}:
        if not change.field or change.field in NOT_A_NUMBER_IN_THE_FILE:
            continue
        table = job_table(hard_job())
        stands = read_key(table, change.field)
        assert stands is None or stands == pytest.approx(change.before)
        write_key(table, change.field, change.after)
        by_file, by_brief = brief_from(job_from(table, "changed")), applied(brief_from(hard_job()), change)
        assert by_brief is not None
        assert by_file.drive.controller == by_brief.drive.controller
        assert by_file.drive.assist.multiple == pytest.approx(by_brief.drive.assist.multiple)
        assert by_file.help == pytest.approx(by_brief.help)
        assert figures(by_file) == pytest.approx(figures(by_brief))
        tried += 1
    assert tried >= 9


def figures(brief: Brief) -> list[float]:
    wishes = brief.wishes
    return [
        wishes.reserve,
        wishes.confidence,
        wishes.years,
        wishes.added_mass or 0.0,
        wishes.budget or 0.0,
        wishes.charge_hours or 0.0,
        *(place.free_length for place in brief.places),
    ]


def read_key(table: dict[str, Any], key: str) -> object:
    here: Any = table
    for name, number in steps_of(key):
        here = here.get(name) if number is None else here[name][number]
    return here


def write_key(table: dict[str, Any], key: str, value: float) -> None:
    here: Any = table
    *steps, (last, _) = steps_of(key)
    for name, number in steps:
        here = here[name] if number is None else here[name][number]
    here[last] = value


def steps_of(key: str) -> list[tuple[str, int | None]]:
    """The steps of a dotted key, with the number in brackets where there is one."""
    found = [FIELD_STEP.fullmatch(step) for step in key.split(".")]
    return [(step[1], int(step[2]) if step[2] else None) for step in found if step]
