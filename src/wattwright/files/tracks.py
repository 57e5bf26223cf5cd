"""Ride files: read what they are, not what they are called.

A file is told by its content, unpacked if it is packed, and read in one pass with bounded memory. What was
odd about it comes with the track; what cannot be read, or is only part of a ride, is refused in one line.
"""

import io
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Final

from wattwright.errors import FileError
from wattwright.files.csv_track import read_csv
from wattwright.files.fit import is_fit, read_fit
from wattwright.files.gpx import GpxShape
from wattwright.files.tcx import TcxShape
from wattwright.files.track_bytes import (
    BYTE_ORDER_MARKS,
    GZIP_MAGIC,
    head_of,
    table_encoding,
    unpacked,
    xml_encoding,
)
from wattwright.files.track_rows import Recording, track_of
from wattwright.files.track_xml import read_points
from wattwright.ride.track import Repair, Track

WANTED: Final = "Export the ride as GPX, TCX, FIT or CSV."
ARCHIVES: Final = ((b"PK\x03\x04", "a zip archive"), (b"7z\xbc\xaf", "an archive"), (b"%PDF", "a PDF"))


class Form(Enum):
    """What a ride file is, whatever it is called."""

    GPX = "GPX"
    TCX = "TCX"
    FIT = "FIT"
    CSV = "CSV"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadTrack:
    """A ride file as read."""

    track: Track
    repairs: tuple[Repair, ...]
    """What was odd, left out or missing, in the order it was met."""
    form: Form


def read_track(path: Path, *, accept_cut_off: bool = False) -> ReadTrack:
    """Read a recorded ride or a planned route.

    Args:
        path: GPX 1.0 or 1.1, TCX, FIT or CSV, packed with gzip or not. At most 512 MB unpacked.
        accept_cut_off: Take what came before the place where the file breaks, though the rest of the ride
            is missing. A pack sized from part of a ride is too small for the whole, so it is refused
            unless asked for. A file that breaks after the recording's own end is read in any case.

    Returns:
        The track, what was odd about it, and the form of the file. Only what *cannot* be is blanked; what is
        merely unlikely is left to the ride's repair.

    Raises:
        FileError: If the file cannot be read as a ride: which, why, what would do.
        InputError: If a table has a column or cell that cannot be read.
    """
    try:
        with path.open("rb") as source:
            return _read(source, str(path), accept_cut_off=accept_cut_off)
    except OSError as error:
        raise FileError(
            str(path), f"it cannot be opened ({error.strerror})", "Check its name and place."
        ) from error


def read_track_bytes(name: str, content: bytes, *, accept_cut_off: bool = False) -> ReadTrack:
    """Read a ride from a file's content, as from an upload: see ``read_track``."""
    return _read(io.BytesIO(content), name, accept_cut_off=accept_cut_off)


def _read(source: io.BufferedIOBase, name: str, *, accept_cut_off: bool) -> ReadTrack:
    recording = Recording(name=name)
    with unpacked(source, name) as (counted, stream):
        head = head_of(stream)
        _refuse_foreign(head, name, counted.damage)
        form = _gather(stream, head, recording)
        _settle_break(recording, counted.damage, accept_cut_off=accept_cut_off)
    track, repairs = track_of(recording)
    return ReadTrack(track=track, repairs=repairs, form=form)


def _gather(stream: io.BufferedReader, head: bytes, recording: Recording) -> Form:
    if is_fit(head):
        read_fit(stream, recording)
        return Form.FIT
    if _begins_like_xml(head):
        with io.TextIOWrapper(stream, encoding=xml_encoding(head, recording.name), errors="replace") as text:
            shapes: dict[str, GpxShape | TcxShape] = {
                "gpx": GpxShape(recording),
                "trainingcenterdatabase": TcxShape(recording),
            }
            root = read_points(text, recording, shapes)
        shapes[root].finish()
        return Form.GPX if root == "gpx" else Form.TCX
    with io.TextIOWrapper(stream, encoding=table_encoding(head), errors="replace", newline="") as text:
        read_csv(text, recording)
    return Form.CSV


def _begins_like_xml(head: bytes) -> bool:
    for mark, _encoding in BYTE_ORDER_MARKS:
        head = head.removeprefix(mark)
    return head.replace(b"\0", b"").lstrip().startswith(b"<")


def _refuse_foreign(head: bytes, name: str, damage: str) -> None:
    """Refuse what is plainly something else.

    Raises:
        FileError: If it is.
    """
    if not head:
        raise FileError(name, damage or "it is empty", "Fetch it again from the device.")
    if head.startswith(GZIP_MAGIC):
        raise FileError(name, "it is packed twice", "Unpack it once.")
    for magic, what in ARCHIVES:
        if head.startswith(magic):
            raise FileError(name, f"it is {what}, not a ride", "Unpack it, and give the ride's file itself.")
    marked = any(head.startswith(mark) for mark, _encoding in BYTE_ORDER_MARKS)
    if b"\0" in head and not (is_fit(head) or marked or _begins_like_xml(head)):
        raise FileError(name, "it is not a ride in any form that is read here", WANTED)


def _settle_break(recording: Recording, damage: str, *, accept_cut_off: bool) -> None:
    """Note where the file broke, if that can do no harm.

    Raises:
        FileError: If part of the ride is missing, or all of it.
    """
    broken = damage or recording.broken
    if not broken:
        return
    if not recording.points:
        raise FileError(recording.name, f"it breaks before its first point: {broken}", "Fetch it again.")
    if not (recording.is_complete or accept_cut_off):
        raise FileError(
            recording.name,
            f"it breaks after point {recording.points:,} and the rest of the ride is missing: {broken}",
            "Fetch it again from the device or export it again.",
        )
    recording.note(f"the file breaks ({broken}); what came before was read", 1, f"point {recording.points}")
