"""Lanes: their moments, their centre, their order, and wind as it blows."""

import csv
import gzip
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wattwright.errors import InputError
from wattwright.ride.air import air_density
from wattwright.ride.lanes import Lanes
from wattwright.ride.quasi_random import quasi_random_points
from wattwright.ride.spread import CentralValues, Spread, draw_lanes, weibull_shape
from wattwright.units import FloatArray, kelvin_from_celsius, radians_from_degrees

CENTRE = CentralValues(
    mass=112.0,
    drag_area=0.58,
    rolling_coefficient=0.0085,
    rider_power=85.0,
    drivetrain_efficiency=0.96,
    altitude=350.0,
    temperature=kelvin_from_celsius(4.0),
    temperature_spread=5.0,
    humidity=0.8,
    wind=4.0,
    wind_from=radians_from_degrees(240.0),
    shelter=0.6,
    capacity_factor=0.93,
    resistance_factor=1.2,
    start_charge=0.9,
)
SPREAD = Spread(
    mass=4.0,
    drag_area=0.1,
    rolling_coefficient=0.2,
    rider_power=0.15,
    wind=0.5227,
    capacity=0.02,
    resistance=0.1,
)
CUT_DEVIATION = 0.98658
"""Standard deviation of a standard normal cut at ±3: √(1 − 6 φ(3) / (2 Φ(3) − 1))."""
FIELDS = Lanes.__dataclass_fields__


def lanes_of(samples: int = 4001, seed: int = 3, **changes: object) -> Lanes:
    return draw_lanes(replace(CENTRE, **changes), SPREAD, samples, seed)


@pytest.mark.parametrize(
    ("name", "middle", "deviation"),
    [
        ("mass", 112.0, 4.0),
        ("drag_area", 0.58, 0.058),
        ("rolling_coefficient", 0.0085, 0.0017),
        ("rider_power", 85.0, 12.75),
        ("air_temperature", 277.15, 5.0),
        ("capacity_factor", 0.93, 0.0186),
        ("resistance_factor", 1.2, 0.12),
    ],
)
def test_moments_are_those_that_were_asked_for(name: str, middle: float, deviation: float) -> None:
    """Law: mean, standard deviation and cut of a normal at ±3 deviations, in closed form."""
    scatter = (getattr(lanes_of(), name) - middle) / deviation

    assert scatter.mean() == pytest.approx(0.0, abs=0.003)
    assert scatter.std() == pytest.approx(CUT_DEVIATION, abs=0.003)
    assert np.abs(scatter).max() <= 3.0 + 1e-9
    assert np.abs(scatter).max() > 2.7


def test_lane_0_carries_exactly_the_central_values() -> None:
    lanes = lanes_of(samples=50)
    first = {name: float(getattr(lanes, name)[0]) for name in FIELDS}
    wind = CENTRE.wind * CENTRE.shelter

    assert first == {
        "mass": 112.0,
        "drag_area": 0.58,
        "rolling_coefficient": 0.0085,
        "air_density": air_density(350.0, CENTRE.temperature, 0.8),
        "wind_north": wind * math.cos(radians_from_degrees(240.0)),
        "wind_east": wind * math.sin(radians_from_degrees(240.0)),
        "air_temperature": CENTRE.temperature,
        "rider_power": 85.0,
        "drivetrain_efficiency": 0.96,
        "capacity_factor": 0.93,
        "resistance_factor": 1.2,
        "start_charge": 0.9,
    }


def test_one_lane_is_the_central_one() -> None:
    assert lanes_of(samples=1).count == 1
    assert lanes_of(samples=1).mass.tolist() == [112.0]


def test_wind_from_anywhere_leaves_the_central_lane_calm() -> None:
    lanes = lanes_of(wind_from=None)

    assert (lanes.wind_north[0], lanes.wind_east[0]) == (0.0, 0.0)
    assert lanes.wind_north.mean() == pytest.approx(0.0, abs=0.02)
    assert lanes.wind_east.mean() == pytest.approx(0.0, abs=0.02)
    assert np.hypot(lanes.wind_north, lanes.wind_east)[1:].mean() == pytest.approx(2.4, rel=0.01)


