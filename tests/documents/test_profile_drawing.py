"""A ride as a picture."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import example_plan as example
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from wattwright.documents.axis import Scale, round_ticks, thinned
from wattwright.documents.figures import Units
from wattwright.documents.palette import LIGHT
from wattwright.documents.profile_drawing import profile_drawing, profile_picture
from wattwright.sizing.plan import RideAnswer


@pytest.fixture(scope="module")
def hill_round() -> RideAnswer:
    return example.plan().answers[2]


def points(svg: str) -> list[tuple[float, float]]:
    return [
        (float(x), float(y)) for group in re.findall(r'points="([^"]+)"', svg)
        for x, y in (pair.split(",") for pair in group.split())
    ]  # fmt: skip


@pytest.mark.parametrize("tall", [30.0, 74.0])
@pytest.mark.parametrize("units", Units)
def test_no_words_of_the_profile_meet(hill_round: RideAnswer, units: Units, tall: float) -> None:
    picture = profile_picture(hill_round, reserve=0.15, units=units, width=680.0, tall=tall)
    boxes = [(mark.text, mark.box) for mark in picture.lettering]

    meeting = [
        (one, other)
        for i, (one, a) in enumerate(boxes)
        for other, b in boxes[i + 1 :]
        if a and b and a.meets(b, -2.0)
    ]  # fmt: skip
    assert meeting == []
    assert all(
        box.left >= 0 and box.right <= picture.width and box.bottom <= picture.height
        for _, box in boxes
        if box
    )


def test_every_curve_stays_inside_its_drawing(hill_round: RideAnswer) -> None:
    picture = profile_picture(hill_round, reserve=0.15)
    placed = points(profile_drawing(hill_round, reserve=0.15))

    assert len(placed) > 500
    assert all(0 <= x <= picture.width and 0 <= y <= picture.height for x, y in placed)


def test_a_long_ride_is_thinned_to_what_can_be_seen(hill_round: RideAnswer) -> None:
    """2,460 segments become at most 240 steps a curve."""
    curves = re.findall(r'<polyline points="([^"]+)"', profile_drawing(hill_round, reserve=0.15))

    assert max(len(curve.split()) for curve in curves) <= 241


def test_what_is_left_on_arrival_is_written_at_the_end(hill_round: RideAnswer) -> None:
    low, middle, high = np.quantile(hill_round.outcome.charge_at_mark[-1], (0.05, 0.5, 0.95))
    words = [mark.text for mark in profile_picture(hill_round, reserve=0.15).lettering]

    for share in (low, middle, high):
        assert f"{100 * share:.0f}\u00a0%" in words


def test_reserve_stands_at_its_height(hill_round: RideAnswer) -> None:
    """15 of 100: the dashed line lies at 0.15 of the panel between the rules of 0 and 100 %."""
    picture = profile_picture(hill_round, reserve=0.15, palette=LIGHT)
    ticks = {mark.text: mark.box.bottom for mark in picture.lettering if mark.box}
    dashed = [mark.svg for mark in picture.marks if LIGHT.accent in mark.svg and 'x1="46"' in mark.svg]
    y = float(re.findall(r'y1="([\d.]+)"', dashed[0])[0])
    tall = ticks["0"] - ticks["100"]
    foot = ticks["0"] - 4.5 - 0.24 * 13

    assert len(dashed) == 1
    assert (foot - y) / tall == pytest.approx(0.15, abs=0.002)


def test_imperial_profiles_say_miles_feet_and_mph(hill_round: RideAnswer) -> None:
    words = {mark.text for mark in profile_picture(hill_round, reserve=0.15, units=Units.IMPERIAL).lettering}

    assert {"mi", "Height, ft", "Speed, mph"} <= words
    assert not {"km", "Height, m", "Speed, km/h"} & words


def test_a_ride_of_one_segment_and_one_without_values_are_still_drawn(hill_round: RideAnswer) -> None:
    short = example.road("short", distance=10.0, hills=0.0, segments=1, stops=0)
    ride = replace(hill_round.ride, path=short)
    outcome = example.outcome(short, 0.9, 5)
    nothing = replace(outcome.trace, motor_power=np.full(1, np.nan), battery_current=np.full(1, np.nan))

    for trace in (outcome.trace, nothing):
        svg = profile_drawing(
            replace(hill_round, ride=ride, outcome=replace(outcome, trace=trace)), reserve=0.15
        )
        assert "nan" not in svg
        ET.fromstring(svg)  # noqa: S314 - our own text


def test_the_same_ride_gives_the_same_drawing(hill_round: RideAnswer) -> None:
    assert profile_drawing(hill_round, reserve=0.15) == profile_drawing(hill_round, reserve=0.15)


@given(low=st.floats(-1e6, 1e6), span=st.floats(1e-3, 1e6), about=st.integers(1, 12))
def test_ticks_are_even_and_hold_all_values(low: float, span: float, about: int) -> None:
    ticks = round_ticks(low, low + span, about)
    steps = np.diff(ticks)

    assert ticks[0] <= low + 1e-6 * span
    assert ticks[-1] >= low + span * (1 - 1e-6)
    assert len(ticks) <= 3 * about + 3
    assert steps == pytest.approx(steps[0], rel=1e-4)


@given(
    values=hnp.arrays(np.float64, st.integers(1, 400), elements=st.floats(-1e3, 1e3)),
    steps=st.integers(1, 50),
)  # fmt: skip
def test_thinning_keeps_the_extremes_and_orders_them(values: np.ndarray, steps: int) -> None:
    few = thinned(np.arange(len(values), dtype=float), values, steps)

    assert len(few.at) <= max(steps, 1)
    assert few.low.min() == values.min()
    assert few.high.max() == values.max()
    assert np.all(few.low <= few.middle + 1e-9)
    assert np.all(few.middle <= few.high + 1e-9)


def test_a_scale_is_straight_and_holds_its_ends() -> None:
    scale = Scale(low=0.0, high=100.0, start=200.0, end=100.0)

    assert [scale.at(value) for value in (-5.0, 0.0, 25.0, 100.0, 300.0)] == [
        200.0,
        200.0,
        175.0,
        100.0,
        100.0,
    ]
