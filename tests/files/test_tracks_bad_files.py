"""Every damaged or unusual file of the collection does what its row in ``DATA.md`` asks of a reader.

Read with what was odd named, or refused in one line with a way out. What is merely unlikely (a clock that
jumps by years, 21 733 W, no height at all) is read: mending or refusing it is the ride's repair's business.
"""

from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import pytest

from wattwright.errors import FileError
from wattwright.files.tracks import read_track


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """How a file should come out."""

    points: int = 0
    refused: str = ""
    repairs: dict[str, int] = field(default_factory=dict)
    """Beginning of each remark, and its count."""
    finite: dict[str, int] = field(default_factory=dict)
    """Values present in a column."""
    pieces: int = 1
    is_virtual: bool = False


BROKEN = "the file breaks ("
RUNNING = "recorded as running"
TRACKS_JOINED = "tracks joined"

FILES = {
    "Mojstrovka.gpx": Wanted(
        points=184, repairs={"impossible dates left out": 184}, finite={"time": 0, "altitude": 184}
    ),
    "Settings.fit": Wanted(refused="it is a FIT file of settings and holds no ride"),
    "activity-filecrc.fit": Wanted(points=14, repairs={"check sum of the file wrong": 1, RUNNING: 1}),
    "activity-settings-corruptheader.fit": Wanted(points=14, repairs={RUNNING: 1, BROKEN: 1}),
    "activity-settings-nodata.fit": Wanted(points=14, repairs={RUNNING: 1, BROKEN: 1}),
    "activity-unexpected-eof.fit": Wanted(points=14, repairs={RUNNING: 1, BROKEN: 1}),
    "antfs-dump.63.fit": Wanted(refused="its 686 points hold neither positions nor a distance nor a speed"),
    "broken5.gpx": Wanted(points=2372, finite={"altitude": 2372, "time": 2372}),
    "cerknicko-jezero-with-elevations-zero.gpx": Wanted(points=296, pieces=7, repairs={TRACKS_JOINED: 8}),
    "cerknicko-jezero-without-elevations.gpx": Wanted(
        points=296, pieces=7, repairs={TRACKS_JOINED: 8}, finite={"altitude": 0}
    ),
    "cerknicko-without-times.gpx": Wanted(
        points=296, pieces=7, repairs={TRACKS_JOINED: 8}, finite={"time": 5}
    ),
    "clock-jump.fit": Wanted(
        points=1816, pieces=11, repairs={"points without position": 72}, finite={"time": 1816}
    ),
    "custom_schema_locations.gpx": Wanted(refused="it holds no track points"),
    "elemnt-bolt-no-application-id-inside-developer-data-id.fit": Wanted(
        points=132, repairs={"points without position": 1}, finite={"power": 115, "altitude": 56}
    ),
    "first_and_last_elevation.gpx": Wanted(points=10, finite={"altitude": 2}),
    "garmin-edge-820-bike.fit": Wanted(points=15, finite={"temperature": 15}),
    "gpx1.1_with_all_fields.gpx": Wanted(
        points=5, pieces=2, repairs={"no recorded track: the planned route was read": 5, "routes joined": 2}
    ),
    "gpx_with_garmin_extension.gpx": Wanted(refused="it holds way points but no track"),
    "metadata-only.gpx": Wanted(refused="it holds no track points"),
    "misaligned-fields.fit": Wanted(points=11272, pieces=6, repairs={"points without position": 967}),
    "no-namespace-bom.gpx": Wanted(points=3497, finite={"altitude": 3497, "time": 3497}),
    "power-spike-21733W.fit": Wanted(
        points=6255, pieces=5, repairs={"points without position": 12}, finite={"power": 6255 - 618}
    ),
    "same-timestamp.tcx": Wanted(points=48, finite={"distance": 48, "time": 48}),
    "track-with-empty-segment.gpx": Wanted(points=9),
    "track-with-extremes.gpx": Wanted(points=25, finite={"time": 0}),
    "track-with-less-sec-time.gpx": Wanted(points=2),
    "track_with_speed.gpx": Wanted(points=3, finite={"speed": 3}),
    "unicode_with_bom.gpx": Wanted(refused="it holds way points but no track"),
    "virtual-ride-zero-heart-rate.fit": Wanted(points=1808, is_virtual=True),
}


@pytest.mark.parametrize("name", FILES)
def test_each_bad_file_is_read_or_refused_as_it_deserves(shared_data: Path, name: str) -> None:
    wanted, path = FILES[name], shared_data / "rides" / "bad" / name
    if wanted.refused:
        with pytest.raises(FileError, match=wanted.refused) as caught:
            read_track(path)
        assert "\n" not in str(caught.value)
        return

    read = read_track(path)

    assert len(read.track.time) == wanted.points
    assert len(np.unique(read.track.segment)) == wanted.pieces
    assert read.track.is_virtual is wanted.is_virtual
    assert len(read.repairs) == len(wanted.repairs), read.repairs
    for repair, (what, count) in zip(read.repairs, wanted.repairs.items(), strict=True):
        assert repair.what.startswith(what)
        assert repair.count == count
    for column, count in wanted.finite.items():
        assert np.isfinite(getattr(read.track, column)).sum() == count, column


def test_the_table_leaves_no_bad_file_out(shared_data: Path) -> None:
    assert {path.name for path in (shared_data / "rides" / "bad").iterdir()} == set(FILES)


def test_oddities_that_the_repair_must_see_are_handed_on(shared_data: Path) -> None:
    """The clock's jump of two years, the sample of 21 733 W, 46 repeats among 48 stamps (``DATA.md``)."""
    clock, spike, stamp = (
        read_track(shared_data / "rides" / "bad" / name).track
        for name in ("clock-jump.fit", "power-spike-21733W.fit", "same-timestamp.tcx")
    )

    assert np.ptp(clock.time) / 60.0 == pytest.approx(1_139_044, abs=1.0)
    assert np.nanmax(spike.power) == 21_733.0
    assert (np.diff(stamp.time) == 0.0).sum() == 46