def test_same_seed_same_lanes_other_seed_other_lanes() -> None:
    lanes, again, other = lanes_of(seed=3), lanes_of(seed=3), lanes_of(seed=4)

    for name in FIELDS:
        assert np.array_equal(getattr(lanes, name), getattr(again, name))
    assert not np.any(lanes.mass[1:] == other.mass[1:])
    assert not np.any(lanes.wind_north[1:] == other.wind_north[1:])


def test_fewer_samples_are_the_first_of_more() -> None:
    assert np.array_equal(lanes_of(samples=200).mass, lanes_of(samples=900).mass[:200])


@settings(max_examples=15)
@given(seed=st.integers(0, 2**63), samples=st.integers(2, 300))
def test_every_quantity_follows_its_own_point_and_no_other(seed: int, samples: int) -> None:
    """Monotone mapping: a larger point never gives a smaller value."""
    lanes = lanes_of(samples=samples, seed=seed, wind_from=0.0, wind_direction_spread=0.0)
    points = quasi_random_points(samples - 1, 9, seed)
    by_column = (
        lanes.mass, lanes.wind_north, None, lanes.rider_power, lanes.rolling_coefficient, lanes.drag_area,
        lanes.air_temperature, lanes.capacity_factor, lanes.resistance_factor,
    )  # fmt: skip

    for column, values in enumerate(by_column):
        if values is not None:
            assert np.all(np.diff(values[1:][np.argsort(points[:, column])]) >= 0.0)


def test_quantities_do_not_hang_together() -> None:
    lanes = lanes_of()
    free = [lanes.mass, lanes.drag_area, lanes.rolling_coefficient, lanes.rider_power, lanes.air_temperature]
    correlation = np.corrcoef([*free, lanes.capacity_factor, lanes.resistance_factor])

    assert np.abs(correlation - np.eye(len(correlation))).max() < 0.03


def test_density_goes_with_each_lanes_own_temperature() -> None:
    lanes = lanes_of(samples=20)

    for kelvin, density in zip(lanes.air_temperature, lanes.air_density, strict=True):
        assert density == pytest.approx(air_density(350.0, float(kelvin), 0.8), rel=1e-14)


@pytest.mark.parametrize("share", [0.2, 0.4, 0.5227, 0.8])
def test_wind_speed_is_weibull_with_the_mean_and_spread_asked_for(share: float) -> None:
    """Sibling: scipy's Weibull quantiles with our shape; moments, less what the cut at 99.87 % takes."""
    stats = pytest.importorskip("scipy.stats")
    shape = weibull_shape(share)
    law = stats.weibull_min(shape, scale=1.0 / math.gamma(1.0 + 1.0 / shape))
    assert law.mean() == pytest.approx(1.0, rel=1e-9)
    assert law.std() == pytest.approx(share, rel=1e-9)
    lanes = draw_lanes(CENTRE, replace(SPREAD, wind=share), samples=4001, seed=3)
    wind = np.hypot(lanes.wind_north, lanes.wind_east)[1:]
    cut = stats.norm.cdf([-3.0, 3.0])
    shares = cut[0] + quasi_random_points(4000, 9, seed=3)[:, 1] * (cut[1] - cut[0])

    np.testing.assert_allclose(wind, 2.4 * law.ppf(shares), rtol=1e-9)
    assert wind.mean() == pytest.approx(2.4, rel=0.006)
    assert wind.std() / wind.mean() == pytest.approx(share, rel=0.02)


def test_rayleigh_wind_has_shape_2() -> None:
    """Closed form: Rayleigh's deviation over mean is √(4/π − 1)."""
    assert weibull_shape(math.sqrt(4.0 / math.pi - 1.0)) == pytest.approx(2.0, abs=1e-9)


def test_a_years_wind_at_a_real_station_is_near_rayleigh(shared_data: Path) -> None:
    """Hourly wind of a typical year, 7 to 19 h: deviation over mean beside Rayleigh's 0.523."""
    speed, _ = station_wind(shared_data)

    assert speed.std() / speed.mean() == pytest.approx(0.521, abs=0.001)


