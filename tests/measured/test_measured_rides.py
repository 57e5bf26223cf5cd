"""Recorded rides with power against the models, with the marks that were reached and why.

Data: the recordings listed in section 1 of the data folder's notes (origin and licences there). Pass marks
are what was attained, rounded up, for one method on all rides; the aim of 3 % is shown beside each error in
docs/measured-rides.md.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from measured_rides import AIM, RIDES, Ridden, copies, copy_of, ridden

from stated import state
from wattwright.files.tracks import read_track, read_track_bytes
from wattwright.ride.track import Track

pytestmark = pytest.mark.slow

NAMES = [ride.file for ride in RIDES]
EVERY_OTHER_KILOMETRE = {
    "hilly-57km-power.fit": 0.02,
    "mountain-51km-power-4s.tcx": 0.045,  # every 4 s only, and a third of it braked downhill
    "cold-79km-power-stops.fit": 0.05,  # stops, gaps, and a level that shifts by a third within the ride
    "rolling-41km-power.fit": 0.03,
    "flat-54km-power.fit": 0.025,
    "uphill-21km-power-gpxext.gpx": 0.02,
}
"""Attained: 1.5, 3.9, 4.3, 2.6, 1.9, 1.5 %."""
FIRST_AND_SECOND_HALF = {
    "hilly-57km-power.fit": 0.05,
    "mountain-51km-power-4s.tcx": 0.15,  # one half climbs, the other descends
    "cold-79km-power-stops.fit": 0.18,  # as above
    "rolling-41km-power.fit": 0.07,
    "flat-54km-power.fit": 0.12,  # out with one wind, back with another: one wind is fitted
    "uphill-21km-power-gpxext.gpx": 0.02,
}
"""Attained: 4.4, 14.3, 17.5, 6.5, 11.1, 1.4 %."""
MOVING_TIME = {
    "hilly-57km-power.fit": 0.015,
    "mountain-51km-power-4s.tcx": 0.055,
    "cold-79km-power-stops.fit": 0.11,  # gaps without power on the way
    "rolling-41km-power.fit": 0.02,
    "flat-54km-power.fit": 0.01,
    "uphill-21km-power-gpxext.gpx": 0.04,
}
"""Attained: 0.7, 4.9, 10.4, 1.2, 0.3, 3.2 %."""


@cache
def came_to(folder: Path, name: str) -> Ridden:
    return ridden(folder, next(ride for ride in RIDES if ride.file == name))


@pytest.mark.parametrize("name", NAMES)
def test_every_other_kilometre_tells_the_rest(
    shared_data: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    errors = came_to(shared_data, name).halves["every other kilometre"]

    state(capsys, f"{name}: {errors[0]:+.1%}, {errors[1]:+.1%} (aim {AIM:.0%})")
    assert max(map(abs, errors)) < EVERY_OTHER_KILOMETRE[name]


def test_four_of_six_rides_reach_the_aim_of_three_per_cent(shared_data: Path) -> None:
    worst = [max(map(abs, came_to(shared_data, name).halves["every other kilometre"])) for name in NAMES]

    assert sum(error <= AIM for error in worst) >= 4


@pytest.mark.parametrize("name", NAMES)
def test_one_half_tells_the_other_within_what_the_day_changed(
    shared_data: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    errors = came_to(shared_data, name).halves["first and second half"]

    state(capsys, f"{name}: {errors[0]:+.1%}, {errors[1]:+.1%} (aim {AIM:.0%})")
    assert max(map(abs, errors)) < FIRST_AND_SECOND_HALF[name]


@pytest.mark.parametrize("name", NAMES)
def test_unfitted_the_middle_eighty_per_cent_hold_the_measured_energy(shared_data: Path, name: str) -> None:
    low, _, high = came_to(shared_data, name).unfitted

    assert low <= 1.0 <= high
    assert high - low < 0.75, "so wide an interval would hold anything"


@pytest.mark.parametrize("name", NAMES)
def test_measured_power_ridden_on_the_same_road_takes_the_measured_time(
    shared_data: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    error = came_to(shared_data, name).time_by_power - 1.0

    state(capsys, f"{name}: moving time {error:+.1%}")
    assert abs(error) < MOVING_TIME[name]


@pytest.mark.parametrize("name", NAMES)
def test_the_fitted_rider_needs_about_the_measured_time_and_energy(shared_data: Path, name: str) -> None:
    """Attained: time within 7.1 %, energy within 5.6 %."""
    came = came_to(shared_data, name)

    assert came.time_by_habit == pytest.approx(1.0, abs=0.08)
    assert came.energy_by_habit == pytest.approx(1.0, abs=0.06)


@pytest.mark.parametrize("name", NAMES)
def test_fitted_coefficients_are_those_of_bicycles(shared_data: Path, name: str) -> None:
    """Ranges: references topic 1.2 (drag 0.21 to 0.63 m²; rolling 0.0022 to 0.015)."""
    told = came_to(shared_data, name).calibration

    assert told.solution.settled
    assert 0.21 < told.drag_area.value < 0.63
    assert 0.0022 < told.rolling_coefficient.value < 0.015
    assert np.hypot(told.wind_north.value, told.wind_east.value) < 5.0
    assert told.level == pytest.approx(1.0, abs=0.08)


def test_fit_and_gpx_of_one_ride_agree(shared_data: Path) -> None:
    fit, gpx = copies(shared_data)

    assert gpx.distance == pytest.approx(fit.distance, rel=0.01)
    assert gpx.measured == pytest.approx(fit.measured, rel=0.001)
    assert gpx.modelled == pytest.approx(fit.modelled, rel=0.01)


def test_a_tcx_of_the_same_points_agrees(shared_data: Path) -> None:
    track = read_track(shared_data / "rides" / "hilly-57km-power.fit").track
    tcx = copy_of("TCX", read_track_bytes("hilly.tcx", _as_tcx(track)).track)
    fit = copy_of("FIT", track)

    assert tcx.distance == pytest.approx(fit.distance, rel=1e-4)
    assert tcx.measured == pytest.approx(fit.measured, rel=1e-4)
    assert tcx.modelled == pytest.approx(fit.modelled, rel=0.01)


def _as_tcx(track: Track) -> bytes:
    """The track written out as TCX."""
    times = np.datetime_as_string(track.time.astype("datetime64[s]"))
    points = (
        f"<Trackpoint><Time>{time}Z</Time><Position><LatitudeDegrees>{latitude:.7f}</LatitudeDegrees>"
        f"<LongitudeDegrees>{longitude:.7f}</LongitudeDegrees></Position><AltitudeMeters>{altitude:.1f}"
        f"</AltitudeMeters><DistanceMeters>{distance:.2f}</DistanceMeters><Extensions><n:TPX><n:Speed>"
        f"{speed:.3f}</n:Speed><n:Watts>{power:.0f}</n:Watts></n:TPX></Extensions></Trackpoint>"
        for time, latitude, longitude, altitude, distance, speed, power in zip(
            times, track.latitude, track.longitude, track.altitude, track.distance, track.speed, track.power,
            strict=True,
        )
    )  # fmt: skip
    head = '<TrainingCenterDatabase xmlns="urn:tcx" xmlns:n="urn:n"><Activities><Activity><Lap><Track>'
    tail = "</Track></Lap></Activity></Activities></TrainingCenterDatabase>"
    return (head + "".join(points) + tail).encode()
