"""What stands in the way: sweeps of fork, bars, feet, knees, wheels, against points turned in space."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from frame_examples import REFERENCE, frame_of
from wattwright.errors import InputError
from wattwright.frame.keepouts import keepouts_of, stands_beside
from wattwright.frame.outline import OutlinePart
from wattwright.frame.placement import Keepout
from wattwright.frame.plane import difference, gap, unit
from wattwright.frame.survey import ClearanceKind, Frame, Legs, Obstacle, Point, Steering

SPECK = 1e-7


def turned(steering: Steering, point: tuple[float, float, float], angle: float) -> tuple[float, float, float]:
    """A point (x, y, z) turned about the steering axis by Rodrigues' formula: independent of the sweep."""
    top = np.array([*steering.top, 0.0])
    axis = np.array([*unit(difference(steering.bottom, steering.top)), 0.0])
    arm = np.array(point) - top
    new = (
        arm * math.cos(angle)
        + np.cross(axis, arm) * math.sin(angle)
        + axis * (axis @ arm) * (1 - math.cos(angle))
    )
    x, y, z = top + new
    return float(x), float(y), float(z)


def is_covered(keepouts: tuple[Keepout, ...], point: tuple[float, float, float]) -> bool:
    """Whether a point lies in some keepout, its radius but not its clearance counted."""
    x, y, z = point
    speck = ((x - SPECK, y), (x, y + SPECK), (x + SPECK, y))
    return any(
        keepout.low - 1e-6 <= z <= keepout.high + 1e-6 and gap(speck, keepout.core, keepout.radius) < 2e-4
        for keepout in keepouts
    )


def steering_of(frame: Frame) -> Steering:
    assert frame.steering is not None
    return frame.steering


@settings(max_examples=40, deadline=None)
@given(
    lock=st.floats(20, 120),
    share=st.floats(-1, 1),
    along=st.floats(-1, 1),
    reach=st.floats(-0.03, 0.1),
)
def test_no_point_of_the_bars_leaves_their_sweep(
    lock: float, share: float, along: float, reach: float
) -> None:
    """Sibling: single points of the bar turned in space, anywhere between the locks."""
    frame = frame_of(lock=math.radians(lock), bar_reach=reach)
    steering = steering_of(frame)
    down = np.array(unit(difference(steering.bottom, steering.top)))
    forward = np.array([-down[1], down[0]])
    middle = np.array(steering.top) - down * steering.bar_height + forward * steering.bar_reach
    point = (float(middle[0]), float(middle[1]), along * steering.bar_half_width)
    bars = tuple(keepout for keepout in keepouts_of(frame) if keepout.name.endswith("bars"))

    assert is_covered(bars, turned(steering, point, share * steering.lock))


@settings(max_examples=40, deadline=None)
@given(lock=st.floats(20, 89), share=st.floats(-1, 1), down=st.floats(0, 1), side=st.sampled_from([-1, 1]))
def test_no_point_of_the_fork_blades_leaves_their_sweep(
    lock: float, share: float, down: float, side: int
) -> None:
    frame = frame_of(lock=math.radians(lock))
    steering = steering_of(frame)
    axis = np.array(unit(difference(steering.bottom, steering.top)))
    crown = np.array(steering.bottom) + axis * steering.crown_drop
    place = crown + down * (np.array(steering.blade_end) - crown)
    point = (float(place[0]), float(place[1]), side * steering.blade_spread)
    blades = tuple(keepout for keepout in keepouts_of(frame) if "blade" in keepout.name)

    assert is_covered(blades, turned(steering, point, share * steering.lock))


@settings(max_examples=40, deadline=None)
@given(share=st.floats(-1, 1), around=st.floats(0, 2 * math.pi), rim=st.floats(0.3, 1))
def test_a_wheel_that_turns_stays_in_its_keepout_where_it_lies_behind_the_axis(
    share: float, around: float, rim: float
) -> None:
    frame = frame_of(lock=math.radians(50))
    steering, wheel = steering_of(frame), frame.wheels[1]
    x = wheel.centre[0] + rim * wheel.radius * math.cos(around)
    y = wheel.centre[1] + rim * wheel.radius * math.sin(around)
    axis = unit(difference(steering.bottom, steering.top))
    behind = (x - steering.top[0]) * -axis[1] + (y - steering.top[1]) * axis[0]
    if behind > 0:
        return
    covered = tuple(keepout for keepout in keepouts_of(frame) if keepout.name == "front wheel")

    assert is_covered(covered, turned(steering, (x, y, 0.0), share * steering.lock))


