"""Rides in tables: separators, decimal commas, units in the column's name, and errors that name the cell."""

import numpy as np
import pytest

from wattwright.errors import FileError, InputError
from wattwright.files.tracks import read_track_bytes


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_any_common_separator_will_do(delimiter: str, end: str) -> None:
    lines = ["time_s,distance_km,speed_km_h,power_w", "0,0.0,36,100", "10,0.1,36,120"]
    text = end.join(line.replace(",", delimiter) for line in lines)

    track = read_track_bytes("laps.csv", text.encode()).track

    np.testing.assert_allclose(track.distance, [0.0, 100.0])
    np.testing.assert_allclose(track.speed, [10.0, 10.0])
    np.testing.assert_array_equal(track.time, [0.0, 10.0])


def test_decimal_commas_remarks_blank_cells_and_capitals_are_read() -> None:
    text = "# invented\nTime_S;Distance_M;Altitude_M\n0;0;300,5\n\n# half way\n1,5;7,25;\n"

    track = read_track_bytes("laps.csv", text.encode("cp1252")).track

    np.testing.assert_array_equal(track.time, [0.0, 1.5])
    np.testing.assert_array_equal(track.distance, [0.0, 7.25])
    np.testing.assert_array_equal(track.altitude, [300.5, np.nan])


def test_seconds_since_the_start_are_said_to_have_no_date() -> None:
    read = read_track_bytes("laps.csv", b"time_s,distance_m\n0,0\n1,5\n")
    dated = read_track_bytes("laps.csv", b"time_s,distance_m\n1715934600,0\n1715934601,5\n")

    no_places = "no positions: only the recorded distance tells the way"
    no_date = "times count from the start: the date is not known"
    assert [repair.what for repair in read.repairs] == [no_date, no_places]
    assert [repair.what for repair in dated.repairs] == [no_places]


def test_a_column_of_something_else_is_noted() -> None:
    read = read_track_bytes("laps.csv", b"time_s,distance_m,gear\n0,0,3\n1,5,4\n")

    assert ("columns not used: gear", 1) in [(repair.what, repair.count) for repair in read.repairs]


@pytest.mark.parametrize(
    ("given", "meant"),
    [
        ("speed_kmh", "speed_km_h"),
        ("altitude_ft", "altitude_m"),
        ("lat", "latitude_deg"),
        ("distance_mi", "distance_m"),
    ],
)
def test_a_name_that_is_nearly_known_gets_the_nearest_named(given: str, meant: str) -> None:
    with pytest.raises(InputError, match=meant) as caught:
        read_track_bytes("laps.csv", f"time_s,{given}\n0,1\n1,2\n".encode())

    assert caught.value.value == given
    assert str(caught.value).startswith("laps.csv: ")


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("time_s,distance_m\n0,0\n1,far\n", r"line 3: distance_m is 'far'; it must be a number"),
        ("time_utc,distance_m\nnoon,0\n", r"line 2: time_utc is 'noon'; it must be a date and time like"),
        ("time_s,distance_m\n# x\n0,0\n1\n", r"line 4: it has 1 cells where the first line names 2"),
        ("time_s,distance_m\n0,0\n1,5,25\n", r"line 3: it has 3 cells"),
        ("distance_m,distance_km\n0,0\n", r"distance_m, distance_km.*only one of the two"),
        ("a,b\n1,2\n", "names no column of a ride"),
        ("46.1,14.2\n46.2,14.3\n", "names no column of a ride"),
        ("time_s,power_w\n0,100\n1,100\n", "neither positions nor a distance"),
        ('time_s,distance_m\n0,"' + "1" * 200_000 + '"\n', "100,000 characters"),
    ],
)
def test_what_is_wrong_with_a_table_is_named_with_its_place(text: str, wanted: str) -> None:
    with pytest.raises(InputError, match=wanted):
        read_track_bytes("laps.csv", text.encode())


def test_a_table_that_says_nothing_of_a_ride_is_a_file_error() -> None:
    with pytest.raises(FileError, match="latitude_deg, longitude_deg"):
        read_track_bytes("notes.txt", b"Dear customer,\nyour bicycle is ready.\n")
