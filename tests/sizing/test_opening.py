"""An empty window: each set of changes that is said to open it does, planned again from the job."""

from dataclasses import replace
from itertools import pairwise

import pytest

from sizing_examples import light_brief, limits_of, wishing
from wattwright.sizing.applied import applied
from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass
from wattwright.sizing.considerations import considerations
from wattwright.sizing.limits import Aim, window
from wattwright.sizing.opening import EFFORT, Opening, opening_sentences, openings
from wattwright.sizing.planner import plan
from wattwright.sizing.subjects import ride_subjects
from wattwright.sizing.trials import Trials


def narrow(brief: Brief, length: float) -> Brief:
    """Room for fewer modules than the rides ask for."""
    return replace(brief, places=(replace(brief.places[0], free_length=length),))


def found(brief: Brief) -> tuple[Opening, ...]:
    trials = Trials(brief)
    subjects = ride_subjects(trials)
    return openings(trials, subjects, [(make(Aim()), make) for make in considerations(trials, subjects)])


def planned_again(brief: Brief, opening: Opening) -> tuple[bool, int]:
    for change in opening.changes:
        made = applied(brief, change)
        assert made is not None
        brief = made
    joined = window(list(limits_of(brief).values()))
    return joined.is_open, joined.floor.modules


@pytest.mark.parametrize("length", [0.104 + 0.042, 0.104 + 2 * 0.042])
def test_each_opening_opens_when_planned_again(length: float) -> None:
    brief = narrow(light_brief(distance=24_000.0, ascent=260.0), length)
    sets = [one for one in found(brief) if all(change.field for change in one.changes)]
    assert sets

    for opening in sets:
        assert planned_again(brief, opening) == (True, opening.count), opening


def test_two_changes_are_said_where_no_single_one_opens() -> None:
    """Room and mass both stand below the rides' floor: only one of each together opens."""
    whole = light_brief(distance=24_000.0, ascent=260.0)
    brief = wishing(narrow(whole, 0.104 + 0.042), added_mass=added_mass(whole, 1) + 0.05, confidence=0.95)

    sets = found(brief)

    assert sets
    by_room_and_mass = [
        one for one in sets
        if {change.field for change in one.changes} == {"places[0].free_length_mm", "wishes.added_mass_kg"}
    ]  # fmt: skip
    assert by_room_and_mass
    alone = [one for one in sets if len(one.changes) == 1]
    assert all(one.changes[0].field.startswith(("drive", "wishes.reserve", "")) for one in alone)
    for opening in by_room_and_mass:
        assert planned_again(brief, opening) == (True, opening.count)


def test_the_fewest_changes_come_first_and_none_contains_another() -> None:
    sets = found(narrow(light_brief(distance=24_000.0, ascent=260.0), 0.104 + 0.042))

    assert all(len(one.changes) <= len(other.changes) for one, other in pairwise(sets))
    for one in sets:
        assert not any(set(other.changes) < set(one.changes) for other in sets)


def test_a_plan_with_an_empty_window_says_how_to_open_it() -> None:
    worked = plan(narrow(light_brief(distance=24_000.0, ascent=260.0), 0.104 + 0.042))

    assert worked.chosen is None
    assert worked.shown == worked.window.floor.modules
    assert worked.opening
    assert all(sentence.endswith("will do.") for sentence in worked.opening)
    assert any("do not fit yet" in caution for caution in worked.cautions)


def test_a_window_that_nothing_opens_says_so() -> None:
    worked = plan(light_brief(distance=900_000.0, ascent=2000.0))

    assert worked.chosen is None
    assert worked.opening == opening_sentences(())
    assert worked.shown <= worked.window.ceiling.modules


def test_every_key_of_a_change_has_its_effort() -> None:
    assert len(set(EFFORT)) == len(EFFORT)
