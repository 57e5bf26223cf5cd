"""Laws that every ride obeys, whatever is ridden; random roads, drives and lanes."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ride_examples import (
    DIRECT,
    FOLLOWS,
    HOLDS_POWER,
    HOLDS_SPEED,
    HUB,
    MID,
    RIDER,
    SUPPLY,
    RandomRide,
    arrays,
    chosen,
    corners,
    hills,
    imbalance,
    lanes_of,
    path_of,
    ridden,
    rides,
)
from stated import state
from wattwright.parts.drive import AssistLaw, Drive
from wattwright.ride.lanes import Lanes
from wattwright.ride.path import RidePath
from wattwright.units import FloatArray

few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
ROUNDING = 1e-9
AMPLE = replace(SUPPLY, modules=60)
"""A pack that nothing holds back."""
STRONG = replace(
    HUB,
    controller=replace(HUB.controller, battery_current_limit=60.0, phase_current_limit=160.0),
    peak_torque=170.0,
    assist=replace(HOLDS_SPEED, power=4000.0, needs_pedalling=False),
)
"""A hub motor that really holds the speed."""


@few
@given(ride=rides)
def test_energy_in_is_work_and_losses_to_rounding(ride: RandomRide) -> None:
    """The issue asks for 0.1 %; what was seen in 300 random rides is below 1e-12."""
    assert imbalance(ride.outcome.energy).max() < ROUNDING


@few
@given(ride=rides)
def test_what_comes_out_can_be(ride: RandomRide) -> None:
    outcome = ride.outcome

    for what, values in arrays(outcome).items():
        assert np.all(np.isfinite(values)), what
    assert np.all((outcome.charge_at_mark >= 0.0) & (outcome.charge_at_mark <= 1.0))
    for name in ("rider", "pack_loss", "air", "rolling", "bearings", "drivetrain", "motor_copper",
                 "motor_iron", "gear", "controller", "brake", "battery_out", "battery_in"):  # fmt: skip
        least = -1e9 if name == "air" else -1e-6  # a tailwind may push
        assert getattr(outcome.energy, name).min() >= least, name
    assert np.all(outcome.time > outcome.standing)
    assert np.all(outcome.rolled_back <= outcome.time)


@few
@given(ride=rides)
def test_no_cap_is_passed_and_stops_are_stops(ride: RandomRide) -> None:
    speed, path = ride.outcome.trace.speed, ride.path

    assert np.all(speed <= path.speed_cap)
    assert np.all(speed[path.speed_cap == 0.0] == 0.0)


@few
@given(ride=rides)
def test_the_battery_current_keeps_to_its_limit(ride: RandomRide) -> None:
    """Within one per cent on segments of the usual 10 m or less, within two on 25 m.

    The limit is taken at the middle speed found so far, and again after each Newton step where it is near.
    Seen: 0.05 % and, in the segment after a start, 1.1 %.
    """
    outcome, drive = ride.outcome, ride.drive
    standby = drive.controller.standby_power / 35.0

    over = 1.01 if ride.step <= 10.0 else 1.02
    assert outcome.peak_current.max() <= max(over * drive.controller.battery_current_limit, standby)
    allowed = min(drive.controller.regeneration_current_limit, SUPPLY.regeneration_current * SUPPLY.modules)
    assert outcome.peak_charge_current.max() <= 1.01 * allowed + 1e-9


def test_the_battery_current_keeps_to_its_limit_where_it_matters() -> None:
    """A pack and law that ask for all of it, start after start."""
    demanding = replace(HUB, assist=replace(HOLDS_POWER, power=800.0))
    outcome = ridden(hills(stop_every=40), lanes_of(200), demanding, AMPLE)

    limit = demanding.controller.battery_current_limit
    assert limit * 0.999 < outcome.peak_current.min()
    assert outcome.peak_current.max() < 1.01 * limit


@few
@given(ride=rides, order=st.randoms(use_true_random=False))
def test_a_lane_does_not_know_its_neighbours(ride: RandomRide, order: Random) -> None:
    """Bit for bit: in another place, in another block, or alone."""
    path, lanes, drive = ride.path, ride.lanes, ride.drive
    places = list(range(lanes.count))
    order.shuffle(places)
    together, shuffled = ridden(path, lanes, drive), ridden(path, chosen(lanes, places), drive)
    alone = ridden(path, chosen(lanes, places[:1]), drive)

    for name in ("charge_left", "time", "peak_current", "hottest_winding", "rolled_back", "walked"):
        assert np.array_equal(getattr(together, name)[places], getattr(shuffled, name)), name
        assert getattr(together, name)[places[0]] == getattr(alone, name)[0], name


def test_the_same_ride_gives_the_same_answer_bit_for_bit() -> None:
    first, second = (arrays(ridden(hills(), lanes_of(200), DIRECT)) for _ in range(2))

    assert all(np.array_equal(first[name], second[name]) for name in first)


def test_threads_may_ride_at_once() -> None:
    path, lanes = hills(), lanes_of(200)
    expected = ridden(path, lanes).charge_left

    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(lambda _: ridden(path, lanes).charge_left, range(24)))

    assert all(np.array_equal(one, expected) for one in together)


ONE_THREAD = """
import numpy as np
from ride_examples import DIRECT, hills, lanes_of, ridden
out = ridden(hills(), lanes_of(200), DIRECT)
print(out.charge_left.tobytes().hex(), out.time.tobytes().hex())
"""


@pytest.mark.parametrize("settings_", [{"NUMBA_NUM_THREADS": "1"}, {"NUMBA_THREADING_LAYER": "workqueue"}])
def test_neither_threads_nor_their_kind_change_the_answer(settings_: dict[str, str]) -> None:
    """On another layer the loop runs as well: where there is no OpenMP, numba brings its own."""
    here = ridden(hills(), lanes_of(200), DIRECT)
    done = subprocess.run(
        [sys.executable, "-c", ONE_THREAD],
        env={**os.environ, **settings_, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)},
        capture_output=True,
        text=True,
        check=True,
    )

    assert done.stdout.split() == [here.charge_left.tobytes().hex(), here.time.tobytes().hex()]


def along(bends: tuple[float, ...]) -> FloatArray:
    """Grades of 300 segments through a few."""
    return np.interp(np.linspace(0.0, 1.0, 300), np.linspace(0.0, 1.0, len(bends)), np.array(bends))


def held(path: RidePath, lanes: Lanes) -> FloatArray:
    """Energy drawn at a held speed that nothing limits, the caps at that speed."""
    capped = replace(path, speed_cap=np.minimum(path.speed_cap, HOLDS_SPEED.speed))
    outcome = ridden(capped, lanes, STRONG, AMPLE)
    assert outcome.walked.max() == 0.0
    return outcome.energy.battery_out


@few
@given(
    bends=corners,
    name=st.sampled_from(["mass", "drag_area", "rolling_coefficient", "headwind", "resistance_factor"]),
    seed=st.integers(0, 1000),
    more=st.floats(0.02, 0.3),
)
def test_at_a_held_speed_what_resists_more_never_draws_less(
    bends: tuple[float, ...], name: str, seed: int, more: float
) -> None:
    """Mass, drag, rolling resistance, headwind and cold.

    Mass is tried on roads that do not fall, drag without a tailwind: what pushes pushes more. Cold is tried
    as what it does: thicker air (drag) and a pack of higher resistance; neither draws less.
    """
    grade = along(bends)
    path = path_of(np.abs(grade) if name == "mass" else grade)
    path = replace(path, heading=np.zeros(path.segments))
    still = lanes_of(64, seed, wind_east=0.0)
    lanes = replace(still, wind_north=np.abs(still.wind_north))
    if name == "headwind":
        harder = replace(lanes, wind_north=lanes.wind_north + 10.0 * more)
    else:
        harder = replace(lanes, **{name: getattr(lanes, name) * (1.0 + more)})

    before, after = held(path, lanes), held(path, harder)

    # a start or the foot of a hill may fall a hair differently within its segment
    assert np.all(after >= before * (1.0 - 1e-3))
    if name != "resistance_factor":
        assert np.mean(after > before) > 0.9


def test_in_the_cold_a_held_speed_takes_no_less() -> None:
    """Air density as it goes with temperature, and resistance as it goes with a cell's."""
    warm = lanes_of(64, air_temperature=293.0, air_density=1.204, resistance_factor=1.05)
    cold = lanes_of(64, air_temperature=268.0, air_density=1.316, resistance_factor=2.2)

    warm_ride, cold_ride = (ridden(hills(stop_every=0), one, STRONG, AMPLE) for one in (warm, cold))

    assert np.all(cold_ride.energy.battery_out > warm_ride.energy.battery_out)
    assert np.all(cold_ride.energy.pack_loss > warm_ride.energy.pack_loss)


