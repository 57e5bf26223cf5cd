"""A calibration finds again what was ridden, says how surely, and says what it cannot know."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recorded_examples import RHO, Truth, simulated_track
from stated import state
from wattwright.errors import InputError
from wattwright.ride import fit_solution
from wattwright.ride.calibration import (
    Calibration,
    calibrated,
    calibration_of,
    energy_asked,
    unfitted_energies,
)
from wattwright.ride.fit_balance import Coefficient, crank_work, free_speed, work_slopes
from wattwright.ride.fit_pacing import paced, paced_power
from wattwright.ride.fit_priors import ORDINARY, STILL_AIR, prior_vector
from wattwright.ride.fit_solution import long_run_covariance, small_sample_factor
from wattwright.ride.fit_stretches import Known, Stretches, stretches_of
from wattwright.ride.recorded import recorded_ride
from wattwright.ride.rider import Rider
from wattwright.ride.road_load import WHEEL_DRAG_AREA, RoadLoad, steady_speed

TRUTH = Truth()
HILLY = Truth(hilliness=1.0)
GUSTY = Truth(gust=1.5)
SEEDS = range(12)
AIR = Known(density=RHO)


@cache
def stretches(truth: Truth, seed: int) -> Stretches:
    return stretches_of(recorded_ride(simulated_track(seed, truth)), AIR)


@cache
def fitted(truth: Truth, seed: int) -> Calibration:
    return calibration_of(stretches(truth, seed), truth.mass, title="simulated", mass_spread=1.0)


def known(truth: Truth) -> np.ndarray:
    """In the order of ``Coefficient``, without the drift."""
    return np.array(
        [
            truth.drag_area,
            truth.rolling,
            truth.efficiency,
            truth.mass,
            truth.wind_north,
            truth.wind_east,
        ]
    )


def off_in_errors(truth: Truth) -> np.ndarray:
    """(seeds, 6) estimate less truth, in standard errors."""
    rows = []
    for seed in SEEDS:
        estimates = fitted(truth, seed).estimates[:6]
        values, errors = ([getattr(e, name) for e in estimates] for name in ("value", "standard_error"))
        rows.append((np.array(values) - known(truth)) / np.array(errors))
    return np.array(rows)


@pytest.mark.parametrize("truth", [TRUTH, HILLY, GUSTY], ids=["rolling", "hilly", "gusty"])
def test_what_was_ridden_is_found_again_within_two_standard_errors(
    truth: Truth, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two standard errors should hold 95 % of fits; of 72 figures (12 rides, 6 each) 85 % must lie within."""
    off = off_in_errors(truth)

    state(capsys, f"within 2 SE: {np.mean(np.abs(off) < 2):.2f}; rms {np.sqrt((off**2).mean(0)).round(2)}")
    assert np.mean(np.abs(off) < 2.0) > 0.85
    assert np.all(np.sqrt((off**2).mean(axis=0)) < 1.6)


@pytest.mark.parametrize("truth", [TRUTH, HILLY, GUSTY], ids=["rolling", "hilly", "gusty"])
def test_drag_and_rolling_are_hardly_biased(truth: Truth, capsys: pytest.CaptureFixture[str]) -> None:
    drag = np.mean([fitted(truth, seed).drag_area.value for seed in SEEDS])
    rolling = np.mean([fitted(truth, seed).rolling_coefficient.value for seed in SEEDS])

    errors = (drag / truth.drag_area - 1.0, rolling / truth.rolling - 1.0)
    state(capsys, f"mean drag area {errors[0]:+.1%}, rolling coefficient {errors[1]:+.1%}")
    assert drag == pytest.approx(truth.drag_area, rel=0.04)
    assert rolling == pytest.approx(truth.rolling, rel=0.12)


