"""Points against independent readers, and the copies of one ride against each other."""

import gzip
import math
from pathlib import Path

import fitdecode
import gpxpy
import numpy as np
import pytest

from wattwright.files.fit import DEGREES_PER_SEMICIRCLE
from wattwright.files.tracks import read_track
from wattwright.units import celsius_from_kelvin

GPX_FILES = (
    "climb-6km.gpx",
    "uphill-21km-power-gpxext.gpx",
    "planned-96km-no-elevation-no-time.gpx",
    "hilly-57km-power.gpx.gz",
    "bad/broken5.gpx",
    "bad/no-namespace-bom.gpx",
    "bad/cerknicko-without-times.gpx",
    "bad/track_with_speed.gpx",
)
FIT_FILES = ("hilly-57km-power.fit", "bad/misaligned-fields.fit", "bad/virtual-ride-zero-heart-rate.fit")


def value_or_nan(value: float | None) -> float:
    """Absent values as a track has them."""
    return math.nan if value is None else float(value)


@pytest.mark.parametrize("name", GPX_FILES)
def test_gpx_points_are_those_gpxpy_reads(shared_data: Path, name: str) -> None:
    """Independent reader: gpxpy 1.6.2, Apache-2.0."""
    content = (shared_data / "rides" / name).read_bytes()
    text = (gzip.decompress(content) if name.endswith(".gz") else content).decode("utf-8-sig")
    segments = [segment.points for track in gpxpy.parse(text).tracks for segment in track.segments]
    points = [point for segment in segments for point in segment]

    track = read_track(shared_data / "rides" / name).track

    np.testing.assert_array_equal(track.latitude, [point.latitude for point in points])
    np.testing.assert_array_equal(track.longitude, [point.longitude for point in points])
    np.testing.assert_array_equal(track.altitude, [value_or_nan(point.elevation) for point in points])
    times = [value_or_nan(point.time and point.time.timestamp()) for point in points]
    np.testing.assert_allclose(track.time, times, atol=1e-6)
    lengths = [len(segment) for segment in segments if segment]
    np.testing.assert_array_equal(np.unique(track.segment, return_counts=True)[1], lengths)


@pytest.mark.parametrize("name", FIT_FILES)
def test_fit_records_are_those_the_decoder_gives_with_its_own_conversions(
    shared_data: Path, name: str
) -> None:
    """Fitdecode 0.11, MIT, with its default data processor, which the reader goes without."""
    quiet = fitdecode.ErrorHandling.IGNORE  # one file's fields are out of step, which is why it is here
    with fitdecode.FitReader(shared_data / "rides" / name, error_handling=quiet) as reader:
        messages = [frame for frame in reader if frame.frame_type == fitdecode.FIT_FRAME_DATA]
    records = [message for message in messages if message.name == "record"]

    def column(field: str) -> list[float]:
        return [value_or_nan(record.get_value(field, fallback=None)) for record in records]

    track = read_track(shared_data / "rides" / name).track

    np.testing.assert_array_equal(
        track.time, [record.get_value("timestamp").timestamp() for record in records]
    )
    np.testing.assert_allclose(track.latitude, np.array(column("position_lat")) * DEGREES_PER_SEMICIRCLE)
    for field in ("distance", "power"):
        np.testing.assert_allclose(getattr(track, field), column(field))
    np.testing.assert_allclose(track.altitude, column("enhanced_altitude"))
    np.testing.assert_allclose(track.speed, column("enhanced_speed"))


def test_gpx_and_fit_copies_of_one_ride_agree_point_by_point(shared_data: Path) -> None:
    """The GPX copy's places are rounded to 10⁻⁶° (``DATA.md``: one ride in two forms)."""
    fit = read_track(shared_data / "rides" / "hilly-57km-power.fit").track
    gpx = read_track(shared_data / "rides" / "hilly-57km-power.gpx.gz").track

    np.testing.assert_array_equal(gpx.time, fit.time)
    np.testing.assert_allclose(gpx.latitude, fit.latitude, atol=5.1e-7)
    np.testing.assert_allclose(gpx.longitude, fit.longitude, atol=5.1e-7)
    np.testing.assert_allclose(gpx.altitude, fit.altitude, atol=1e-9)
    np.testing.assert_array_equal(gpx.power, fit.power)
    np.testing.assert_array_equal(gpx.temperature, fit.temperature)
    assert fit.rider_mass == 81.0


@pytest.mark.parametrize(
    ("name", "records", "mean_power", "km"),
    [
        ("hilly-57km-power.fit", 8357, 219, 57.6),
        ("rolling-41km-power.fit", 4700, 276, 41.3),
        ("cold-79km-power-stops.fit", 13471, 103, 78.9),
        ("flat-54km-power.fit", 7259, 159, 54.3),
        ("mountain-51km-power-4s.tcx", 1863, 177, 51.0),
        ("long-161km-mountain-nopower.tcx.gz", 6653, None, 161.3),
        ("short-25km-hr.tcx", 2697, None, 24.7),
        ("city-10km.tcx", 1812, None, 9.8),
    ],
)
def test_records_power_and_distance_are_those_of_the_data_sheet(
    shared_data: Path, name: str, records: int, mean_power: int | None, km: float
) -> None:
    """``DATA.md``, section 1: counted there with fitdecode and lxml, printed to 1 W and 0.1 km.

    Its means are reproduced if the first sample, which closes no interval, is not counted: on one ride that
    decides between 275 and 276 W.
    """
    track = read_track(shared_data / "rides" / name).track

    assert len(track.time) == records
    if mean_power is not None:
        intervals = np.isfinite(track.power).sum() - 1
        assert np.nansum(track.power) / intervals == pytest.approx(mean_power, abs=0.5)
    assert np.nanmax(track.distance) / 1000.0 == pytest.approx(km, abs=0.06)


def test_cold_ride_is_cold_and_a_velodrome_has_no_places(shared_data: Path) -> None:
    """``DATA.md``: 3 °C; indoor track without GPS, 9.3 km."""
    cold = read_track(shared_data / "rides" / "cold-79km-power-stops.fit").track
    indoor = read_track(shared_data / "rides" / "field-tests" / "velodrome-run1.tcx.gz").track

    assert celsius_from_kelvin(float(np.nanmean(cold.temperature))) == pytest.approx(3.0, abs=0.6)
    assert np.isnan(indoor.latitude).all()
    assert np.nanmax(indoor.distance) == pytest.approx(9300.0, abs=60.0)


def test_a_long_recording_is_read_whole(shared_data: Path) -> None:
    """99 998 records, standing still at a claimed 8.3 m/s (``DATA.md``)."""
    track = read_track(shared_data / "rides" / "huge-99998-records.fit").track

    assert len(track.time) == 99_998
    assert np.median(track.speed) == pytest.approx(8.3, abs=0.06)
