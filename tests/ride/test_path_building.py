"""From a track to the path: lengths, grades, caps, stops, directions, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from made_tracks import PLANS, START, Plan, faulty_ride, straight_ride, track_along, winding_ride
from wattwright.errors import FileError, InputError
from wattwright.ride.path import RidePath
from wattwright.ride.path_building import (
    LONGEST_DWELL,
    RidingStyle,
    joined_paths,
    path_from_track,
    reversed_path,
)
from wattwright.ride.speed_caps import braked, corner_speed
from wattwright.ride.track import Track
from wattwright.units import FloatArray

LENGTH = 6.0 * 599
ARRAYS = [name for name in RidePath.__slots__ if name != "title"]


def rises(path: RidePath) -> FloatArray:
    """Height gained in each segment."""
    return np.asarray(path.length * np.sin(np.arctan(path.grade)))


def flat_track() -> Track:
    """A track without elevation."""
    return replace(straight_ride(), altitude=np.full(600, np.nan))


def with_pauses(*pauses: tuple[int, float]) -> Track:
    """A straight ride that stands after some points for so many seconds, sampled on."""
    pace = np.full(600, 6.0)
    for point, seconds in reversed(pauses):
        pace = np.insert(pace, point, np.zeros(round(seconds)))
    way = np.concatenate([[0.0], np.cumsum(pace)[:-1]])
    return track_along(way, np.zeros(len(way)), 300.0 + 0.01 * way, time=START + np.arange(float(len(way))))


def test_a_steady_slope_keeps_length_grade_and_heading() -> None:
    built = path_from_track(straight_ride(grade=0.04))

    path = built.path
    assert path.distance == pytest.approx(LENGTH * np.sqrt(1 + 0.04**2), rel=1e-4)
    assert np.ptp(path.length) < 1e-6
    assert path.grade == pytest.approx(0.04, abs=2e-4)
    assert path.heading == pytest.approx(np.pi / 2, abs=1e-3)
    assert built.ascent == pytest.approx(0.04 * LENGTH, abs=3.0)
    assert built.descent == 0.0
    assert built.duration == pytest.approx(599.0)
    assert built.moving_time == pytest.approx(599.0)
    assert np.isnan(built.distance_recorded)


@pytest.mark.parametrize("segment_length", [5.0, 10.0, 37.0, 100.0])
def test_resampling_keeps_the_whole_length(segment_length: float) -> None:
    path = path_from_track(straight_ride(grade=0.0001), segment_length=segment_length).path

    assert path.distance == pytest.approx(LENGTH, rel=1e-4)
    assert path.length == pytest.approx(segment_length, rel=0.06)


def test_a_road_given_as_flat_is_flat_only_on_the_fitters_word() -> None:
    with pytest.raises(FileError, match=r"no elevation that can be used\. Give its ascent.*assume_flat"):
        path_from_track(flat_track())

    built = path_from_track(flat_track(), assume_flat=True)

    assert np.all(built.path.grade == 0.0)
    assert any("on the fitter's word" in note for note in built.notes)
    assert any("no elevation" in repair.what for repair in built.repairs)


def test_a_road_with_heights_is_not_flattened_by_the_word() -> None:
    built = path_from_track(straight_ride(grade=0.04), assume_flat=True)

    assert built.path.grade == pytest.approx(0.04, abs=2e-4)
    assert any("not taken as flat" in note for note in built.notes)


def test_ascent_told_for_a_track_without_elevation_is_climbed() -> None:
    way = 6.0 * np.arange(4000.0)
    track = track_along(way, np.zeros(4000), time=START + np.arange(4000.0))

    built = path_from_track(track, ascent=250.0)

    assert np.maximum(rises(built.path), 0.0).sum() == pytest.approx(250.0, rel=0.01)
    assert rises(built.path).sum() == pytest.approx(0.0, abs=1.0)
    assert any("hills of 250 m" in note for note in built.notes)


def test_ascent_told_for_a_track_with_elevation_is_refused() -> None:
    with pytest.raises(InputError, match="ascent_m"):
        path_from_track(straight_ride(), ascent=100.0)


@pytest.mark.parametrize("segment_length", [0.0, 1.9, 201.0, float("nan")])
def test_absurd_segments_are_refused(segment_length: float) -> None:
    with pytest.raises(InputError, match="segment_length_m"):
        path_from_track(straight_ride(), segment_length=segment_length)


def test_a_track_of_a_few_metres_is_refused() -> None:
    with pytest.raises(FileError, match="only 24 m long"):
        path_from_track(straight_ride(5))


def test_a_handful_of_points_across_a_country_is_refused() -> None:
    way = 30_000.0 * np.arange(6.0)

    with pytest.raises(FileError, match="too few to tell the road"):
        path_from_track(track_along(way, np.zeros(6), 10.0 * np.arange(6.0)))


def test_a_halt_becomes_a_stop_with_its_dwell() -> None:
    built = path_from_track(with_pauses((200, 45.0)))

    assert len(built.stops) == 1
    assert built.stops[0].distance == pytest.approx(1200.0, abs=8.0)
    assert built.stops[0].duration == pytest.approx(45.0, abs=3.0)
    at = int(np.argmax(built.path.dwell))
    assert built.path.speed_cap[at] == 0.0
    assert built.path.dwell[at] == built.stops[0].dwell
    assert built.moving_time == pytest.approx(599.0, abs=3.0)


def test_lunch_is_reported_and_cut_short() -> None:
    built = path_from_track(with_pauses((200, 3600.0), (400, 30.0)))

    assert [stop.dwell for stop in built.stops] == pytest.approx([LONGEST_DWELL, 30.0], abs=3.0)
    assert built.stops[0].duration == pytest.approx(3600.0, abs=3.0)
    assert any("1 pauses longer than 5 min (60 min in all)" in note for note in built.notes)


def test_a_pause_the_device_slept_through_is_a_halt_too() -> None:
    track = straight_ride()
    asleep = replace(track, time=track.time + np.where(np.arange(600) >= 300, 120.0, 0.0))

    built = path_from_track(asleep)

    assert [round(stop.duration) for stop in built.stops] == pytest.approx([120], abs=3)


def test_a_plan_without_times_says_that_stops_are_unknown() -> None:
    built = path_from_track(replace(straight_ride(), time=np.full(600, np.nan)))

    assert built.stops == ()
    assert np.isnan(built.moving_time)
    assert any("no stops are counted" in note for note in built.notes)


def test_the_ride_ends_at_rest_and_brakes_for_it() -> None:
    path = path_from_track(straight_ride(grade=0.0001), style=RidingStyle(braking_deceleration=2.0)).path

    assert path.speed_cap[-1] == 0.0
    assert path.speed_cap[-2] == pytest.approx(np.sqrt(2 * 2.0 * 10.0), rel=0.01)
    assert path.speed_cap[0] == pytest.approx(50.0 / 3.6)


def test_a_bend_is_taken_at_the_lateral_acceleration_of_the_style() -> None:
    """A quarter turn of 20 m radius between straights: √(2.5·20) = 7.1 m/s."""
    step = 2.0
    heading = np.concatenate([np.zeros(200), np.arange(0.0, np.pi / 2, step / 20.0), np.full(200, np.pi / 2)])
    east, north = np.cumsum(step * np.sin(heading)), np.cumsum(step * np.cos(heading))
    track = track_along(east, north, 100.0 + 0.001 * np.arange(len(east)))

    path = path_from_track(track, style=RidingStyle(lateral_acceleration=2.5)).path
    slow = path_from_track(track, style=RidingStyle(lateral_acceleration=0.625)).path

    bend = slice(30, 50)
    assert path.speed_cap[bend].min() == pytest.approx(corner_speed(np.array([20.0]), 2.5)[0], rel=0.25)
    assert slow.speed_cap[bend].min() == pytest.approx(path.speed_cap[bend].min() / 2, rel=0.01)


def test_braking_matches_the_slow_way_of_doing_it() -> None:
    """Reference: from the end backwards, one segment after the other."""
    random = np.random.default_rng(2)
    cap, length = random.uniform(0.0, 15.0, 500), random.uniform(5.0, 15.0, 500)
    expected = cap.copy()
    for i in range(498, -1, -1):
        expected[i] = min(cap[i], np.sqrt(expected[i + 1] ** 2 + 2 * 1.5 * length[i + 1]))

    assert braked(cap, length, 1.5) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("sigma", [0.3, 1.0, 3.0])
def test_noisy_heights_on_a_flat_road_climb_nothing(sigma: float) -> None:
    """The whole way from track to path: no repair may turn noise into steps that stay."""
    way = 6.0 * np.arange(5000.0)
    noise = np.random.default_rng(9).normal(0.0, sigma, 5000)

    built = path_from_track(track_along(way, np.zeros(5000), 300.0 + noise, time=START + np.arange(5000.0)))

    assert built.ascent == 0.0
    assert built.descent == 0.0
    assert np.maximum(rises(built.path), 0.0).sum() < 1.5 * 30.0


def test_no_grade_is_steeper_than_a_road() -> None:
    way = 3.0 * np.arange(600.0)
    cliff = track_along(way, np.zeros(600), 300.0 + 0.6 * way)

    built = path_from_track(cliff)

    assert np.abs(built.path.grade).max() == 0.35
    assert any("steeper than 35%" in repair.what and repair.count > 100 for repair in built.repairs)


def test_there_and_back_doubles_the_road_and_returns_its_height() -> None:
    one_way = path_from_track(with_pauses((200, 45.0)))

    both = path_from_track(with_pauses((200, 45.0)), there_and_back=True)

    assert both.distance == pytest.approx(2 * one_way.distance)
    assert rises(both.path).sum() == pytest.approx(0.0, abs=1e-9)
    assert both.path.speed_cap[one_way.path.segments - 1] == 0.0
    assert [stop.distance for stop in both.stops] == pytest.approx(
        [one_way.stops[0].distance, 2 * one_way.distance - one_way.stops[0].distance]
    )
    for stop in both.stops:
        at = int(np.argmin(np.abs(np.cumsum(both.path.length) - stop.distance)))
        assert both.path.speed_cap[at] == 0.0


def test_the_way_back_is_the_way_there_turned_round() -> None:
    there = path_from_track(winding_ride())
    back = path_from_track(winding_ride(), reverse=True)

    assert (back.ascent, back.descent) == pytest.approx((there.descent, there.ascent))
    assert back.path.length == pytest.approx(there.path.length[::-1])
    assert back.path.grade == pytest.approx(-there.path.grade[::-1])
    assert np.mod(back.path.heading - there.path.heading[::-1], 2 * np.pi) == pytest.approx(np.pi)


def test_a_car_leg_leaves_two_pieces_and_no_cliff() -> None:
    """500 m higher after the car: the path knows the height, but nobody has to ride it."""
    pace = np.concatenate(
        [np.full(600, 6.0), np.zeros(30), np.full(900, 25.0), np.zeros(30), np.full(600, 6.0)]
    )
    way = np.concatenate([[0.0], np.cumsum(pace)[:-1]])
    height = np.interp(np.arange(len(way)), [630, 1530], [300.0, 800.0])
    height = height + 0.01 * np.where(np.arange(len(way)) < 630, way, 0.0)
    built = path_from_track(
        track_along(way, np.zeros(len(way)), height, time=START + np.arange(float(len(way))))
    )

    path = built.path
    assert path.distance == pytest.approx(2 * 3600.0, rel=0.02)
    assert np.abs(path.grade).max() < 0.05
    assert path.altitude[-1] - path.altitude[0] > 450.0
    assert built.ascent < 60.0
    assert np.sum(path.speed_cap == 0.0) >= 2
    assert any("car or train" in repair.what for repair in built.repairs)


def test_a_ride_without_positions_is_straight_and_says_so() -> None:
    nowhere = np.full(600, np.nan)
    track = replace(straight_ride(distance=6.0 * np.arange(600.0)), latitude=nowhere, longitude=nowhere)

    built = path_from_track(track)

    assert np.all(built.path.heading == 0.0)
    assert np.isnan(built.path.latitude).all()
    assert any("no positions" in note for note in built.notes)


@settings(max_examples=40, deadline=None)
@given(pauses=st.lists(st.tuples(st.integers(50, 550), st.floats(8.0, 90.0)), max_size=4))
def test_turning_a_path_round_twice_gives_the_path(pauses: list[tuple[int, float]]) -> None:
    path = path_from_track(with_pauses(*sorted(pauses))).path

    once = reversed_path(path)
    twice = reversed_path(once)

    for name in ARRAYS:
        if name not in {"speed_cap", "heading"}:
            assert np.array_equal(getattr(twice, name), getattr(path, name), equal_nan=True), name
    assert np.mod(twice.heading - path.heading + 1.0, 2 * np.pi) == pytest.approx(1.0)
    assert np.all(twice.speed_cap <= path.speed_cap + 1e-9)
    assert reversed_path(reversed_path(twice)).speed_cap == pytest.approx(twice.speed_cap, abs=1e-9)
    assert rises(once).sum() == pytest.approx(-rises(path).sum())
    assert np.sum(once.speed_cap == 0.0) == np.sum(path.speed_cap == 0.0)


def test_joined_paths_are_as_long_as_their_parts() -> None:
    one, other = path_from_track(straight_ride()).path, path_from_track(winding_ride()).path

    both = joined_paths("to town and on", one, other)

    assert both.distance == pytest.approx(one.distance + other.distance)
    assert both.segments == one.segments + other.segments
    with pytest.raises(InputError, match="paths"):
        joined_paths("nothing")


@settings(max_examples=80, deadline=None)
@given(plan=PLANS, segment_length=st.floats(5.0, 60.0), there_and_back=st.booleans(), reverse=st.booleans())
def test_a_path_is_always_ridable(
    plan: Plan,
    segment_length: float,
    there_and_back: bool,  # noqa: FBT001
    reverse: bool,  # noqa: FBT001
) -> None:
    """Whatever the track's faults: finite, no cliffs, caps that brakes can hold, an end at rest."""
    built = path_from_track(
        faulty_ride(plan),
        segment_length=segment_length,
        there_and_back=there_and_back,
        reverse=reverse,
    )
    path, style = built.path, RidingStyle()

    for name in ("length", "grade", "heading", "altitude", "speed_cap", "dwell", "rolling_factor"):
        assert np.isfinite(getattr(path, name)).all(), name
    assert np.all(path.length > 0.0)
    assert np.all(np.abs(path.grade) <= 0.35)
    assert path.speed_cap[-1] == 0.0
    assert np.all(path.speed_cap <= style.fastest_descent)
    budget = path.speed_cap[1:] ** 2 + 2 * style.braking_deceleration * path.length[1:]
    assert np.all(path.speed_cap[:-1] ** 2 <= budget + 1e-6)
    assert built.ascent - built.descent == pytest.approx(rises(path).sum(), abs=6.5)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("lateral_acceleration", 0.0),
        ("braking_deceleration", -1.0),
        ("fastest_descent", 1e3),
        ("fastest_descent", float("nan")),
    ],
)
def test_no_rider_has_such_a_style(field: str, value: float) -> None:
    with pytest.raises(InputError, match=field):
        RidingStyle(**{field: value})
