"""From a job's rides to planned ones: read once, mended aloud, joined where they share a charge."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sizing_examples import catalogue, job_ride, light_job
from wattwright.errors import FileError, InputError
from wattwright.files.catalogue_file import demo_folder
from wattwright.sizing.brief import PlannedRide
from wattwright.workflow import planned_rides as module
from wattwright.workflow.briefing import brief_of
from wattwright.workflow.planned_rides import planned_rides

DEMO_TRACK = "rides/hill-round.gpx"


def test_rides_with_a_charge_between_them_stay_apart() -> None:
    rides, _ = planned_rides((job_ride(name="a"), job_ride(name="b")), Path())

    assert [ride.name for ride in rides] == ["a", "b"]


def test_rides_on_one_charge_are_joined_and_each_is_ridden_alone_as_often_as_it_is_besides() -> None:
    """By hand: 6 times a week in 12 months, of which 2 a week in 4 months go on to b: (72 − 8) / 12."""
    chain = (
        job_ride(name="a", times_per_week=6.0, load=5.0, charged_after=False, distance=7_000.0),
        job_ride(name="b", times_per_week=2.0, load=30.0, months=(1, 2, 11, 12), distance=4_000.0),
    )
    rides, notes = planned_rides(chain, Path())

    joined, alone = rides
    assert joined.name == "a + b"
    assert joined.months == (1, 2, 11, 12)
    assert (joined.times_per_week, joined.load) == (2.0, 30.0)
    assert joined.path.distance == pytest.approx(11_000.0, rel=1e-3)
    assert (alone.name, alone.load) == ("a", 5.0)
    assert alone.times_per_week == pytest.approx((6 * 12 - 2 * 4) / 12)
    assert any("ridden on one charge" in note and "30 kg" in note for note in notes)


def test_rides_on_one_charge_without_a_month_in_common_are_refused() -> None:
    chain = (job_ride(name="a", months=(6, 7), charged_after=False), job_ride(name="b", months=(1,)))

    with pytest.raises(
        InputError, match=r"months of “b”.*at least one of those of “a”.*charged_after = true"
    ):
        planned_rides(chain, Path())


def test_a_last_ride_without_a_charge_after_it_is_taken_as_charged_and_said() -> None:
    rides, notes = planned_rides((job_ride(name="a", charged_after=False),), Path())

    assert [ride.name for ride in rides] == ["a"]
    assert any("taken to be charged" in note for note in notes)


def test_a_round_trip_told_by_telephone_is_twice_as_long_and_as_high() -> None:
    rides, _ = planned_rides((job_ride(there_and_back=True, distance=5_000.0, ascent=80.0),), Path())

    assert rides[0].path.distance == pytest.approx(10_000.0, rel=1e-3)
    climbs = np.maximum(rides[0].path.length * np.sin(np.arctan(rides[0].path.grade)), 0.0).sum()
    assert climbs == pytest.approx(160.0, rel=0.05)


def test_a_file_used_twice_is_read_once_and_its_repairs_said_once(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[Path] = []
    usual = module.read_track
    monkeypatch.setattr(module, "read_track", lambda path: (read.append(path), usual(path))[1])
    told = job_ride(file=DEMO_TRACK, distance=0.0, ascent=0.0, stops=0)

    rides, notes = planned_rides((replace(told, name="out"), replace(told, name="again")), demo_folder())

    assert len(read) == 1
    assert rides[0].path is rides[1].path
    assert notes
    assert all("“out”" in note for note in notes)


def test_a_file_ridden_one_way_and_both_is_two_roads() -> None:
    told = job_ride(file=DEMO_TRACK, distance=0.0, ascent=0.0, stops=0)

    one_way, both = planned_rides(
        (replace(told, name="out"), replace(told, name="both", there_and_back=True)), demo_folder()
    )[0]

    assert both.path.distance == pytest.approx(2 * one_way.path.distance, rel=0.01)


def test_what_reading_and_mending_found_reaches_the_notes(shared_data: Path) -> None:
    """long-161km-mountain-nopower.tcx.gz has 20 gaps and 85 records without position (DATA.md)."""
    told = job_ride(name="tour", file="long-161km-mountain-nopower.tcx.gz", distance=0.0, ascent=0.0, stops=0)

    _, notes = planned_rides((told,), shared_data / "rides")

    assert any("without position" in note for note in notes)
    assert all(note.startswith("“tour”: ") and note.endswith(".") for note in notes)
    assert len(set(notes)) == len(notes)


def test_the_brief_carries_the_level_of_assistance() -> None:
    brief, _ = brief_of(replace(light_job(), help=0.6), Path(), catalogue())
    full, _ = brief_of(light_job(), Path(), catalogue())

    assert brief.help == 0.6
    assert brief.drive.assist.multiple == pytest.approx(0.6 * full.drive.assist.multiple)


@pytest.mark.parametrize("field", ["battery_current_limit", "regeneration_current_limit"])
def test_a_limit_above_the_controllers_own_is_refused(field: str) -> None:
    with pytest.raises(InputError, match=rf"drive\.{field}_a.*at most the controller's"):
        brief_of(replace(light_job(), **{field: 99.0}), Path(), catalogue())


FLAT_LINE = "planned-96km-no-elevation-no-time.gpx"
"""96 km without elevation or times (DATA.md)."""


def climbed(ride: PlannedRide) -> float:
    return float(np.maximum(ride.path.length * np.sin(np.arctan(ride.path.grade)), 0.0).sum())


def test_a_track_without_elevation_rides_hills_of_the_ascent_the_job_gives_or_none(shared_data: Path) -> None:
    told = job_ride(file=FLAT_LINE, distance=0.0, ascent=600.0, stops=0)
    flat = replace(told, name="flat", ascent=0.0, assume_flat=True)

    (hilly, level), notes = planned_rides((told, flat), shared_data / "rides")

    assert climbed(hilly) == pytest.approx(600.0, rel=0.05)
    assert climbed(level) == 0.0
    assert any("hills of 600 m ascent" in note for note in notes)


def test_a_track_without_elevation_and_no_word_on_it_is_refused_by_its_file(shared_data: Path) -> None:
    told = job_ride(file=FLAT_LINE, distance=0.0, ascent=0.0, stops=0)

    with pytest.raises(FileError, match=rf"{FLAT_LINE}: the track has no elevation.*ascent_m.*assume_flat"):
        planned_rides((told,), shared_data / "rides")


def test_an_ascent_beside_a_track_that_has_heights_is_refused_by_its_file() -> None:
    told = job_ride(file=DEMO_TRACK, distance=0.0, ascent=300.0, stops=0)

    with pytest.raises(InputError, match=r"hill-round\.gpx: ascent_m is 300\.0; it must be left out"):
        planned_rides((told,), demo_folder())
