"""A recorded ride at its own time steps."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings

from made_tracks import WILD_PLANS, Plan, faulty_ride, rows_of, straight_ride, winding_ride
from wattwright.errors import FileError
from wattwright.ride.recorded import recorded_ride


def test_a_steady_ride_keeps_its_speed_grade_and_heading() -> None:
    ride = recorded_ride(straight_ride(grade=0.03, power=np.full(600, 210.0)))

    assert ride.samples == 600
    assert ride.speed == pytest.approx(6.0, rel=1e-3)
    assert ride.grade == pytest.approx(0.03, abs=1e-3)
    assert ride.heading == pytest.approx(np.pi / 2, abs=1e-3)
    assert ride.altitude == pytest.approx(ride.recorded_altitude, abs=0.05)
    assert ride.time[0] == 0.0
    assert np.sum(ride.step) == pytest.approx(ride.time[-1])
    assert ride.moving[1:].all()
    assert np.all(ride.piece == 0)
    assert ride.has_power


def test_height_over_the_ride_is_the_integral_of_its_grade() -> None:
    ride = recorded_ride(winding_ride(1500))

    climbed = np.sum(0.5 * (ride.grade[1:] + ride.grade[:-1]) * np.diff(ride.distance))

    assert climbed == pytest.approx(ride.altitude[-1] - ride.altitude[0], abs=0.3)


def test_a_gap_begins_a_new_piece_and_is_not_riding() -> None:
    ride = recorded_ride(rows_of(straight_ride(), np.r_[0:200, 300:600]))

    assert ride.piece[199] == 0
    assert ride.piece[200] == 1
    assert not ride.moving[200]
    assert ride.moving[1:200].all()
    assert ride.step[200] == pytest.approx(101.0)


def test_standing_is_not_moving() -> None:
    still = np.where(np.abs(np.arange(600) - 300) < 50, 0.0, 6.0)
    way = np.concatenate([[0.0], np.cumsum(still)[:-1]])
    track = straight_ride(distance=way, speed=still)
    east = track.longitude[0] + (track.longitude[1] - track.longitude[0]) * way / 6.0

    ride = recorded_ride(replace(track, longitude=east))

    assert not ride.moving[255:345].any()
    assert ride.moving[1:249].all()


def test_power_that_is_missing_stays_missing() -> None:
    power = np.where(np.arange(600) < 100, np.nan, 200.0)

    ride = recorded_ride(straight_ride(power=power))

    assert np.isnan(ride.power[:100]).all()
    assert np.nanmean(ride.power) == 200.0
    assert ride.has_power


def test_a_ride_without_height_or_place_says_so_with_nan() -> None:
    nothing = np.full(600, np.nan)
    track = straight_ride(distance=6.0 * np.arange(600.0))

    ride = recorded_ride(replace(track, altitude=nothing, latitude=nothing, longitude=nothing))

    assert np.isnan(ride.altitude).all()
    assert np.isnan(ride.grade).all()
    assert np.isnan(ride.heading).all()
    assert ride.speed == pytest.approx(6.0)
    assert not ride.has_power


def test_a_plan_is_no_recording() -> None:
    with pytest.raises(FileError, match="no usable times"):
        recorded_ride(replace(straight_ride(), time=np.full(600, np.nan)))


@settings(max_examples=100, deadline=None)
@given(plan=WILD_PLANS)
def test_samples_are_whole_whatever_the_faults(plan: Plan) -> None:
    try:
        ride = recorded_ride(faulty_ride(plan))
    except FileError:
        return

    for column in (ride.time, ride.step, ride.distance, ride.speed):
        assert np.isfinite(column).all()
    for column in (ride.altitude, ride.grade, ride.heading):
        assert np.isfinite(column).all() or np.isnan(column).all()
    assert np.all(ride.step[1:] > 0.0)
    assert np.all(np.diff(ride.piece) >= 0)
    assert ride.moving.dtype == bool