def test_plain_least_squares_would_take_drag_too_low_in_gusts(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Why the fit takes its instruments at the speed without gusts: measured speed answers to the gusts."""
    gentle = Truth(hilliness=0.2)
    monkeypatch.setattr(fit_solution, "free_speed", lambda stretches, _vector: stretches.speed)
    plain = [
        calibration_of(stretches(gentle, seed), 88.0, title="plain").drag_area.value for seed in range(6)
    ]
    monkeypatch.undo()
    ours = [fitted(gentle, seed).drag_area.value for seed in range(6)]

    state(capsys, f"drag area 0.400 ridden; plain {np.mean(plain):.3f}, ours {np.mean(ours):.3f}")
    assert np.mean(plain) < 0.35
    assert np.mean(ours) == pytest.approx(0.40, rel=0.05)


def test_pacing_is_found_again(capsys: pytest.CaptureFixture[str]) -> None:
    rows = []
    for seed in SEEDS:
        habits = paced(stretches(TRUTH, seed))
        rows.append(
            [
                (habits.power - TRUTH.power) / habits.power_error,
                (habits.power_per_grade - TRUTH.power_per_grade) / habits.power_per_grade_error,
                (habits.easing_speed - TRUTH.easing_speed) / habits.easing_speed_error,
                (habits.coasting_speed - TRUTH.coasting_speed) / habits.coasting_speed_error,
            ]
        )
        assert habits.power == pytest.approx(TRUTH.power, rel=0.04)
    within = np.mean(np.abs(rows) < 2.0)

    state(capsys, f"pacing within 2 SE: {within:.2f}")
    assert within > 0.85


def test_a_rider_takes_over_the_recorded_habits() -> None:
    rider = Rider(
        mass=75.0,
        power=100.0,
        power_per_grade=0.0,
        cadence=7.0,
        easing_speed=8.0,
        coasting_speed=10.0,
        strongest_push=200.0,
    )
    habits = paced(stretches(TRUTH, 0))

    assert habits.of(rider) == replace(
        rider,
        power=habits.power,
        power_per_grade=habits.power_per_grade,
        easing_speed=habits.easing_speed,
        coasting_speed=habits.coasting_speed,
    )


@given(
    grade=st.floats(-0.2, 0.2),
    speed=st.floats(0.0, 25.0),
    power=st.floats(50.0, 300.0),
    by_grade=st.floats(0.0, 3000.0),
)
def test_a_rider_gives_between_nothing_and_twice_the_flat_power(
    grade: float, speed: float, power: float, by_grade: float
) -> None:
    given_power = paced_power(
        np.array([power, by_grade, 10.0, 4.0]), np.array([grade]), np.array([speed])
    ).item()

    assert 0.0 <= given_power <= 2.0 * power + 1e-9
    assert speed < 14.0 or given_power == 0.0


def test_a_ride_at_one_speed_says_that_drag_and_rolling_are_confounded() -> None:
    flat = Truth(hilliness=0.02, distance=15_000.0, gust=0.2, wind_north=0.2, wind_east=0.2)
    track = simulated_track(3, flat, steady_power=True)
    told = calibrated(recorded_ride(track), flat.mass, mass_spread=1.0, known=AIR)
    sum_at_speed = _resistance(told.drag_area.value, told.rolling_coefficient.value, flat.mass)

    assert any("drag area from rolling coefficient" in say and "one speed" in say for say in told.cannot_tell)
    assert told.correlation[Coefficient.DRAG_AREA, Coefficient.ROLLING] < -0.8
    assert sum_at_speed == pytest.approx(_resistance(flat.drag_area, flat.rolling, flat.mass), rel=0.05)


def _resistance(drag_area: float, rolling: float, mass: float, speed: float = 8.3) -> float:
    return 0.5 * RHO * (drag_area + WHEEL_DRAG_AREA) * speed**2 + rolling * mass * 9.80665


def test_a_hilly_ride_does_not_say_so() -> None:
    assert not any("one speed" in say for say in fitted(HILLY, 0).cannot_tell)


def test_without_headings_wind_stays_ordinary_and_it_is_said() -> None:
    told = calibrated(recorded_ride(simulated_track(0, TRUTH, headings=False)), 88.0, known=AIR)

    assert told.wind_north.value == told.wind_east.value == 0.0
    assert told.wind_north.standard_error == pytest.approx(ORDINARY.wind.spread, rel=1e-6)
    assert told.wind_north.data_share == 0.0
    assert any("no headings" in say for say in told.cannot_tell)


def test_what_a_ride_cannot_tell_rests_on_the_ordinary_value() -> None:
    """Efficiency and drift of the altimeter are hardly seen in any ride: their errors stay the prior's."""
    told = fitted(TRUTH, 1)

    assert told.drivetrain_efficiency.data_share < 0.3
    assert told.drift.data_share < 0.1
    assert told.drift.standard_error == pytest.approx(ORDINARY.drift.spread, rel=0.1)
    assert any("drift of the altitude" in say for say in told.cannot_tell)


def test_the_longer_the_ride_the_less_rests_on_the_prior_and_the_surer_the_answer() -> None:
    short, long = (fitted(Truth(distance=metres), 4).drag_area for metres in (10_000.0, 80_000.0))

    assert long.data_share > short.data_share
    assert long.standard_error < 0.7 * short.standard_error


def test_no_error_is_far_above_the_priors_spread() -> None:
    for seed in SEEDS:
        for estimate in fitted(Truth(distance=10_000.0), seed).estimates:
            assert estimate.standard_error < 1.3 * estimate.prior_spread * max(
                1.0, estimate.value / max(estimate.prior, 1e-9) if "drag" in estimate.meaning else 1.0
            )


def test_fitted_and_measured_energy_agree() -> None:
    told = fitted(TRUTH, 2)
    asked = energy_asked(stretches(TRUTH, 2), told).sum()

    assert told.modelled == pytest.approx(told.measured, rel=0.02)
    assert asked == pytest.approx(told.measured, rel=1e-12)


def test_another_road_in_the_same_weather_is_predicted_within_four_per_cent() -> None:
    """The same bicycle, rider and wind: fitted on one simulated ride, asked of the next."""
    for seed in range(6):
        other = stretches(TRUTH, seed + 6)
        asked = energy_asked(other, fitted(TRUTH, seed)).sum()
        assert asked == pytest.approx(other.work.sum(), rel=0.04)


def test_slopes_are_those_of_the_work() -> None:
    """Sibling: central differences of the work, cell by cell, away from where pedalling begins."""
    ride = stretches(TRUTH, 0)
    vector = np.array([np.log(0.4), np.log(0.006), 0.97, np.log(88.0), 1.0, -0.5, 1e-4])
    slopes = work_slopes(ride, vector, ride.speed)
    nudges = np.array([1e-4, 1e-4, 1e-5, 1e-5, 1e-4, 1e-4, 1e-6])
    for place, nudge in enumerate(nudges):
        step = np.zeros(7)
        step[place] = nudge
        numeric = (crank_work(ride, vector + step) - crank_work(ride, vector - step)) / (2.0 * nudge)
        pedalled = (crank_work(ride, vector - step) > 0.0) & (crank_work(ride, vector + step) > 0.0)
        assert slopes[pedalled, place] == pytest.approx(
            numeric[pedalled], rel=2e-4, abs=1e-4 * np.abs(numeric).max()
        )


def test_the_speed_without_gusts_settles_where_the_road_load_says() -> None:
    """Sibling: on the flat, at one power, in still air, it is ``steady_speed``."""
    flat = Truth(
        hilliness=0.0, gust=0.0, wind_north=0.0, wind_east=0.0, easing_speed=18.0, coasting_speed=20.0
    )
    ride = stretches_of(
        recorded_ride(simulated_track(0, flat, steady_power=True)), replace(AIR, is_flat=True)
    )
    ride = replace(ride, work=flat.power * ride.step)
    centre, _ = prior_vector(replace(ORDINARY, wind=STILL_AIR), flat.mass, 1.0)
    centre[Coefficient.ROLLING] = np.log(flat.rolling)
    load = RoadLoad(
        mass=flat.mass, drag_area=0.4 + WHEEL_DRAG_AREA, rolling_coefficient=flat.rolling, density=RHO
    )

    assert free_speed(ride, centre)[-1] == pytest.approx(steady_speed(0.977 * flat.power, load), rel=1e-4)


def test_work_is_asked_only_forwards() -> None:
    ride = stretches(HILLY, 0)
    work = crank_work(ride, fitted(HILLY, 0).solution.vector)

    assert work.min() == 0.0  # some cells are braked or coasted through
    assert work.max() > 0.0


def test_long_run_covariance_of_hanging_together_noise() -> None:
    """An AR(1) series of memory 0.5 has a long-run variance of 1/(1 − 0.5)² = 4 per unit of shock."""
    random = np.random.default_rng(0)
    levels = np.zeros(20_000)
    for turn, shock in enumerate(random.normal(size=len(levels))):
        levels[turn] = 0.5 * levels[turn - 1] + shock
    long_run = long_run_covariance(levels[:, None], 60).item() / len(levels)

    assert long_run == pytest.approx(4.0, rel=0.1)


def test_small_sample_factor_at_the_printed_ends() -> None:
    """Kiefer and Vogelsang 2005, Bartlett, 95 %: 1.96 at b = 0 and 4.813 at b = 1 (memory)."""
    assert small_sample_factor(0.0) == 1.0
    assert 1.96 * small_sample_factor(1.0) == pytest.approx(4.813, abs=0.001)


def test_unfitted_energies_are_the_same_for_the_same_seed_and_cover_the_ride() -> None:
    ride = stretches(TRUTH, 0)
    first, again, other = (
        unfitted_energies(ride, 88.0, mass_spread=3.0, samples=60, seed=seed) for seed in (1, 1, 2)
    )
    low, high = np.quantile(first, [0.1, 0.9])

    assert np.array_equal(first, again)
    assert not np.array_equal(first, other)
    assert low < ride.work.sum() < high


@settings(deadline=None, max_examples=20)
@given(more=st.floats(1.0, 1.5), place=st.sampled_from([Coefficient.DRAG_AREA, Coefficient.ROLLING]))
def test_more_resistance_never_asks_for_less_work(more: float, place: Coefficient) -> None:
    ride = stretches(TRUTH, 0)
    centre, _ = prior_vector(ORDINARY, 88.0, 1.0)
    heavier = centre.copy()
    heavier[place] += np.log(more)

    assert np.all(crank_work(ride, heavier) >= crank_work(ride, centre) - 1e-9)


def test_the_working_shows_every_coefficient_with_its_source() -> None:
    working = fitted(TRUTH, 0).working()

    assert [quantity.symbol for quantity in working.values][:3] == ["CdA", "Crr", "η"]
    assert "Martin" in working.source.text
    assert working.result.value == pytest.approx(100.0, abs=3.0)
    assert fitted(TRUTH, 0).drag_area.shown().endswith("m²")


@pytest.mark.parametrize("mass", [0.0, -80.0, float("nan")])
def test_a_mass_must_be_positive(mass: float) -> None:
    with pytest.raises(InputError, match="mass_kg"):
        calibration_of(stretches(TRUTH, 0), mass, title="simulated")


def test_a_recording_without_power_is_refused() -> None:
    track = simulated_track(0, TRUTH)
    with pytest.raises(InputError, match="power_w"):
        calibrated(recorded_ride(replace(track, power=np.full_like(track.power, np.nan))), 88.0)


def test_a_recording_without_heights_is_refused_unless_the_road_is_level() -> None:
    track = simulated_track(0, replace(TRUTH, distance=10_000.0))
    bare = recorded_ride(replace(track, altitude=np.full_like(track.altitude, np.nan)))
    with pytest.raises(InputError, match="altitude_m"):
        calibrated(bare, 88.0)

    assert calibrated(bare, 88.0, known=replace(AIR, is_flat=True)).solution.windows > 10


def test_a_recording_too_short_is_refused() -> None:
    with pytest.raises(InputError, match="recording"):
        calibrated(recorded_ride(simulated_track(0, replace(TRUTH, distance=3_000.0))), 88.0)