@few
@given(ride=rides, modules=st.integers(1, 12))
def test_one_more_module_never_raises_anothers_peak(ride: RandomRide, modules: int) -> None:
    """The same lanes, so the same mass; while none is empty: an empty pack draws nothing at all.

    A pack that sags or empties gives less, and one more module may then give what was asked for before; so
    the law holds as far as the current is the ride's and not the pack's: where neither pack held the help
    back.
    """
    path, lanes, drive = ride.path, ride.lanes, ride.drive
    full = replace(lanes, start_charge=np.ones(lanes.count))
    fewer, more = (
        ridden(path, full, drive, replace(SUPPLY, modules=count)) for count in (modules, modules + 1)
    )
    same_ride = (fewer.rolled_back == 0.0) & (more.rolled_back == 0.0)

    each_of_fewer, each_of_more = fewer.peak_current / modules, more.peak_current / (modules + 1)

    assert np.all(each_of_more[same_ride] <= each_of_fewer[same_ride] * 1.001)


@few
@given(bends=corners, seed=st.integers(0, 1000), stronger=st.floats(1.05, 2.0))
def test_a_stronger_rider_never_draws_more_at_a_held_speed(
    bends: tuple[float, ...], seed: int, stronger: float
) -> None:
    lanes = lanes_of(64, seed)
    strong = replace(lanes, rider_power=lanes.rider_power * stronger)

    path = path_of(along(bends))

    assert np.all(held(path, strong) <= held(path, lanes) * (1.0 + 1e-6))


