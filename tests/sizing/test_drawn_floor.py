"""Current as actually drawn, against the module's own protection points."""

from dataclasses import replace

import pytest

from sizing_examples import light_brief, limits_of, wishing, with_limit, with_module
from wattwright.parts.battery_module import ProtectionPoint
from wattwright.sizing.drawn_floor import bearable_count, hardest_by_current, peak
from wattwright.sizing.subjects import ride_subjects
from wattwright.sizing.trials import Trials


def test_a_module_that_bears_little_wants_company() -> None:
    """Every module lets go above 4 A for a second: the ride's peak shared among n must stay below."""
    brief = with_module(
        light_brief(),
        continuous_discharge_current=4.0,
        discharge_protection=(ProtectionPoint(current=4.0, duration=1.0),),
    )
    trials = Trials(brief)
    hardest = hardest_by_current(trials, ride_subjects(trials), 6)

    found = bearable_count(trials, hardest)

    assert found is not None
    assert found > 1
    for subject in hardest:
        assert trials.without_trip(subject.at(found), found) >= brief.wishes.confidence
    fewer = [trials.without_trip(subject.at(found - 1), found - 1) for subject in hardest]
    assert min(fewer) < brief.wishes.confidence


def test_as_drawn_never_asks_for_more_than_the_nameplate() -> None:
    for controller in (8.0, 15.0, 30.0):
        limits = limits_of(with_limit(light_brief(), controller))
        assert limits["current as drawn"].modules <= limits["controller current"].modules


def test_one_module_off_is_ridden_with_its_mass_aboard_and_its_current_missing() -> None:
    trials = Trials(light_brief())
    subject = ride_subjects(trials)[0]
    case = subject.at(4)

    whole, short = trials.outcome(case, 4), trials.outcome(case, 4, off=1)

    assert (whole.modules, short.modules) == (4, 3)
    assert short.charge_left.mean() < whole.charge_left.mean()
    lone = trials.outcome(case, 3)  # the same case, so as old; lighter by a module
    assert short.energy.rolling.mean() > lone.energy.rolling.mean()


def test_with_one_off_the_floor_is_higher_by_one_or_the_same_but_never_lower() -> None:
    limits = limits_of(wishing(light_brief(), one_module_off=True))

    assert limits["current as drawn, one module off"].modules > limits["current as drawn"].modules - 1
    assert limits["one module off"].modules == limits["controller current"].modules + 1


def test_one_more_module_never_raises_the_current_of_another() -> None:
    trials = Trials(light_brief())
    for subject in ride_subjects(trials):
        each = [peak(trials, subject, count) / count for count in range(3, 9)]
        assert each == sorted(each, reverse=True)


def test_working_shows_each_protection_point_and_how_long_it_was_passed() -> None:
    limit = limits_of(light_brief())["current as drawn"]
    points = light_brief().battery_module.discharge_protection

    assert [step.result.value for step in limit.working.steps] == [point.duration for point in points]
    for step in limit.working.steps:
        assert step.values[0].value <= step.result.value


@pytest.mark.parametrize("confidence", [0.6, 0.95])
def test_the_hardest_by_current_comes_first(confidence: float) -> None:
    brief = wishing(light_brief(), confidence=confidence)
    trials = Trials(replace(brief))
    subjects = ride_subjects(trials)

    hardest = hardest_by_current(trials, subjects, 4)

    assert peak(trials, hardest[0], 4) == max(peak(trials, subject, 4) for subject in subjects)
