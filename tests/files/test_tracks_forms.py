"""One ride in every form: the same points come out, whatever the file is called or how it is packed."""

import gzip
from pathlib import Path

import numpy as np
import pytest

import track_examples as examples
from wattwright.errors import FileError
from wattwright.files.tracks import Form, read_track, read_track_bytes
from wattwright.units import kelvin_from_celsius

FORMS = {
    Form.GPX: examples.gpx().encode(),
    Form.TCX: examples.tcx().encode(),
    Form.FIT: examples.fit(),
    Form.CSV: examples.csv().encode(),
}


@pytest.fixture(params=FORMS, ids=lambda form: form.value)
def form(request: pytest.FixtureRequest) -> Form:
    return request.param


def test_each_form_gives_the_points_that_went_in(form: Form) -> None:
    """A FIT file stores places to 8·10⁻⁸° and heights to 0.2 m (FIT global profile: semicircles, scale 5)."""
    read = read_track_bytes("ride", FORMS[form])

    assert read.form is form
    track = read.track
    latitude, longitude, altitude, second, power, warmth = map(np.array, zip(*examples.POINTS, strict=True))
    np.testing.assert_allclose(track.latitude, latitude, atol=8.4e-8)
    np.testing.assert_allclose(track.longitude, longitude, atol=8.4e-8)
    np.testing.assert_allclose(track.altitude, altitude, atol=0.101)
    np.testing.assert_array_equal(track.time, examples.START + second)
    np.testing.assert_array_equal(track.power, power)
    if form is not Form.TCX:  # it has no element for the temperature
        np.testing.assert_allclose(track.temperature, [kelvin_from_celsius(degree) for degree in warmth])
    assert set(track.segment) == {0.0}
    assert read.repairs == ()
    assert not track.is_virtual


def test_a_packed_file_is_the_same_file(form: Form) -> None:
    packed, plain = (read_track_bytes("ride", data) for data in (gzip.compress(FORMS[form]), FORMS[form]))

    np.testing.assert_array_equal(packed.track.altitude, plain.track.altitude)
    assert packed.form is form


def test_a_renamed_file_is_read_as_what_it_is(form: Form, tmp_path: Path) -> None:
    renamed = tmp_path / "holiday.jpg"
    renamed.write_bytes(FORMS[form])

    read = read_track(renamed)

    assert read.form is form
    assert read.track.title == "holiday.jpg"


@pytest.mark.parametrize(
    "encoding", ["utf-8-sig", "utf-16", "utf-32", "iso-8859-1", "windows-1250", "shift_jis", "gb2312"]
)
def test_gpx_is_read_in_any_encoding(encoding: str) -> None:
    name = {"shift_jis": "湖の道", "gb2312": "湖边", "iso-8859-1": "Über den Paß"}.get(encoding, "Žiška pot")
    text = examples.gpx().replace("<trk>", f"<trk><name>{name}</name>")
    declared = f'<?xml version="1.0" encoding="{encoding.removesuffix("-sig")}"?>\n{text}'

    read = read_track_bytes("ride.gpx", declared.encode(encoding))

    assert read.track.title == name
    assert len(read.track.time) == 4


def test_gpx_in_wide_letters_without_a_mark_is_read() -> None:
    text = '<?xml version="1.0" encoding="UTF-16"?>' + examples.gpx()

    assert len(read_track_bytes("ride.gpx", text.encode("utf-16-le")).track.time) == 4


def test_a_wrongly_declared_letter_costs_the_letter_and_not_the_ride() -> None:
    text = examples.gpx().replace("<trk>", "<trk><name>Stra\u00dfe</name>")

    read = read_track_bytes("ride.gpx", text.encode("latin-1"))

    assert read.track.title == "Stra\ufffde"
    np.testing.assert_array_equal(read.track.altitude, [300.0, 300.6, 301.2, 301.8])


@pytest.mark.parametrize(
    "gpx",
    [
        examples.gpx().replace(' xmlns="http://www.topografix.com/GPX/1/1"', ""),
        examples.gpx().replace("GPX/1/1", "GPX/1/0"),
        examples.gpx()
        .replace("<", "<g:")
        .replace("<g:/", "</g:")
        .replace("<g:x:", "<x:")
        .replace("</g:x:", "</x:"),
        "\n\n  " + examples.gpx(),
    ],
    ids=["without namespace", "1.0", "prefixed", "blank lines first"],
)
def test_gpx_is_read_whatever_its_namespace(gpx: str) -> None:
    read = read_track_bytes("ride.gpx", gpx.encode())

    np.testing.assert_array_equal(read.track.power, [120.0, 130.0, 0.0, 210.0])


