"""Each fault of a recording alone: what is done, how often, where; and all of them together."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from made_tracks import (
    PLANS,
    START,
    WILD_PLANS,
    Plan,
    changed,
    faulty_ride,
    rows_of,
    straight_ride,
    track_along,
    winding_ride,
)
from wattwright.errors import FileError
from wattwright.ride.repair import mended
from wattwright.ride.track import Repair, Track

LENGTH = 6.0 * 599


def said(repairs: tuple[Repair, ...]) -> str:
    """All repairs in one text."""
    return "; ".join(f"{repair.count} {repair.what} {repair.where}" for repair in repairs)


def test_a_sound_ride_is_left_alone() -> None:
    track = straight_ride()

    whole, repairs = mended(track)

    assert repairs == ()
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)
    assert np.array_equal(whole.altitude, track.altitude)
    assert whole.speed == pytest.approx(6.0, rel=3e-3)


def test_repeated_times_are_dropped_and_counted() -> None:
    rows = np.sort(np.append(np.arange(600), [100, 100, 300]))

    whole, repairs = mended(rows_of(straight_ride(), rows))

    assert len(whole.time) == 600
    assert said(repairs).startswith("3 points with a repeated time dropped")
    assert "point 102" in said(repairs)


def test_repeated_points_of_a_plan_are_dropped() -> None:
    plan = replace(straight_ride(), time=np.full(600, np.nan))

    whole, repairs = mended(rows_of(plan, np.repeat(np.arange(600), 2)))

    assert len(whole.latitude) == 600
    assert said(repairs).startswith("600 repeated points dropped")


def test_one_stray_time_costs_one_point() -> None:
    whole, repairs = mended(changed(straight_ride(), "time", 250, START - 900.0))

    assert len(whole.time) == 599
    assert said(repairs) == "1 points with a stray time dropped point 251"


def test_a_few_times_of_another_year_are_filled_in() -> None:
    whole, repairs = mended(changed(straight_ride(), "time", slice(40, 60), START + 7e7))

    assert "20 times of another season left out point 41" in said(repairs)
    assert np.diff(whole.time) == pytest.approx(1.0)


def test_a_counter_that_stumbles_is_left_out() -> None:
    way = 6.0 * np.arange(600.0)
    way[100:104] = 0.0
    way[300:303] = 9e4

    whole, repairs = mended(straight_ride(distance=way))

    assert "7 recorded distances out of order left out" in said(repairs)
    assert np.diff(whole.distance) == pytest.approx(6.0, rel=0.01)


def test_a_counter_set_back_for_a_second_lap_goes_on() -> None:
    way = 6.0 * np.arange(600.0)

    whole, _ = mended(straight_ride(distance=np.where(way < 1800.0, way, way - 1800.0)))

    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)


@pytest.mark.parametrize("jump", [86400.0 * 800, -86400.0 * 800, -30.0])
def test_a_clock_put_right_on_the_way_goes_on_with_the_usual_step(jump: float) -> None:
    track = straight_ride()
    later = np.where(np.arange(600) >= 200, jump, 0.0)

    whole, repairs = mended(replace(track, time=track.time + later))

    assert said(repairs).startswith("1 clock jumps taken out")
    assert np.diff(whole.time) == pytest.approx(1.0)
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)


def test_a_night_between_two_days_is_a_pause_and_no_fault() -> None:
    track = straight_ride()
    night = np.where(np.arange(600) >= 200, 12 * 3600.0, 0.0)

    whole, repairs = mended(replace(track, time=track.time + night))

    assert repairs == ()
    assert whole.time[-1] - whole.time[0] == pytest.approx(599.0 + 12 * 3600.0)


def test_times_that_are_all_the_same_are_left_out() -> None:
    whole, repairs = mended(replace(straight_ride(), time=np.full(600, START)))

    assert np.isnan(whole.time).all()
    assert "times left out" in said(repairs)


def test_a_few_missing_times_are_filled_in() -> None:
    whole, repairs = mended(changed(straight_ride(), "time", slice(50, 60), np.nan))

    assert np.diff(whole.time) == pytest.approx(1.0)
    assert said(repairs) == "10 missing times filled in between their neighbours point 51"


@pytest.mark.parametrize("width", [1, 3, 15])
@pytest.mark.parametrize("timed", [True, False])
def test_a_position_that_leaps_away_and_back_is_taken_out(width: int, timed: bool) -> None:  # noqa: FBT001
    track = straight_ride()
    if not timed:
        track = replace(track, time=np.full(600, np.nan))
    away = changed(track, "latitude", slice(300, 300 + width), track.latitude[0] + 0.02)

    whole, repairs = mended(away)

    assert f"{width} position spikes taken out" in said(repairs)
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)
    assert np.ptp(whole.latitude) < 1e-6


def test_a_tight_hairpin_is_no_spike() -> None:
    """Up one side and down the other, 10 m apart, at full speed."""
    up = 6.0 * np.arange(100)
    east = np.concatenate([np.zeros(100), np.full(100, 10.0)])
    track = track_along(
        east, np.concatenate([up, up[::-1]]), 300.0 + np.arange(200.0) * 0.3, time=np.arange(200.0)
    )

    _, repairs = mended(track)

    assert repairs == ()


def test_positions_off_the_globe_and_in_the_gulf_are_left_out() -> None:
    track = changed(straight_ride(), "latitude", 10, 95.0)
    track = changed(changed(track, "latitude", 20, 0.0), "longitude", 20, 0.0)

    whole, repairs = mended(track)

    assert "2 positions off the globe left out point 11" in said(repairs)
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)


def test_missing_positions_follow_the_recorded_distance() -> None:
    """Half of the hole is stood out: its points lie where the wheel says, not where the clock says."""
    time = np.arange(600.0)
    way = 6.0 * np.where(time < 200, time, np.where(time < 260, 200.0, time - 60.0))
    track = track_along(way, np.zeros(600), 300.0 + 0.01 * way, time=START + time, distance=way)
    for column in ("latitude", "longitude"):
        track = changed(track, column, slice(190, 280), np.nan)

    whole, repairs = mended(track)

    assert "90 missing positions filled in" in said(repairs)
    assert whole.longitude[230] == pytest.approx(
        whole.longitude[0] + (track.longitude[599] - track.longitude[0]) * 1200.0 / way[-1], abs=2e-6
    )


def test_an_odometer_that_lags_and_leaps_is_spread_over_time() -> None:
    way = 6.0 * np.arange(600.0)
    lagging = way.copy()
    lagging[200:280] = way[199]
    track = changed(straight_ride(distance=lagging), "latitude", slice(200, 280), np.nan)

    whole, repairs = mended(changed(track, "longitude", slice(200, 280), np.nan))

    assert "80 points whose distance stood still before it caught up" in said(repairs)
    assert np.diff(whole.distance) == pytest.approx(6.0, rel=0.01)
    assert np.diff(whole.longitude).max() < 2 * np.diff(whole.longitude).mean()


def test_wheel_distance_is_believed_where_positions_wander() -> None:
    """Two metres of noise a second make a walk of a ride; the wheel knows better."""
    random = np.random.default_rng(4)
    way = 6.0 * np.arange(600.0)
    track = track_along(
        way, random.normal(0.0, 1.0, 600), 300.0 + 0.02 * way, time=START + np.arange(600.0), distance=way
    )

    whole, _ = mended(track)

    assert whole.distance[-1] == pytest.approx(LENGTH)


def test_a_recorded_distance_out_of_step_with_the_positions_is_set_aside() -> None:
    whole, repairs = mended(straight_ride(distance=6.0 * 1.4 * np.arange(600.0)))

    assert "recorded distance (5.0 km) set aside for that of the positions (3.6 km)" in said(repairs)
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)


def test_a_device_that_stands_still_and_reports_speed_is_refused() -> None:
    still = track_along(
        np.zeros(600), np.zeros(600), 300.0, time=START + np.arange(600.0), speed=np.full(600, 8.3)
    )

    with pytest.raises(FileError, match=r"contradict each other: 5\.0 km by speed, 0\.0 km by position"):
        mended(still)


def test_drift_of_a_standing_rider_is_no_distance() -> None:
    """Ten minutes at a café, the position wandering by 2 m within half a minute: no distance to speak of."""
    random = np.random.default_rng(8)
    way = np.concatenate([6.0 * np.arange(300.0), np.full(600, 6.0 * 300), 6.0 * np.arange(300.0, 600.0)])
    wander = np.where(np.abs(np.arange(1200) - 600) < 300, 1.0, 0.0)
    slow = np.convolve(random.normal(0.0, 2.0, 1231), np.ones(32) / np.sqrt(32.0), mode="valid")[:1200]
    track = track_along(
        way + wander * slow, wander * slow[::-1], 300.0 + 0.01 * way, time=START + np.arange(1200.0)
    )

    whole, _ = mended(track)

    assert whole.distance[-1] == pytest.approx(LENGTH, rel=0.01)


def test_a_gap_is_bridged_and_said() -> None:
    rows = np.concatenate([np.arange(200), np.arange(350, 600)])

    whole, repairs = mended(rows_of(straight_ride(), rows))

    assert said(repairs).startswith("1 gaps of more than 200 m bridged by a straight line (0.9 km in all)")
    assert "point 201" in said(repairs)
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)
    assert whole.segment[-1] == 0.0


def test_a_gap_crossed_by_train_is_cut_out() -> None:
    """20 km in ten minutes without recording."""
    track = straight_ride()
    east = np.where(np.arange(600) >= 300, 20_000.0, 0.0) + 6.0 * np.arange(600.0)
    pause = np.where(np.arange(600) >= 300, 600.0, 0.0)
    jumped = track_along(east, np.zeros(600), track.altitude, time=track.time + pause)

    whole, repairs = mended(jumped)

    assert "1 stretches travelled without recording left out" in said(repairs)
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=5e-3)
    assert whole.segment[-1] == 1.0


def car_leg(speed: float = 22.0, *, grade: float = 0.0) -> Track:
    """Twenty minutes by bicycle, ten by car with a start and a stop, twenty by bicycle."""
    ride = np.full(1200, 6.0)
    stand = np.zeros(60)
    drive = np.concatenate([np.linspace(0.0, speed, 15), np.full(570, speed), np.linspace(speed, 0.0, 15)])
    pace = np.concatenate([ride, stand, drive, stand, ride])
    way = np.concatenate([[0.0], np.cumsum(pace)[:-1]])
    slope = np.concatenate([np.full(1260, 0.005), np.full(600, grade), np.full(1260, 0.005)])
    height = 300.0 + np.concatenate([[0.0], np.cumsum(pace * slope)[:-1]])
    return track_along(way, np.zeros(len(way)), height, time=START + np.arange(float(len(way))))


@pytest.mark.parametrize(("speed", "grade"), [(22.0, 0.0), (30.0, 0.0), (14.0, 0.08)])
def test_a_car_leg_is_cut_out_from_stop_to_stop(speed: float, grade: float) -> None:
    whole, repairs = mended(car_leg(speed, grade=grade))

    assert said(repairs).startswith("1 legs by car or train cut out")
    assert whole.distance[-1] == pytest.approx(2 * 7200.0, rel=0.02)
    assert whole.segment[-1] == 1.0
    assert whole.speed.max() < 8.0


@pytest.mark.parametrize(("speed", "grade"), [(12.5, 0.0), (20.0, -0.08), (5.0, 0.12)])
def test_a_fast_drive_a_long_descent_and_a_steep_climb_are_left_in(speed: float, grade: float) -> None:
    """45 km/h on the flat, 72 km/h down 8 %, 18 km/h up 12 % with a strong drive."""
    whole, repairs = mended(car_leg(speed, grade=grade))

    assert "car" not in said(repairs)
    assert whole.distance[-1] == pytest.approx(2 * 7200.0 + speed * 585, rel=0.01)


def test_a_drive_that_is_no_ride_at_all_is_refused() -> None:
    with pytest.raises(FileError, match="faster or harder than any bicycle"):
        mended(straight_ride(pace=25.0))


@pytest.mark.parametrize(("speed", "cut"), [(20.0, False), (28.0, True)])
def test_without_heights_only_a_very_fast_leg_is_cut(speed: float, cut: bool) -> None:  # noqa: FBT001
    track = car_leg(speed)
    _, repairs = mended(replace(track, altitude=np.full(len(track.time), np.nan)))

    assert ("car" in said(repairs)) is cut


def test_missing_heights_are_filled_and_counted() -> None:
    track = straight_ride()

    whole, repairs = mended(changed(track, "altitude", slice(100, 150), np.nan))

    assert "50 missing heights filled in" in said(repairs)
    assert whole.altitude == pytest.approx(track.altitude, abs=0.01)


@pytest.mark.parametrize("altitude", [0.0, 192.0, np.nan])
def test_one_height_for_all_is_no_elevation(altitude: float) -> None:
    whole, repairs = mended(replace(straight_ride(), altitude=np.full(600, altitude)))

    assert np.isnan(whole.altitude).all()
    assert "no elevation" in said(repairs)


def test_too_many_missing_heights_are_not_made_up() -> None:
    whole, repairs = mended(changed(straight_ride(), "altitude", slice(100, 320), np.nan))

    assert np.isnan(whole.altitude).all()
    assert "too few heights to go by" in said(repairs)


def test_zeros_before_the_sensor_wakes_are_left_out() -> None:
    whole, repairs = mended(changed(straight_ride(), "altitude", slice(0, 30), 0.0))

    assert "30 heights of zero left out" in said(repairs)
    assert whole.altitude.min() > 299.0


def test_a_ride_along_the_sea_keeps_its_zeros() -> None:
    track = straight_ride()
    sea = np.maximum(np.round(3.0 * np.sin(track.time / 40.0)), 0.0)

    whole, repairs = mended(replace(track, altitude=sea))

    assert repairs == ()
    assert np.array_equal(whole.altitude, sea)


def test_height_spikes_are_taken_out() -> None:
    track = changed(straight_ride(), "altitude", slice(200, 203), 900.0)

    whole, repairs = mended(track)

    assert "3 height spikes taken out" in said(repairs)
    assert whole.altitude.max() < 300.0 + 0.02 * LENGTH + 1.0


def test_a_sensor_put_right_on_the_way_is_a_step_taken_out() -> None:
    track = straight_ride()
    step = np.where(np.arange(600) >= 250, 40.0, 0.0)

    whole, repairs = mended(replace(track, altitude=track.altitude + step))

    assert "sudden steps of height taken out" in said(repairs)
    assert np.ptp(whole.altitude) == pytest.approx(0.02 * LENGTH, abs=1.0)


def test_a_lift_is_no_climb() -> None:
    """Standing for a minute while the height falls by 20 m."""
    pace = np.where(np.abs(np.arange(600) - 300) < 30, 0.0, 6.0)
    way = np.concatenate([[0.0], np.cumsum(pace)[:-1]])
    fall = np.interp(np.arange(600.0), [272.0, 328.0], [0.0, -20.0])
    track = track_along(way, np.zeros(600), 300.0 + fall, time=START + np.arange(600.0))

    whole, repairs = mended(track)

    assert "height drifted while standing" in said(repairs)
    assert np.ptp(whole.altitude) < 2.0


def test_a_power_spike_is_left_out() -> None:
    track = changed(straight_ride(power=np.full(600, 180.0)), "power", 77, 21_733.0)

    whole, repairs = mended(track)

    assert said(repairs) == "1 power below 0 W or above 2500 W left out point 78"
    assert np.isnan(whole.power[77])
    assert np.nanmax(whole.power) == 180.0


def test_infinite_and_absurd_values_are_left_out() -> None:
    track = straight_ride(temperature=np.full(600, 288.0), speed=np.full(600, 6.0))
    for column, value in (
        ("altitude", np.inf),
        ("temperature", 900.0),
        ("speed", -np.inf),
        ("latitude", np.inf),
    ):
        track = changed(track, column, 30, value)

    whole, repairs = mended(track)

    assert len(repairs) >= 4
    assert np.isfinite(whole.altitude).all()
    assert np.isnan(whole.temperature[30])
    assert np.isfinite(whole.speed).all()


def test_a_virtual_ride_is_refused_with_a_way_out() -> None:
    with pytest.raises(FileError, match=r"simulator.*give distance and ascent"):
        mended(replace(straight_ride(), is_virtual=True))


@pytest.mark.parametrize("points", [0, 1, 2])
def test_too_few_points_are_refused(points: int) -> None:
    with pytest.raises(FileError, match="point"):
        mended(rows_of(straight_ride(), np.arange(points)))


def test_nothing_to_tell_distance_by_is_refused() -> None:
    track = straight_ride()
    nowhere = np.full(600, np.nan)

    with pytest.raises(FileError, match="neither position nor distance nor speed"):
        mended(replace(track, latitude=nowhere, longitude=nowhere))


def test_a_ride_without_positions_has_the_wheel_to_go_by() -> None:
    nowhere = np.full(600, np.nan)
    indoors = replace(straight_ride(distance=6.0 * np.arange(600.0)), latitude=nowhere, longitude=nowhere)

    whole, repairs = mended(indoors)

    assert whole.distance[-1] == pytest.approx(LENGTH)
    assert "no positions" in said(repairs)


def test_a_ride_with_speed_alone_is_integrated() -> None:
    nowhere = np.full(600, np.nan)
    blind = replace(straight_ride(speed=np.full(600, 6.0)), latitude=nowhere, longitude=nowhere)

    whole, repairs = mended(blind)

    assert whole.distance[-1] == pytest.approx(LENGTH)
    assert "distance worked out from recorded speed" in said(repairs)


def test_the_date_line_is_no_leap() -> None:
    track = straight_ride()
    far = track.longitude - track.longitude[300] + 180.0
    across = replace(track, longitude=np.where(far > 180.0, far - 360.0, far))

    whole, repairs = mended(across)

    assert repairs == ()
    assert whole.distance[-1] == pytest.approx(LENGTH, rel=2e-3)


@settings(max_examples=150, deadline=None)
@given(plan=WILD_PLANS)
def test_nothing_unfinished_leaves_the_bench(plan: Plan) -> None:
    """Whatever the faults: all or nothing in each column, times rise, distance never falls, or a refusal."""
    try:
        whole, repairs = mended(faulty_ride(plan))
    except FileError:
        return

    for column in (whole.latitude, whole.longitude, whole.altitude, whole.time):
        assert np.isfinite(column).all() or np.isnan(column).all()
    assert np.isfinite(whole.distance).all()
    assert whole.distance[0] == 0.0
    assert np.all(np.diff(whole.distance) >= 0.0)
    assert np.isnan(whole.time).all() or np.all(np.diff(whole.time) > 0.0)
    assert np.isfinite(whole.speed).all() or np.isnan(whole.time).all()
    assert not np.any(np.isinf(whole.power))
    assert all(repair.count > 0 and repair.where for repair in repairs)


@settings(max_examples=150, deadline=None)
@given(plan=PLANS)
def test_mending_twice_changes_nothing_more(plan: Plan) -> None:
    try:
        once, _ = mended(faulty_ride(plan))
    except FileError:
        return

    twice, repairs = mended(once)

    assert len(twice.time) == len(once.time), said(repairs)
    assert twice.distance == pytest.approx(once.distance, abs=1e-6), said(repairs)
    assert np.array_equal(twice.altitude, once.altitude, equal_nan=True), said(repairs)
    assert np.array_equal(twice.time, once.time, equal_nan=True), said(repairs)


def test_the_given_track_is_not_touched() -> None:
    track = changed(winding_ride(), "altitude", 40, 5000.0)
    before = track.altitude.copy()

    mended(track)

    assert np.array_equal(track.altitude, before)