def test_usual_direction_scatters_no_wider_than_a_real_stations_steadiest_month(shared_data: Path) -> None:
    """Circular deviation √(−2 ln R) by month; the steadiest two months gave our 80°."""
    months = sorted(
        math.degrees(circular_deviation(*station_wind(shared_data, month))) for month in range(1, 13)
    )

    assert months[0] == pytest.approx(81.0, abs=1.0)
    assert months[6] == pytest.approx(105.0, abs=5.0)
    assert math.degrees(CENTRE.wind_direction_spread) == pytest.approx(months[0], abs=2.0)


def station_wind(shared_data: Path, month: int | None = None) -> tuple[FloatArray, FloatArray]:
    """Speed and direction by day of the typical year in ``tmy3_723170_temperate.csv.gz``."""
    path = shared_data / "weather-terrain" / "tmy3_723170_temperate.csv.gz"
    with gzip.open(path, "rt") as text:
        next(text)
        rows = [
            (float(row["Wspd (m/s)"]), float(row["Wdir (degrees)"]))
            for row in csv.DictReader(text)
            if 7 <= int(row["Time (HH:MM)"][:2]) <= 19 and month in (None, int(row["Date (MM/DD/YYYY)"][:2]))
        ]
    speed, degrees = np.array(rows).T
    return speed, np.radians(degrees)


def circular_deviation(speed: FloatArray, direction: FloatArray) -> float:
    windy = speed > 0.5
    return math.sqrt(-2.0 * math.log(abs(np.mean(np.exp(1j * direction[windy])))))


def test_wide_spreads_stay_physical() -> None:
    wide = replace(SPREAD, mass=60.0, drag_area=0.8, rolling_coefficient=1.0, rider_power=0.9)

    lanes = draw_lanes(CENTRE, wide, samples=2000, seed=1)

    assert lanes.mass.min() >= 0.1 * 112.0
    assert lanes.drag_area.min() >= 0.1 * 0.58
    assert lanes.rolling_coefficient.min() >= 0.1 * 0.0085
    assert lanes.rider_power.min() >= 0.1 * 85.0
    assert (lanes.mass[0], lanes.rolling_coefficient[0]) == (112.0, 0.0085)


def test_no_spread_makes_equal_lanes() -> None:
    none = Spread(**dict.fromkeys(Spread.__dataclass_fields__, 0.0))

    lanes = draw_lanes(replace(CENTRE, temperature_spread=0.0, wind_direction_spread=0.0), none, 30, 1)

    for name in FIELDS:
        assert np.ptp(getattr(lanes, name)) == pytest.approx(0.0, abs=1e-12)


def test_means_converge_faster_than_chance_would() -> None:
    """Error of the mean of 16 times as many lanes: chance gives a quarter, these at most an eighth."""
    errors = {
        samples: np.sqrt(
            np.mean(
                [(lanes_of(samples=samples, seed=seed).mass[1:].mean() - 112.0) ** 2 for seed in range(12)]
            )
        )
        for samples in (65, 1025)
    }

    assert errors[1025] < errors[65] / 8.0


@pytest.mark.parametrize("name", list(Spread.__dataclass_fields__))
@pytest.mark.parametrize("value", [-0.1, float("nan"), float("inf")])
def test_a_spread_that_means_nothing_is_refused(name: str, value: float) -> None:
    with pytest.raises(InputError, match=name):
        draw_lanes(CENTRE, replace(SPREAD, **{name: value}), 10, 1)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("mass", 0.0),
        ("drag_area", -1.0),
        ("rolling_coefficient", float("nan")),
        ("wind", -1.0),
        ("humidity", 80.0),
    ],
)
def test_a_centre_that_means_nothing_is_refused(name: str, value: float) -> None:
    with pytest.raises(InputError, match=name):
        lanes_of(**{name: value})


@pytest.mark.parametrize(("samples", "seed"), [(0, 1), (10, -1)])
def test_impossible_samples_and_seeds_are_refused(samples: int, seed: int) -> None:
    with pytest.raises(InputError):
        lanes_of(samples=samples, seed=seed)


def test_a_wind_without_any_rule_is_refused() -> None:
    with pytest.raises(InputError, match="wind spread"):
        draw_lanes(CENTRE, replace(SPREAD, wind=3.0), 10, 1)
