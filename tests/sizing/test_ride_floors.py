"""Ride floors: what they promise holds, and harder rides never ask for less."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sizing_examples import light_brief, limits_of, wishing
from wattwright.sizing.brief import Brief
from wattwright.sizing.limits import Aim
from wattwright.sizing.ride_floors import guessed, needed, needed_cautiously, ride_floor, rides_in_words
from wattwright.sizing.subjects import hardest_subjects, ride_subjects
from wattwright.sizing.trials import Trials

FEW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def floors(brief: Brief) -> dict[str, int]:
    """Each season's floor."""
    trials = Trials(brief)
    return {subject.name: needed(trials, subject) or 25 for subject in ride_subjects(trials)}


def test_the_floor_keeps_the_promise_and_one_module_less_does_not() -> None:
    brief = light_brief()
    trials = Trials(brief)

    for subject in ride_subjects(trials):
        count = needed(trials, subject)
        assert count is not None
        assert trials.arriving(subject.at(count), count) >= brief.wishes.confidence
        assert count > 1
        assert trials.arriving(subject.at(count - 1), count - 1) < brief.wishes.confidence


def test_seasons_are_last_year_coldest_month_and_the_mean_of_the_months() -> None:
    names = [subject.name for subject in ride_subjects(Trials(light_brief()))]

    assert names == ["shop, January of year 5", "shop, January", "shop, usual weather"]


def test_a_ride_of_one_month_has_no_coldest_month_of_its_own_and_no_years_no_last_year() -> None:
    brief = wishing(light_brief(), years=0.0)
    brief = replace(brief, rides=(replace(brief.rides[0], months=(7,)),))

    assert [subject.name for subject in ride_subjects(Trials(brief))] == ["shop, usual weather"]


def test_the_hardest_subject_of_a_ride_is_its_first() -> None:
    assert [one.name for one in hardest_subjects(Trials(light_brief()))] == ["shop, January of year 5"]


def test_colder_and_worn_never_ask_for_less() -> None:
    worn, cold, usual = floors(light_brief()).values()

    assert worn >= cold >= usual


@FEW
@given(reserve=st.floats(0.0, 0.5), more=st.floats(0.0, 0.3))
def test_a_higher_reserve_never_lowers_a_floor(reserve: float, more: float) -> None:
    low = floors(wishing(light_brief(), reserve=reserve, years=0.0))
    high = floors(wishing(light_brief(), reserve=reserve + more, years=0.0))

    assert all(high[name] >= low[name] for name in low)


@FEW
@given(confidence=st.floats(0.5, 0.9), more=st.floats(0.0, 0.09))
def test_a_higher_confidence_never_lowers_a_floor(confidence: float, more: float) -> None:
    low = floors(wishing(light_brief(), confidence=confidence, years=0.0))
    high = floors(wishing(light_brief(), confidence=confidence + more, years=0.0))

    assert all(high[name] >= low[name] for name in low)


@FEW
@given(years=st.floats(0.5, 10.0), more=st.floats(0.0, 8.0))
def test_more_years_never_lower_the_last_years_floor(years: float, more: float) -> None:
    few, many = wishing(light_brief(), years=years), wishing(light_brief(), years=years + more)

    assert max(floors(many).values()) >= max(floors(few).values())


@FEW
@given(colder=st.floats(0.0, 15.0))
def test_a_colder_place_never_lowers_a_floor(colder: float) -> None:
    brief = wishing(light_brief(), years=0.0)
    months = tuple(replace(month, temperature=month.temperature - colder) for month in brief.climate.months)
    cold = replace(brief, climate=replace(brief.climate, months=months))

    warm_floors, cold_floors = floors(brief), floors(cold)
    assert all(cold_floors[name] >= warm_floors[name] for name in warm_floors)


def test_the_harshest_ageing_model_never_asks_for_fewer_and_is_said_where_it_asks_for_more() -> None:
    brief = wishing(light_brief(distance=22_000.0, ascent=200.0), years=8.0)
    trials = Trials(brief)
    worn = ride_subjects(trials)[0]
    found = needed(trials, worn)
    assert found is not None
    cautious = needed_cautiously(trials, worn, found)
    assert cautious is not None
    assert cautious > found

    limit = ride_floor(trials, worn, found, Aim(), cautious)

    assert "By the harshest ageing model it would be" in limit.because
    ageing = limit.working.steps[-1]
    assert {value.symbol for value in ageing.values} >= {"z", "D", "C", "k_bound", "n_bound"}
    assert len(ageing.steps) >= 3  # each published model with its own source
    assert all(step.source.text for step in ageing.steps)


def test_a_ride_that_no_pack_finishes_is_unreachable_and_says_so() -> None:
    limits = limits_of(light_brief(distance=700_000.0, ascent=1000.0))
    limit = limits["shop, usual weather"]

    assert not limit.reachable
    assert limit.modules == 25
    assert limit.because.startswith("Even with 24 modules hardly any finish")


def test_help_that_fades_is_no_arrival() -> None:
    """A pack that is too short fades out at some per cent: the rider comes home with charge, but alone."""
    brief = wishing(light_brief(distance=30_000.0, ascent=300.0), reserve=0.01, years=0.0)
    trials = Trials(brief)
    cold = ride_subjects(trials)[0]

    assert trials.with_reserve(cold.at(1), 1) > 0.8
    assert trials.arriving(cold.at(1), 1) < 0.05


def test_the_first_guess_is_near() -> None:
    trials = Trials(light_brief())

    for subject in ride_subjects(trials):
        assert guessed(trials, subject) == pytest.approx(needed(trials, subject), abs=1)


def test_the_margin_stands_at_the_count_shown() -> None:
    trials = Trials(light_brief())
    subject = ride_subjects(trials)[1]

    limit = ride_floor(trials, subject, needed(trials, subject), Aim(shown=7))

    assert dict(limit.at_count)[7].value == pytest.approx(100.0 * trials.arriving(subject.at(7), 7))


def test_a_share_of_rides_promises_no_more_than_the_samples() -> None:
    assert rides_in_words(0.8999) == "89 rides in a hundred"
    assert rides_in_words(0.994) == "99 rides in a hundred"
    assert rides_in_words(1.0) == "nearly all rides"