@few
@given(ride=rides)
def test_quantiles_are_ordered(ride: RandomRide) -> None:
    quantiles = ride.outcome.charge_quantiles((0.05, 0.1, 0.5, 0.9, 0.95))

    assert np.all(np.diff(quantiles, axis=0) >= 0.0)


@few
@given(ride=rides)
def test_a_ride_reversed_returns_its_potential_energy(ride: RandomRide) -> None:
    path, lanes, drive = ride.path, ride.lanes, ride.drive
    back = replace(
        path,
        length=path.length[::-1].copy(),
        grade=-path.grade[::-1],
        heading=path.heading[::-1] + np.pi,
        altitude=path.altitude[::-1].copy(),
        speed_cap=np.full(path.segments, 15.0),
        dwell=np.zeros(path.segments),
        rolling_factor=path.rolling_factor[::-1].copy(),
    )

    there, home = ridden(path, lanes, drive).energy.climb, ridden(back, lanes, drive).energy.climb

    assert there == pytest.approx(-home, rel=1e-9, abs=1e-6)
    rise = float(np.sum(path.length * path.grade / np.sqrt(1.0 + path.grade**2)))
    assert there == pytest.approx(lanes.mass * 9.80665 * rise, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize(
    ("law", "drive", "most"),
    [
        (FOLLOWS, HUB, 0.006),
        (HOLDS_POWER, HUB, 0.006),
        (HOLDS_SPEED, HUB, 0.006),
        (FOLLOWS, MID, 0.006),
        (FOLLOWS, DIRECT, 0.02),
    ],
)
def test_halving_the_segments_changes_little(
    law: AssistLaw, drive: Drive, most: float, capsys: pytest.CaptureFixture[str]
) -> None:
    """10 m to 5 m over 12 km of hills with a stop every 2 km; printed, and bounded."""
    coarse = path_of(wave(10.0, 1200), step=10.0, stop_every=200)
    fine = path_of(wave(5.0, 2400), step=5.0, stop_every=400)
    fine = replace(fine, rolling_factor=np.repeat(coarse.rolling_factor, 2))
    lanes = lanes_of(64)
    set_so = replace(drive, assist=law)

    ours, finer = (ridden(path, lanes, set_so, AMPLE).energy for path in (coarse, fine))
    change = (ours.battery_out - ours.battery_in) / (finer.battery_out - finer.battery_in) - 1.0

    state(
        capsys, f"{set_so.name}, {law.kind.value}: mean {change.mean():+.3%}, worst {abs(change).max():.3%}"
    )
    assert abs(change).max() < most


def wave(step: float, count: int) -> FloatArray:
    """The same hills at any step: mean grade over each segment."""
    ends = step * np.arange(count + 1)
    return np.diff(30.0 * np.sin(ends / 900.0) + 6.0 * np.sin(ends / 200.0)) / step


def test_an_empty_pack_rides_on_without_help() -> None:
    outcome = ridden(hills(), lanes_of(start_charge=0.0), DIRECT)

    assert outcome.energy.battery_out.max() == 0.0
    assert outcome.energy.battery_in.max() == 0.0
    assert outcome.unassisted == pytest.approx(outcome.distance)
    assert outcome.charge_left.max() == 0.0
    assert outcome.energy.rider.min() > 0.0


def test_a_pack_that_empties_on_the_way_helps_until_then() -> None:
    """Without roll-back, which would keep the last of the charge from ever being used."""
    bare = replace(HUB.controller, rollback_start_voltage=26.0, cutoff_voltage=25.0)
    drive = replace(HUB, assist=HOLDS_POWER, controller=bare)
    outcome = ridden(hills(), lanes_of(start_charge=0.12), drive, replace(SUPPLY, minimum_voltage=20.0))

    assert outcome.unassisted.min() > 0.0
    assert outcome.unassisted.max() < outcome.distance
    assert outcome.energy.battery_out.min() > 0.0


def test_on_a_wall_the_rider_walks() -> None:
    by_legs = replace(HUB, assist=replace(FOLLOWS, multiple=0.0))
    outcome = ridden(path_of(np.full(200, 0.3)), lanes_of(), by_legs)

    assert outcome.walked.min() > 1900.0
    assert outcome.trace.speed[-1] == pytest.approx(0.8)
    assert imbalance(outcome.energy).max() < ROUNDING


ABSURD: dict[str, dict[str, float]] = {
    "no rider": {"rider_power": 0.0},
    "no wind": {"wind_north": 0.0, "wind_east": 0.0},
    "a storm": {"wind_north": 40.0, "wind_east": -40.0},
    "300 kg": {"mass": 300.0},
    "hardly any mass": {"mass": 15.0},
    "arctic": {"air_temperature": 230.0, "air_density": 1.5, "resistance_factor": 20.0},
    "no drag": {"drag_area": 1e-6, "rolling_coefficient": 0.0},
}


@pytest.mark.parametrize("name", ABSURD)
@pytest.mark.parametrize("drive", [HUB, DIRECT, MID], ids=lambda drive: drive.name)
def test_absurd_rides_come_to_an_end(name: str, drive: Drive) -> None:
    for grade in (0.35, -0.35, 0.0):
        outcome = ridden(path_of(np.full(40, grade)), lanes_of(3, **ABSURD[name]), drive)

        assert all(np.all(np.isfinite(values)) for values in arrays(outcome).values())
        assert imbalance(outcome.energy).max() < ROUNDING


@pytest.mark.parametrize("segments", [1, 3])
def test_a_ride_may_be_short_and_a_sample_alone(segments: int) -> None:
    outcome = ridden(path_of(np.zeros(segments)), lanes_of(1), HUB)

    assert outcome.time.shape == (1,)
    assert outcome.charge_at_mark.shape == (len(outcome.mark), 1)
    assert outcome.mark[-1] == pytest.approx(outcome.distance)
    assert imbalance(outcome.energy).max() < ROUNDING


def test_standing_lets_the_pack_rest_and_the_motor_cool() -> None:
    """An hour at the top: only the standby is drawn, the winding comes to the air's temperature."""
    climb = path_of(np.full(100, 0.06))
    waits = replace(
        climb,
        dwell=np.where(np.arange(100) == 99, 3600.0, 0.0),
        speed_cap=np.where(np.arange(100) == 99, 0.0, climb.speed_cap),
    )
    lanes = lanes_of(3, air_temperature=283.0)
    law = replace(HUB, assist=HOLDS_POWER)
    rode, waited = ridden(climb, lanes, law), ridden(waits, lanes, law)

    standby = HUB.controller.standby_power * 3600.0
    longer = waited.energy.controller - rode.energy.controller
    assert longer == pytest.approx(standby, rel=0.02)
    assert waited.standing == pytest.approx(3600.0)
    assert np.all(waited.time > rode.time + 3600.0)


def test_protection_times_start_anew_after_a_stop() -> None:
    """Two pulls with a stop between are timed apart: the longer one counts, not their sum."""
    law = replace(HUB, assist=HOLDS_POWER)
    few_modules = replace(SUPPLY, modules=4)
    long = ridden(path_of(np.full(120, 0.09)), lanes_of(), law, few_modules)
    cut = ridden(path_of(np.full(120, 0.09), stop_every=60), lanes_of(), law, few_modules)

    assert long.longest_above[2].min() > 100.0
    assert np.all(cut.longest_above[2] < 0.7 * long.longest_above[2])


def test_a_rider_who_never_coasts_and_one_who_stops_at_once_are_both_ridden() -> None:
    """The band in which pedalling ends may be a single speed."""
    sudden = replace(RIDER, easing_speed=7.0, coasting_speed=7.0)

    outcome = ridden(hills(), lanes_of(5), rider=sudden)

    assert imbalance(outcome.energy).max() < ROUNDING