def test_the_bars_come_back_as_far_as_worked_out_by_hand() -> None:
    """80 mm reach, 60° lock, in the band 20 to 40 mm from the middle, 22 mm bar radius added: z' to 62 mm.

    Turned by δ the bar's line lies (80 − z' sin δ) / cos δ ahead of the axis, least where sin δ = z' / 80,
    which is 50.8°, before the lock: √(80² − 62²) = 50.557 mm.
    """
    frame = frame_of(lock=math.radians(60))
    steering = steering_of(frame)
    down = unit(difference(steering.bottom, steering.top))
    forward = (-down[1], down[0])
    band = next(k for k in keepouts_of(frame) if k.name == "right bars" and k.low == pytest.approx(0.02))
    places = [(x - steering.top[0]) * forward[0] + (y - steering.top[1]) * forward[1] for x, y in band.core]

    assert min(places) == pytest.approx(math.sqrt(0.080**2 - 0.062**2), abs=2e-6)


def test_feet_sweep_a_disc_drawn_along_the_shoe() -> None:
    """Any pedal place, any point of the shoe's edge: inside; just beyond heel and toe: outside."""
    frame = frame_of()
    cranks = frame.cranks[0]
    feet = tuple(keepout for keepout in keepouts_of(frame) if keepout.name == "right foot")
    for turn in range(0, 360, 7):
        pedal = (cranks.arm * math.cos(math.radians(turn)), cranks.arm * math.sin(math.radians(turn)))
        for along in (-cranks.heel_behind, 0.0, cranks.toe_ahead):
            assert is_covered(feet, (pedal[0] + along, pedal[1] + cranks.foot_height, cranks.foot_inner))
    beyond = -(cranks.arm + cranks.heel_behind + cranks.foot_height) - 0.001
    assert not is_covered(feet, (beyond, 0.0, cranks.foot_inner))


def test_knees_stay_where_thigh_and_shank_let_them() -> None:
    """Law: each knee place is a thigh from the hip and a shank from some pedal place, ahead of their line."""
    legs = Legs(hip=(-0.20, 0.75), thigh=0.44, shank=0.52, knee_radius=0.06, knee_inner=0.05)
    frame = replace(frame_of(), legs=legs)
    (core,) = {keepout.core for keepout in keepouts_of(frame) if keepout.name == "left knee"}
    arm = frame.cranks[0].arm

    for x, y in core:
        assert math.hypot(x + 0.20, y - 0.75) == pytest.approx(0.44, abs=1e-9)
        nearest = math.hypot(x, y) - arm
        assert nearest - 1e-9 <= 0.52 <= math.hypot(x, y) + arm + 1e-9


def test_legs_that_do_not_reach_are_refused_with_both_lengths() -> None:
    legs = Legs(hip=(-0.25, 0.95), thigh=0.40, shank=0.45, knee_radius=0.06, knee_inner=0.05)

    with pytest.raises(InputError, match=r"thigh_mm \+ shank_mm is 850; .* hip to pedal, \d+ mm"):
        keepouts_of(replace(frame_of(), legs=legs))


def test_the_chainring_stands_on_the_right_only() -> None:
    (ring,) = [keepout for keepout in keepouts_of(frame_of()) if keepout.kind is ClearanceKind.CHAINRING]

    assert ring.low > 0


@given(low=st.floats(-0.1, 0.1), width=st.floats(0.001, 0.1), clearance=st.floats(0, 0.02))
def test_what_passes_beside_with_more_clearance_passes_with_less(
    low: float, width: float, clearance: float
) -> None:
    here: Point = (0.0, 0.0)
    part = OutlinePart(name="x", outline=(here,), low=low, high=low + width)
    keepout = Keepout(
        name="y",
        kind=ClearanceKind.OTHER,
        core=(here,),
        radius=0.01,
        low=-0.02,
        high=0.02,
        clearance=clearance,
    )

    if stands_beside(part, keepout):
        assert stands_beside(part, replace(keepout, clearance=clearance / 2))


def test_an_outline_that_crosses_itself_is_refused() -> None:
    bow = Obstacle(
        name="cover",
        kind=ClearanceKind.OTHER,
        outline=((0.0, 0.0), (0.1, 0.1), (0.1, 0.0), (0.0, 0.1)),
        radius=0.0,
        low=-0.02,
        high=0.02,
    )
    with pytest.raises(InputError, match=r"outline of 'cover'.*does not cross itself"):
        frame_of(REFERENCE, obstacles=(bow,))
