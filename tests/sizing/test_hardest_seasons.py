"""A ride is named once in the picture: in the season that presses hardest."""

from dataclasses import replace

from sizing_examples import light_brief
from wattwright.sizing.limits import hardest_seasons
from wattwright.sizing.planner import plan


def test_each_ride_is_named_in_its_hardest_season_alone() -> None:
    worked = plan(light_brief())
    floors = worked.window.floors
    kept = hardest_seasons(floors)

    rides = [limit.ride for limit in kept if limit.ride]
    assert len(rides) == len(set(rides)) < len([limit for limit in floors if limit.ride])
    assert kept[0] is worked.window.floor
    for limit in floors:
        if limit.ride:
            assert next(other for other in kept if other.ride == limit.ride).modules >= limit.modules
        else:
            assert limit in kept


def test_limits_that_belong_to_no_ride_are_never_left_out() -> None:
    floors = tuple(replace(limit, ride="") for limit in plan(light_brief()).window.floors)

    assert hardest_seasons(floors) == floors
