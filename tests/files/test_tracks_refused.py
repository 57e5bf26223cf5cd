"""What is no ride, is only part of one, or means harm, is refused in one line that says what would do."""

import gzip
import io
import zipfile

import numpy as np
import pytest

import track_examples as examples
from wattwright.errors import FileError
from wattwright.files.track_bytes import unpacked
from wattwright.files.track_rows import MOST_POINTS, WIDTH, Recording
from wattwright.files.tracks import read_track_bytes

LAUGHS = "".join(f'<!ENTITY l{i} "{f"&l{i - 1};" * 10}">' for i in range(1, 10))
BOMB = f'<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY l0 "ha">{LAUGHS}]>'


def zipped() -> bytes:
    store = io.BytesIO()
    with zipfile.ZipFile(store, "w") as archive:
        archive.writestr("ride.gpx", examples.gpx())
    return store.getvalue()


@pytest.mark.parametrize(
    ("content", "wanted"),
    [
        (b"", "it is empty"),
        (b"\n \n", "neither GPX, TCX nor FIT"),
        (gzip.compress(b""), "it is empty"),
        (gzip.compress(gzip.compress(b"x")), "packed twice"),
        (zipped(), "zip archive"),
        (b"%PDF-1.7 ...", "a PDF"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01", "not a ride in any form"),
        (b"\0" * 100_000, "not a ride in any form"),
        (b'{"points": []}', "neither GPX, TCX nor FIT"),
        (b"<!DOCTYPE html><html><body>Sign in</body></html>", "a web page"),
        (b"<html><body>Sign in</body></html>", "begins with <html>"),
        (b'<kml xmlns="urn:kml"></kml>', "begins with <kml>"),
        (b"<gpx></gpx>", "no track points"),
        (b"<gpx", "breaks before its first element"),
        (b"<gpx>" + b"<wpt lat='1' lon='2'/>" * 3 + b"</gpx>", "way points but no track"),
        (examples.gpx_with(examples.gpx_point(46.0, 14.0)).encode(), "a single point"),
        (examples.gpx_with("<trkpt/>" * 5).encode(), "neither positions nor a distance"),
        (BOMB.encode() + b"<gpx>&l9;</gpx>", "document type"),
        (BOMB.encode("utf-16") + "<gpx a='&l9;'/>".encode("utf-16-le"), "document type"),
        (b'<!DOCTYPE gpx SYSTEM "file:///etc/passwd"><gpx/>', "document type"),
        (b'<?xml version="1.0" encoding="zip"?><gpx/>', "encoding 'zip' is not known"),
        (b'<?xml version="1.0" encoding="nonsense"?><gpx/>', "encoding 'nonsense' is not known"),
        (b"<gpx>" * 101, "more than 100 elements deep"),
        (b"<gpx><trk><trkseg>" + b"<trkpt lat='1' lon='2'>" * 101, "more than 100 elements deep"),
        (b"<gpx a='" + b"x" * 3_000_000 + b"'/>", "a mark of more than 1 MB"),
        (b"<gpx><trk><name>" + b"x" * 3_000_000 + b"</name></trk></gpx>", "a mark of more than 1 MB"),
        (b"power_w," + b"x" * 200_000, "100,000 characters"),
        (examples.fit_file(b"", kind=2), "FIT file of settings"),
        (examples.fit()[:11], "not a ride|neither"),
        (examples.fit()[:14], "breaks before its first point"),
    ],
)
def test_refused_in_one_line_with_a_way_out(content: bytes, wanted: str) -> None:
    with pytest.raises(FileError, match=wanted) as caught:
        read_track_bytes("ride.gpx", content)

    line = str(caught.value)
    assert line.startswith("ride.gpx: ")
    assert "\n" not in line
    assert caught.value.way_out.endswith(".")


def test_a_bomb_is_put_out_at_the_bound_and_not_after_it() -> None:
    packed = gzip.compress(b" " * 50_000_000)

    with unpacked(io.BytesIO(packed), "bomb.gpx.gz", largest=2 * 1024**2) as (counted, stream):
        with pytest.raises(FileError, match="larger than 2 MB"):
            stream.read()
        assert counted.passed <= 2 * 1024**2 + 64 * 1024


def test_too_many_points_are_refused() -> None:
    recording = Recording(name="long.gpx")
    recording.rows.frombytes(bytes(8 * WIDTH * (MOST_POINTS + 1)))

    with pytest.raises(FileError, match="more than 3,000,000 points"):
        recording.check_size()


@pytest.mark.parametrize(
    ("content", "points"),
    [
        (examples.gpx().encode()[:-60], 3),
        (examples.tcx().encode()[:-150], 3),
        (examples.fit_file(b"".join(map(examples.fit_record, examples.POINTS)))[:-7], 3),
        (gzip.compress(examples.gpx().encode(), compresslevel=0)[:-68], 3),
        (gzip.compress(examples.csv().encode(), compresslevel=0)[:-8], 4),
    ],
    ids=["GPX", "TCX", "FIT", "packed GPX", "packed CSV"],
)
def test_a_ride_whose_end_is_missing_is_refused_unless_it_is_asked_for(content: bytes, points: int) -> None:
    with pytest.raises(FileError, match=f"after point {points} and the rest of the ride is missing"):
        read_track_bytes("ride", content)

    read = read_track_bytes("ride", content, accept_cut_off=True)

    assert len(read.track.time) == points
    assert read.repairs[-1].what.startswith("the file breaks (")
    assert read.repairs[-1].where == f"point {points}"


@pytest.mark.parametrize(
    "content",
    [
        examples.gpx().encode().removesuffix(b"</gpx>"),
        examples.tcx().encode().removesuffix(b"</TrainingCenterDatabase>"),
        examples.fit()[:-1],
        gzip.compress(examples.gpx().encode(), compresslevel=0)[:-4],
    ],
    ids=["GPX", "TCX", "FIT", "packed"],
)
def test_a_file_that_breaks_after_the_rides_own_end_is_read_and_said_so(content: bytes) -> None:
    read = read_track_bytes("ride", content)

    assert len(read.track.time) == 4
    assert "what came before was read" in read.repairs[-1].what


def test_what_cannot_be_is_blanked_and_reported_with_its_first_place() -> None:
    good = "<ele>300</ele><time>2024-05-17T08:30:00Z</time><speed>5</speed>"
    points = [
        examples.gpx_point(46.0, 14.0, good),
        examples.gpx_point(91.0, 14.0, good),
        examples.gpx_point(46.0, 999.0, good.replace("300", "1e9")),
        examples.gpx_point(0.0, 0.0, good.replace("300", "inf")),
        examples.gpx_point(46.0, 14.0, good.replace("2024", "1901")),
        examples.gpx_point(46.0, 14.0, good.replace("2024", "2100")),
        examples.gpx_point(46.0, 14.0, good.replace("300", "nan").replace("<speed>5", "<speed>-1")),
        examples.gpx_point(46.0, 14.0, good.replace("300", "high").replace("2024-05", "May")),
        examples.gpx_point(46.1, 14.0, good.replace("300", "300,5")),
    ]

    read = read_track_bytes("ride", examples.gpx_with("".join(points)).encode())

    nan = np.nan
    np.testing.assert_array_equal(read.track.latitude, [46.0, nan, nan, nan, 46.0, 46.0, 46.0, 46.0, 46.1])
    np.testing.assert_array_equal(read.track.altitude, [300, 300, nan, nan, 300, 300, nan, nan, 300.5])
    np.testing.assert_array_equal(np.isnan(read.track.time), [0, 0, 0, 0, 1, 1, 0, 1, 0])
    np.testing.assert_array_equal(np.isnan(read.track.speed), [0, 0, 0, 0, 0, 0, 1, 0, 0])
    assert [(repair.what, repair.count, repair.where) for repair in read.repairs] == [
        ("unreadable altitudes left out", 1, ""),
        ("unreadable dates left out", 1, ""),
        ("impossible latitudes left out", 1, "point 2"),
        ("impossible longitudes left out", 1, "point 3"),
        ("impossible altitudes left out", 2, "point 3"),
        ("impossible dates left out", 2, "point 5"),
        ("impossible speeds left out", 1, "point 7"),
        ("positions at 0°, 0° (no fix) left out", 1, "point 4"),
        ("points without position", 3, "point 2"),
    ]