@pytest.mark.parametrize(
    "extension",
    [
        "<power>205</power>",
        '<p:PowerInWatts xmlns:p="urn:p">205</p:PowerInWatts>',
        '<a:TPX xmlns:a="urn:a"><a:Watts>205</a:Watts></a:TPX>',
        '<q:PowerExtension xmlns:q="urn:q"><q:PowerInWatts>205</q:PowerInWatts></q:PowerExtension>',
    ],
)
def test_power_is_found_in_each_of_its_extensions(extension: str) -> None:
    points = examples.gpx_point(46.0, 14.0, f"<extensions>{extension}</extensions>") * 2

    assert set(read_track_bytes("ride.gpx", examples.gpx_with(points).encode()).track.power) == {205.0}


def test_a_points_own_height_goes_before_one_in_an_extension() -> None:
    inner = "<ele>310</ele><extensions><ele>999</ele></extensions>"

    read = read_track_bytes("ride.gpx", examples.gpx_with(examples.gpx_point(46.0, 14.0, inner) * 2).encode())

    assert set(read.track.altitude) == {310.0}


def test_each_gpx_segment_is_a_piece_and_empty_ones_do_not_count() -> None:
    point = examples.gpx_point(46.0, 14.0)
    points = f"{point * 2}</trkseg><trkseg></trkseg><trkseg>{point * 3}"

    read = read_track_bytes("ride.gpx", examples.gpx_with(points).encode())

    np.testing.assert_array_equal(read.track.segment, [0, 0, 1, 1, 1])


def test_a_route_is_read_where_there_is_no_track_and_says_so() -> None:
    points = "".join(f'<rtept lat="46.{i}" lon="14.0"><ele>{300 + i}</ele></rtept>' for i in range(3))
    gpx = f"<gpx><rte><name>Round the lake</name>{points}</rte></gpx>"

    read = read_track_bytes("plan.gpx", gpx.encode())

    np.testing.assert_array_equal(read.track.altitude, [300, 301, 302])
    assert read.track.title == "Round the lake"
    assert [repair.what for repair in read.repairs] == ["no recorded track: the planned route was read"]


def test_a_route_beside_a_track_is_left_alone() -> None:
    gpx = examples.gpx().replace("<trk>", '<rte><rtept lat="1" lon="1"/><rtept lat="2" lon="2"/></rte><trk>')

    assert len(read_track_bytes("ride.gpx", gpx.encode()).track.time) == 4


def test_a_simulated_ride_is_marked_in_gpx_and_fit() -> None:
    gpx = examples.gpx().replace("<trk>", "<trk><type>VirtualRide</type>")
    body = b"".join(map(examples.fit_record, examples.POINTS)) + examples.fit_session(sub_sport=58)

    assert read_track_bytes("ride", gpx.encode()).track.is_virtual
    assert read_track_bytes("ride", examples.fit_file(body)).track.is_virtual


def test_a_tcx_lap_goes_on_where_the_last_one_ended_and_a_pause_does_not() -> None:
    laps = (((0,), (1,)), ((2,), (3,)))

    read = read_track_bytes("ride", examples.tcx(laps).encode())

    np.testing.assert_array_equal(read.track.segment, [0, 1, 1, 2])
    np.testing.assert_array_equal(read.track.distance, [0.0, 20.0, 40.0, 60.0])
    np.testing.assert_array_equal(read.track.speed, [10.0] * 4)


def test_a_fit_timer_stop_starts_a_piece_and_the_riders_mass_is_read() -> None:
    records = list(map(examples.fit_record, examples.POINTS))
    pause = examples.fit_event(4) + examples.fit_event(0)
    body = examples.fit_event(0) + b"".join(records[:2]) + pause + b"".join(records[2:])

    read = read_track_bytes(
        "ride", examples.fit_file(examples.fit_profile(72.5) + body + examples.fit_session())
    )

    np.testing.assert_array_equal(read.track.segment, [0, 0, 1, 1])
    assert read.track.rider_mass == 72.5


def test_fit_files_chained_into_one_are_joined_and_said_so() -> None:
    read = read_track_bytes("ride", examples.fit() * 2)

    np.testing.assert_array_equal(read.track.segment, [0] * 4 + [1] * 4)
    assert [repair.what for repair in read.repairs] == ["recordings joined in the file's order"]


def test_a_wrong_check_sum_is_said() -> None:
    read = read_track_bytes("ride", examples.fit()[:-2] + b"\x00\x00")

    assert [repair.what for repair in read.repairs] == ["check sum of the file wrong: values may be damaged"]


def test_another_sport_is_said() -> None:
    body = b"".join(map(examples.fit_record, examples.POINTS)) + examples.fit_session(sport=1)

    read = read_track_bytes("ride", examples.fit_file(body))

    assert [repair.what for repair in read.repairs] == ["recorded as running, not as cycling"]


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    for path in (tmp_path / "none.gpx", tmp_path):
        with pytest.raises(FileError, match="cannot be opened") as caught:
            read_track(path)
        assert "\n" not in str(caught.value)
