"""When a module's own protection lets go, and what it can be asked for."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pack_examples import NICKEL_MODULE
from wattwright.errors import InputError
from wattwright.pack.protection import (
    bearable_current,
    carrying_current,
    carrying_current_with_one_off,
    lets_go,
    time_to_trip,
)


@pytest.mark.parametrize(
    ("current", "time"),
    [(8.0, math.inf), (10.0, math.inf), (10.5, 60.0), (15.0, 60.0), (16.0, 10.0), (31.0, 0.1)],
)
def test_time_to_trip_goes_stepwise_by_the_data_sheet(current: float, time: float) -> None:
    """The example module: 10 A for good (60 s above it), 15 A for 10 s, 30 A for 0.1 s."""
    assert time_to_trip(current, NICKEL_MODULE) == time


@pytest.mark.parametrize(
    ("duration", "current"), [(math.inf, 10.0), (120.0, 10.0), (60.0, 15.0), (10.0, 30.0), (0.05, 30.0)]
)
def test_bearable_current_by_duration(duration: float, current: float) -> None:
    assert bearable_current(NICKEL_MODULE, duration) == current


@given(duration=st.floats(0.01, 1e4))
def test_a_bearable_current_is_borne(duration: float) -> None:
    assert time_to_trip(bearable_current(NICKEL_MODULE, duration), NICKEL_MODULE) >= duration


@given(current=st.floats(0, 60), more=st.floats(0, 60))
def test_more_current_never_lasts_longer(current: float, more: float) -> None:
    assert time_to_trip(current + more, NICKEL_MODULE) <= time_to_trip(current, NICKEL_MODULE)


def test_a_lane_trips_when_it_stays_above_a_point_for_longer() -> None:
    longest = np.array([[0.0, 0.0, 0.2], [5.0, 10.0, 0.0], [59.0, 60.5, 0.0]])

    assert lets_go(longest, NICKEL_MODULE).tolist() == [False, True, True]
    assert bool(lets_go(longest[:, 0], NICKEL_MODULE)) is False


def test_with_one_off_the_rest_carries_on() -> None:
    assert carrying_current(NICKEL_MODULE, 4) == 40.0
    assert carrying_current_with_one_off(NICKEL_MODULE, 4) == 30.0
    assert carrying_current_with_one_off(NICKEL_MODULE, 1) == 0.0


def test_impossible_questions_are_refused() -> None:
    with pytest.raises(InputError, match="points"):
        lets_go(np.zeros((2, 5)), NICKEL_MODULE)
    with pytest.raises(InputError, match="duration_s"):
        bearable_current(NICKEL_MODULE, 0.0)
    with pytest.raises(InputError, match="modules"):
        carrying_current_with_one_off(NICKEL_MODULE, 0)
