"""The demo's rides: made by the script, readable, plausible, and nobody's."""

import importlib.util
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from wattwright.files.catalogue_file import demo_folder
from wattwright.files.job_file import read_job
from wattwright.files.tracks import read_track

RIDES = sorted((demo_folder() / "rides").iterdir())
SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "make_demo_rides.py"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    """The script that makes the rides."""
    spec = importlib.util.spec_from_file_location("make_demo_rides", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    import sys  # noqa: PLC0415

    sys.modules[spec.name] = module  # its dataclasses look their module up
    spec.loader.exec_module(module)
    return module


def test_every_ride_a_job_names_is_there_and_every_ride_is_named() -> None:
    named = {
        (demo_folder() / ride.file).resolve()
        for path in demo_folder().glob("*.toml")
        for ride in read_job(path).rides
        if ride.file
    }

    assert named == {path.resolve() for path in RIDES}
    assert {path.suffix for path in RIDES} == {".gpx", ".tcx", ".csv"}


def test_the_script_makes_the_shipped_rides(
    script: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    script.main(tmp_path)

    assert str(len(RIDES)) == str(len(capsys.readouterr().out.splitlines()))
    for path in RIDES:
        made, shipped = read_track(tmp_path / path.name).track, read_track(path).track
        np.testing.assert_allclose(made.latitude, shipped.latitude, atol=2e-6)
        np.testing.assert_allclose(made.altitude, shipped.altitude, atol=0.21)
        np.testing.assert_array_equal(made.time, shipped.time)


@pytest.mark.parametrize("path", RIDES, ids=lambda path: path.name)
def test_a_ride_is_small_and_lies_in_open_sea(path: Path) -> None:
    """46° N 32° W is in the North Atlantic, some 500 km from the nearest island."""
    track = read_track(path).track

    assert path.stat().st_size < 400_000
    assert np.all(np.abs(track.latitude - 46.0) < 0.4)
    assert np.all(np.abs(track.longitude + 32.0) < 0.5)


@pytest.mark.parametrize("path", RIDES, ids=lambda path: path.name)
def test_a_ride_looks_recorded(path: Path) -> None:
    """Steps of a few seconds, gaps where the bicycle stood, altitude in steps of 0.2 m."""
    track = read_track(path).track
    steps = np.diff(track.time)

    assert 1.0 <= np.median(steps) <= 5.0
    assert steps.max() > 10.0
    assert np.all(steps > 0)
    assert 0.5 < np.ptp(track.altitude) < 500
    assert np.allclose(track.altitude * 5, np.round(track.altitude * 5))
