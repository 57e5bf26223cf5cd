"""Ascent and smoothing against the check rows and against profiles known beforehand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference_values import reference
from wattwright.errors import InputError
from wattwright.ride.elevation import GRADE_NOISE, ascent, descent, profile_of


def test_sum_of_rises_matches_the_check_row() -> None:
    """Row N4."""
    heights = np.array([12.0, 17, 15, 20, 22, 18, 15, 16, 14, 12])

    assert ascent(heights, dead_band=0.0) == reference("N4").values[0]


def test_ascent_with_a_dead_band_matches_the_check_row() -> None:
    """Row N5: 15 m with hysteresis of 5 m, 19 m without."""
    heights = np.array([0.0, 2, 4, 6, 5, 3, 0, 4, 9, 8, 12])
    row = reference("N5")

    assert (ascent(heights, dead_band=5.0), ascent(heights, dead_band=0.0)) == row.values[-2:]


def test_white_noise_alone_climbs_as_the_check_row_says() -> None:
    """Row N6: σ/√π per step, within the row's 2 %; this is what smoothing has to take away."""
    noise = np.random.default_rng(11).normal(0.0, 1.0, 200_000)

    assert ascent(noise, dead_band=0.0) / len(noise) == pytest.approx(0.56419, rel=0.02)
    assert reference("N6").values[0] == pytest.approx(0.56419)


@pytest.mark.parametrize("sigma", [0.3, 1.0, 3.0])
def test_noise_on_a_flat_road_creates_no_ascent(sigma: float) -> None:
    """50 km at 6 m/s and 1 s: naive ascent is thousands of metres (row N6), the profile's is none.

    Even without a dead band the profile keeps less than 1.5 m a kilometre, and its grade is as calm as the
    module says.
    """
    along = np.arange(0.0, 50_000.0, 6.0)
    recorded = 100.0 + np.random.default_rng(5).normal(0.0, sigma, len(along))

    profile = profile_of(along, recorded)

    assert ascent(recorded, dead_band=0.0) > 0.5 * sigma * len(along)
    assert ascent(profile.altitude) == 0.0
    assert ascent(profile.altitude, dead_band=0.0) < 1.5 * 50.0
    assert np.std(profile.grade) < 1.3 * GRADE_NOISE


@pytest.mark.parametrize("sigma", [0.0, 0.3, 1.0, 3.0])
def test_hills_under_noise_keep_their_ascent(sigma: float) -> None:
    """Ten hills of 60 m in 40 km: the sum of rises is 600 m within 3 % up to 1 m of noise, 8 % at 3 m.

    The dead band of 3 m takes up to 3 m at the foot and the top of each hill, as row N5 defines it.
    """
    along = np.arange(0.0, 40_000.0, 6.0)
    true = 30.0 * (1.0 - np.cos(2 * np.pi * along / 4000.0))
    recorded = true + np.random.default_rng(6).normal(0.0, sigma, len(along))

    profile = profile_of(along, recorded)

    assert ascent(profile.altitude, dead_band=0.0) == pytest.approx(600.0, rel=0.03 if sigma <= 1.0 else 0.08)
    assert 600.0 - 10 * 2 * 3.0 < ascent(profile.altitude) < 602.0
    steepest = 30.0 * 2 * np.pi / 4000.0
    assert np.max(np.abs(profile.grade)) == pytest.approx(steepest, abs=4 * GRADE_NOISE)


def test_heights_rounded_to_a_metre_make_no_stairs() -> None:
    """A steady 2 % in whole metres: stairs of 50 m length would be 0 % and 10 %."""
    along = np.arange(0.0, 5_000.0, 6.0)

    profile = profile_of(along, np.round(0.02 * along))

    assert np.std(profile.grade[10:-10]) < 2 * GRADE_NOISE
    assert np.mean(profile.grade) == pytest.approx(0.02, abs=2e-4)


def test_a_short_steep_ramp_is_not_smoothed_away() -> None:
    """Clean heights: 200 m at 12 % between level roads keep their height and at least 11 % in the middle."""
    along = np.arange(0.0, 2_000.0, 5.0)
    true = np.clip(along - 900.0, 0.0, 200.0) * 0.12

    profile = profile_of(along, true)

    assert ascent(profile.altitude, dead_band=0.0) == pytest.approx(24.0, rel=0.02)
    assert profile.grade_at(np.array([1000.0]))[0] > 0.11


def test_a_pressure_sensor_passed_by_a_lorry_is_bridged() -> None:
    """8 m up and down within 60 m on a steady 5 %: no road, so the grade stays near 5 %."""
    along = np.arange(0.0, 3_000.0, 5.0)
    bump = np.where(np.abs(along - 1500.0) < 30.0, 8.0, 0.0)

    profile = profile_of(along, 0.05 * along + bump)

    assert np.all(np.abs(profile.grade - 0.05) < 0.03)
    assert 4 <= profile.bump.sum() <= 10


def test_standing_does_not_weigh() -> None:
    """An hour at one place, a thousand samples: the profile is that of the road."""
    along = np.concatenate([np.arange(0.0, 500.0, 5.0), np.full(1000, 500.0), np.arange(500.0, 1000.0, 5.0)])

    profile = profile_of(along, 0.03 * along)

    assert profile.grade == pytest.approx(0.03, abs=1e-6)


def test_no_height_at_all_is_refused() -> None:
    with pytest.raises(InputError, match="altitude_m"):
        profile_of(np.array([0.0, 10.0]), np.array([np.nan, np.nan]))


def test_one_point_makes_a_level_profile() -> None:
    profile = profile_of(np.array([5.0, 5.0]), np.array([100.0, np.nan]))

    assert profile.altitude == pytest.approx(100.0)
    assert profile.grade == pytest.approx(0.0)


heights_lists = st.lists(st.floats(-100.0, 3000.0), min_size=1, max_size=60)


@given(heights=heights_lists, band=st.floats(0.0, 20.0))
def test_ascent_and_descent_swap_on_the_way_back(heights: list[float], band: float) -> None:
    there = np.array(heights)

    assert ascent(there[::-1], dead_band=band) == descent(there, dead_band=band)
    assert descent(there[::-1], dead_band=band) == ascent(there, dead_band=band)


@given(heights=heights_lists, band=st.floats(0.0, 20.0))
def test_a_dead_band_never_adds_ascent(heights: list[float], band: float) -> None:
    series = np.array(heights)

    assert ascent(series, dead_band=band) <= ascent(series, dead_band=0.0) + 1e-9
    assert ascent(series, dead_band=0.0) == pytest.approx(
        float(np.maximum(np.diff(series), 0.0).sum()), abs=1e-6
    )


@given(offset=st.floats(-200.0, 3000.0))
def test_a_constant_offset_changes_no_grade(offset: float) -> None:
    along = np.arange(0.0, 3000.0, 7.0)
    true = 20.0 * np.sin(along / 300.0)

    assert profile_of(along, true + offset).grade == pytest.approx(profile_of(along, true).grade, abs=1e-6)


def test_a_negative_dead_band_is_refused() -> None:
    with pytest.raises(InputError, match="dead_band_m"):
        ascent(np.array([1.0]), dead_band=-1.0)
