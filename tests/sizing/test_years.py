"""The years ahead: ages fall, gentler habits help, and the end of a ride is where the trials say it is."""

from dataclasses import replace

import pytest

from wattwright.errors import InputError
from wattwright.files.catalogue_file import demo_folder, load_catalogue
from wattwright.files.job_file import read_job
from wattwright.sizing.brief import Brief
from wattwright.sizing.service_year import Wear
from wattwright.sizing.set_demand import set_demand
from wattwright.sizing.trials import Trials
from wattwright.sizing.years import FINEST, LONGEST, YearsAhead, charged_to, lasting, years_ahead
from wattwright.workflow.briefing import brief_of


@pytest.fixture(scope="module")
def brief() -> Brief:
    """The longtail's two rides, with few samples."""
    path = demo_folder() / "longtail.toml"
    whole, _ = brief_of(read_job(path), path.parent, load_catalogue(own=()))
    return replace(whole, samples=128)


@pytest.fixture(scope="module")
def ahead(brief: Brief) -> YearsAhead:
    return years_ahead(Trials(brief), 8)


def named(ahead: YearsAhead, words: str):  # noqa: ANN201
    """The course whose title holds these words."""
    return next(course for course in ahead.others if words in course.title)


def test_what_is_left_falls_from_year_to_year_and_the_bound_lies_below(ahead: YearsAhead) -> None:
    rows = ahead.planned.rows
    left = [row.central.capacity_left for row in rows]

    assert left == sorted(left, reverse=True)
    assert left[0] == 1.0
    assert all(row.bound.capacity_left <= row.central.capacity_left for row in rows)
    assert all(row.bound.resistance_risen >= row.central.resistance_risen for row in rows)
    assert ahead.planned.lasting_cautious.years <= ahead.planned.lasting.years


@pytest.mark.parametrize("habit", ["one more", "90 %", "80 %", "cooler shed"])
def test_every_gentler_habit_leaves_more(ahead: YearsAhead, habit: str) -> None:
    gentler = named(ahead, habit)
    for row, planned in zip(gentler.rows[1:], ahead.planned.rows[1:], strict=True):
        assert row.central.capacity_left > planned.central.capacity_left
        assert row.central.resistance_risen < planned.central.resistance_risen


def test_one_more_module_never_ends_a_ride_sooner(ahead: YearsAhead) -> None:
    more = named(ahead, "one more")

    assert more.lasting.years >= ahead.planned.lasting.years
    assert more.full_cycles < ahead.planned.full_cycles


def test_a_charge_ceiling_ages_less_but_starts_with_less(ahead: YearsAhead) -> None:
    """It may well end a ride sooner: the fitter is told both."""
    eighty, ninety = named(ahead, "80 %"), named(ahead, "90 %")

    assert eighty.rows[-1].central.capacity_left > ninety.rows[-1].central.capacity_left
    assert eighty.lasting.years <= ninety.lasting.years


def test_the_end_of_a_ride_is_where_the_trials_put_it(brief: Brief) -> None:
    """Against going through the years one by one."""
    short = charged_to(brief, 0.85)
    wear = Wear(Trials(short))
    found = lasting(wear, 8)
    ride = next(ride for ride in short.rides if ride.name == found.ends_with)

    def possible(years: float) -> bool:
        return wear.trials.arriving(wear.case(ride, 8, years), 8) >= short.wishes.confidence

    assert 0 < found.years < LONGEST
    assert possible(found.years)
    assert not possible(found.years + FINEST)


def test_too_few_modules_are_said_not_to_do_even_new(brief: Brief) -> None:
    found = lasting(Wear(Trials(brief)), 2)

    assert found.years == 0
    assert found.in_words == "not even new"


def test_what_cannot_be_is_refused(brief: Brief) -> None:
    with pytest.raises(InputError, match="modules"):
        years_ahead(Trials(brief), 0)
    with pytest.raises(InputError, match="charge_ceiling_pct"):
        charged_to(brief, 0.0)


def test_a_job_asks_its_set_for_the_currents_of_its_rides(brief: Brief) -> None:
    demand = set_demand(Trials(brief), 8)

    assert demand.highest_current == brief.drive.controller.battery_current_limit
    assert 0 < demand.current < demand.highest_current
    assert demand.bearable_current == brief.battery_module.continuous_discharge_current
