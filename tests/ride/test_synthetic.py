"""The ride told over the telephone: exact in length and climb, plausible in between."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wattwright.errors import InputError
from wattwright.ride.path import RidePath
from wattwright.ride.synthetic import STEEPEST_MEAN, hilly_heights, synthetic_path
from wattwright.units import FloatArray


def rises(path: RidePath) -> FloatArray:
    """Height gained in each segment."""
    return np.asarray(path.length * np.sin(np.arctan(path.grade)))


@st.composite
def told(draw: st.DrawFn) -> tuple[float, float, float, int, int]:
    """Distance, ascent, net climb, stops and seed that fit each other."""
    distance = draw(st.floats(200.0, 150_000.0))
    climb = draw(st.floats(0.0, STEEPEST_MEAN)) * distance
    up = draw(st.floats(0.0, 1.0)) * climb
    stops = draw(st.integers(0, max(int(distance / 50.0), 0)))
    return distance, up, up - 0.999 * (climb - up), stops, draw(st.integers(0, 10_000))


@settings(max_examples=200, deadline=None)
@given(ride=told())
def test_length_ascent_and_net_climb_are_exact(ride: tuple[float, float, float, int, int]) -> None:
    distance, ascent, net, stops, seed = ride

    path = synthetic_path(distance, ascent, net_climb=net, stops=stops, seed=seed)

    climbed = rises(path)
    assert path.distance == pytest.approx(distance)
    assert np.maximum(climbed, 0.0).sum() == pytest.approx(ascent, abs=1e-6)
    assert climbed.sum() == pytest.approx(net, abs=1e-6)
    assert np.sum(path.dwell > 0.0) == stops
    assert np.sum(path.speed_cap == 0.0) == stops + 1
    for name in ("length", "grade", "heading", "altitude", "speed_cap"):
        assert np.isfinite(getattr(path, name)).all(), name


@settings(max_examples=100, deadline=None)
@given(distance=st.floats(2_000.0, 150_000.0), share=st.floats(0.0, 1.0), seed=st.integers(0, 10_000))
def test_no_hill_is_steeper_than_a_road(distance: float, share: float, seed: int) -> None:
    ascent = share * 0.5 * STEEPEST_MEAN * distance

    path = synthetic_path(distance, ascent, seed=seed)

    assert np.abs(path.grade).max() <= 0.35


def test_the_same_seed_gives_the_same_road_and_another_another() -> None:
    one, same, other = (synthetic_path(30_000.0, 300.0, seed=seed) for seed in (4, 4, 5))

    assert np.array_equal(one.grade, same.grade)
    assert not np.array_equal(one.grade, other.grade)


def test_an_ordinary_ride_has_ordinary_hills_bends_and_stops() -> None:
    """40 km with 400 m: about ten hills of 40 m at 2 to 9 %, no bend that slows anybody, stops spread."""
    path = synthetic_path(40_000.0, 400.0, stops=9)

    climbing = path.grade > 0.005
    hills = int(np.sum(np.diff(climbing.astype(int)) == 1))
    assert 8 <= hills <= 12
    assert 0.02 < np.mean(path.grade[climbing]) < 0.06
    assert path.grade.max() < 0.10
    away = (np.cumsum(path.length)[path.dwell > 0.0] / 4000.0) - np.arange(1, 10)
    assert np.abs(away).max() < 0.01
    assert np.mean(path.speed_cap > path.speed_cap.max() - 1e-6) > 0.95


def test_wind_helps_as_long_as_it_hinders() -> None:
    """Headings go round the compass: the mean direction is within a tenth of none."""
    path = synthetic_path(40_000.0, 400.0)

    mean = np.hypot(np.mean(np.cos(path.heading)), np.mean(np.sin(path.heading)))

    assert mean < 0.1


def test_a_flat_ride_is_flat() -> None:
    path = synthetic_path(10_000.0, 0.0, first_altitude=420.0)

    assert np.all(path.grade == 0.0)
    assert np.all(path.altitude == 420.0)
    assert np.isnan(path.latitude).all()
    assert path.title == "10 km with 0 m of ascent"


def test_hills_under_a_track_climb_what_was_told() -> None:
    distance = np.cumsum(np.full(3000, 7.0))

    heights = hilly_heights(distance, ascent=200.0, seed=1)

    assert np.maximum(np.diff(heights), 0.0).sum() == pytest.approx(200.0, rel=0.01)
    assert heights[-1] == pytest.approx(heights[0], abs=0.1)


@pytest.mark.parametrize(
    ("field", "arguments"),
    [
        ("distance_km", {"distance": 10.0}),
        ("distance_km", {"distance": 1e9}),
        ("distance_km", {"distance": float("nan")}),
        ("ascent_m", {"ascent": -1.0}),
        ("ascent_m", {"ascent": 5000.0}),
        ("ascent_m", {"ascent": float("inf")}),
        ("net_climb_m", {"net_climb": 200.0}),
        ("net_climb_m", {"net_climb": float("nan")}),
        ("stops", {"stops": -1}),
        ("stops", {"stops": 5000}),
        ("stop_duration_s", {"stop_duration": -1.0}),
        ("segment_length_m", {"segment_length": 0.0}),
    ],
)
def test_what_cannot_be_is_refused_by_name(field: str, arguments: dict[str, float]) -> None:
    ride: dict[str, float] = {"distance": 20_000.0, "ascent": 100.0} | arguments

    with pytest.raises(InputError, match=field):
        synthetic_path(**ride)  # type: ignore[arg-type]
