"""The job's own year: what each module gives, and how more modules age more slowly."""

from dataclasses import replace

import pytest

from sizing_examples import light_brief
from wattwright.sizing.service_year import Wear, job_year
from wattwright.sizing.trials import Trials, usual_case


def test_full_cycles_are_the_years_charge_over_capacity() -> None:
    """By hand: median energy over n and nominal voltage, five times a week, 365.25 / 7 weeks."""
    brief = light_brief()
    trials = Trials(brief)
    energy = trials.energy(usual_case(brief, brief.rides[0]), 4)
    each = energy / 4 / brief.battery_module.nominal_voltage

    year = job_year(trials, 4)

    assert year.full_cycles == pytest.approx(each * 5 * 365.25 / 7 / brief.battery_module.capacity, rel=1e-3)
    assert year.depth == pytest.approx(each / brief.battery_module.capacity, rel=1e-6)
    assert year.highest_charge == 1.0


def test_more_modules_share_the_work_and_keep_more_of_their_charge() -> None:
    wear = Wear(Trials(light_brief()))
    left = [wear.ageing(count, 6.0).central.capacity_left for count in (2, 3, 4, 6, 10)]
    cycles = [wear.year(count).full_cycles for count in (2, 3, 4, 6, 10)]

    assert left == sorted(left)
    assert cycles == sorted(cycles, reverse=True)
    assert left[0] < left[-1]


def test_the_bound_never_leaves_more_than_the_estimate() -> None:
    wear = Wear(Trials(light_brief()))
    ride = wear.trials.brief.rides[0]

    for count in (2, 5):
        usual, bound = (wear.case(ride, count, 8.0, cautious=harsh).season for harsh in (False, True))
        assert bound.capacity_left <= usual.capacity_left
        assert bound.resistance_risen >= usual.resistance_risen
        assert usual.title == "January of year 8"


def test_a_ride_never_ridden_wears_nothing_by_cycling() -> None:
    brief = light_brief()
    brief = replace(brief, rides=(replace(brief.rides[0], times_per_week=0.0),))
    wear = Wear(Trials(brief))

    assert wear.year(3).full_cycles == 0.0
    ridden = Wear(Trials(light_brief())).ageing(3, 5.0).central.capacity_left
    assert ridden < wear.ageing(3, 5.0).central.capacity_left < 1.0


def test_a_ride_that_starts_part_full_counts_from_there() -> None:
    brief = light_brief()
    brief = replace(brief, rides=(replace(brief.rides[0], start_charge=0.8),))

    assert Wear(Trials(brief)).year(4).highest_charge == pytest.approx(0.8)
