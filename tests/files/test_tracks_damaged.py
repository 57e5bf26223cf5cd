"""Whatever happens to a file on its way, the answer is a ride or one plain line, never a traceback."""

import gzip
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import track_examples as examples
from wattwright.errors import WattwrightError
from wattwright.files.tracks import read_track_bytes

WHOLE = {
    "GPX": examples.gpx().encode(),
    "TCX": examples.tcx((((0,), (1,)), ((2, 3),))).encode(),
    "FIT": examples.fit_file(
        examples.fit_profile(72.5)
        + examples.fit_event(0)
        + b"".join(map(examples.fit_record, examples.POINTS))
        + examples.fit_event(4)
        + examples.fit_session()
    ),
    "CSV": examples.csv().encode(),
    "packed": gzip.compress(examples.gpx().encode()),
}


def read_or_refuse(content: bytes) -> None:
    """Read; only our own errors, of one line, may come out."""
    try:
        read = read_track_bytes("ride", content, accept_cut_off=True)
    except WattwrightError as error:
        assert "\n" not in str(error)  # noqa: PT017  either outcome is right, a second line is not
    else:
        assert len(read.track.time) >= 2


@pytest.mark.parametrize("name", WHOLE)
def test_a_file_cut_off_anywhere_is_read_or_refused(name: str) -> None:
    for length in range(len(WHOLE[name])):
        read_or_refuse(WHOLE[name][:length])


@pytest.mark.parametrize("name", WHOLE)
@settings(max_examples=300)
@given(data=st.data())
def test_a_file_with_flipped_bytes_is_read_or_refused(name: str, data: st.DataObject) -> None:
    content = bytearray(WHOLE[name])
    places = st.lists(
        st.tuples(st.integers(0, len(content) - 1), st.integers(0, 255)), min_size=1, max_size=8
    )
    for place, value in data.draw(places):
        content[place] = value

    read_or_refuse(bytes(content))


@given(
    content=st.binary(max_size=300),
    magic=st.sampled_from([b"", b"\x0e\x10T\x08\xff\0\0\0.FIT", b"<gpx>", b"\x1f\x8b"]),
)
def test_noise_is_read_or_refused(content: bytes, magic: bytes) -> None:
    read_or_refuse(magic + content)


@pytest.mark.parametrize(
    "name",
    [
        "garmin-edge-820-bike.fit",
        "elemnt-bolt-no-application-id-inside-developer-data-id.fit",
        "same-timestamp.tcx",
    ],
)
def test_a_real_file_cut_off_at_many_places_is_read_or_refused(shared_data: Path, name: str) -> None:
    content = (shared_data / "rides" / "bad" / name).read_bytes()
    for length in range(0, len(content), max(1, len(content) // 200)):
        read_or_refuse(content[:length])
