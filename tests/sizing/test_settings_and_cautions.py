"""What goes into the controller, and what must be said before anybody rides."""

from dataclasses import replace

import pytest

from sizing_examples import catalogue, light_brief, with_limit
from wattwright.sizing.advice import ALWAYS, cautions
from wattwright.sizing.brief import Brief
from wattwright.sizing.planner import plan
from wattwright.sizing.settings import limit_to_set, sag, settings
from wattwright.sizing.subjects import ride_subjects
from wattwright.sizing.trials import Trials, usual_case
from wattwright.units import kelvin_from_celsius


def values(brief: Brief, modules: int) -> dict[str, float]:
    trials = Trials(brief)
    return {row.what: row.value.value for row in settings(trials, ride_subjects(trials), modules)}


@pytest.mark.parametrize(
    ("controller", "modules", "cable", "by_hand"), [(15, 4, 22, 15), (30, 2, 42, 20), (40, 6, 22, 22)]
)
def test_the_current_limit_is_the_smallest_of_controller_modules_and_lead(
    controller: float, modules: int, cable: float, by_hand: float
) -> None:
    brief = with_limit(light_brief(), controller)
    brief = replace(brief, cable=replace(brief.cable, maximum_current=cable))

    assert limit_to_set(brief, modules) == by_hand
    assert values(brief, modules)["battery current limit"] == by_hand


@pytest.mark.parametrize(("modules", "rest"), [(1, 0.0), (2, 10.0), (3, 15.0)])
def test_the_limit_with_one_module_off_is_always_answered(modules: int, rest: float) -> None:
    """By hand: 15 A wished; the others give 10 A each for good."""
    assert values(light_brief(), modules)["the same while one module is off"] == rest


def test_help_fades_a_sag_above_the_cut_off_and_more_modules_sag_less() -> None:
    brief = light_brief()
    trials = Trials(brief)
    season = ride_subjects(trials)[0].at(4).season
    rows = values(brief, 6)

    band = rows["low-voltage roll-back begins"] - rows["low-voltage cut-off"]
    worn = ride_subjects(trials)[0].at(6).season
    assert band == pytest.approx(sag(brief, 6, worn))
    assert sag(brief, 4, season) > sag(brief, 8, season)
    assert rows["low-voltage cut-off"] == max(
        brief.drive.controller.cutoff_voltage, brief.battery_module.minimum_voltage
    )


def test_the_sag_is_current_over_resistance_at_room_temperature_when_new() -> None:
    """By hand: 15 A / 4 through (0.495 + 0.104 Ω) times their rise at 10 % charge."""
    brief = light_brief()
    season = replace(usual_case(brief, brief.rides[0]).season, temperature=kelvin_from_celsius(25.0))

    by_hand = 15 / 4 * (0.495 + 0.104)
    assert by_hand < sag(brief, 4, season) < 2.5 * by_hand


def test_a_lower_level_of_assistance_is_a_setting() -> None:
    assert "level of assistance" not in values(light_brief(), 3)
    assert values(replace(light_brief(), help=0.7), 3)["level of assistance"] == pytest.approx(70.0)


def test_regeneration_is_limited_to_what_full_modules_bear() -> None:
    brief = replace(light_brief(), drive=catalogue().drive("lee-direct-400"))

    few, many = values(brief, 2)["regeneration limit"], values(brief, 12)["regeneration limit"]
    assert 0.0 < few < many <= 8.0
    assert values(light_brief(), 2)["regeneration limit"] == 0.0


def test_the_usual_cautions_are_always_there_and_the_jobs_own_come_first() -> None:
    brief = with_limit(light_brief(), 15.0)

    said = cautions(brief, 2, ())

    assert said[-len(ALWAYS) :] == ALWAYS
    assert any("others carry at most 10 A" in sentence for sentence in said[: -len(ALWAYS)])
    assert not any("others carry" in sentence for sentence in cautions(brief, 3, ()))
    assert any("single module" in sentence for sentence in cautions(brief, 1, ()))


def test_cold_beyond_the_module_and_charging_in_the_cold_are_said() -> None:
    brief = replace(light_brief(), charge_temperature=kelvin_from_celsius(-4.0))
    months = tuple(replace(month, temperature=kelvin_from_celsius(-19.0)) for month in brief.climate.months)
    said = " ".join(cautions(replace(brief, climate=replace(brief.climate, months=months)), 3, ()))

    assert "the module may be discharged" in said
    assert "must not be charged below 0 °C" in said


def test_a_ride_on_which_help_is_held_back_says_so() -> None:
    short = plan(light_brief(distance=60_000.0, ascent=900.0))
    trials = Trials(short.brief)
    subject = ride_subjects(trials)[0]
    outcome = trials.outcome(subject.at(2), 2)
    answer = replace(short.answers[0], outcome=outcome, time=float(outcome.time.mean()))

    assert any("less help than asked" in sentence for sentence in cautions(short.brief, 2, (answer,)))
