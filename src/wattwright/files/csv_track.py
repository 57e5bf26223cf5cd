"""Tracks in tables: one point a line, columns named with their units.

Separated by comma, semicolon, tab or bar; with a decimal point or comma; lines beginning with # are remarks.
"""

import csv
import io
import math
from collections.abc import Callable, Iterator, Sequence
from difflib import get_close_matches
from typing import Final, NamedTuple

from wattwright.errors import FileError, InputError
from wattwright.files.track_rows import (
    ALTITUDE,
    BLANK,
    DISTANCE,
    EARLIEST,
    LATITUDE,
    LONGITUDE,
    PIECE,
    POWER,
    SPEED,
    TEMPERATURE,
    TIME,
    WIDTH,
    Recording,
    kelvin,
    number,
    seconds,
)
from wattwright.units import metres_from_km, metres_per_second_from_km_h


class Column(NamedTuple):
    """Where a column goes, and how its text becomes a number."""

    place: int
    read: Callable[[str], float]
    wanted: str = "a number"


def _from_km(text: str) -> float:
    return metres_from_km(number(text))


def _from_km_h(text: str) -> float:
    return metres_per_second_from_km_h(number(text))


COLUMNS: Final = {
    "latitude_deg": Column(LATITUDE, number),
    "longitude_deg": Column(LONGITUDE, number),
    "altitude_m": Column(ALTITUDE, number),
    "time_utc": Column(TIME, seconds, "a date and time like 2024-05-17T08:30:00Z"),
    "time_s": Column(TIME, number),
    "distance_m": Column(DISTANCE, number),
    "distance_km": Column(DISTANCE, _from_km),
    "speed_km_h": Column(SPEED, _from_km_h),
    "speed_m_s": Column(SPEED, number),
    "power_w": Column(POWER, number),
    "temperature_c": Column(TEMPERATURE, kelvin),
}
"""Every column that is read."""
SPELLINGS: Final = {
    "lat": "latitude_deg",
    "lon": "longitude_deg",
    "lng": "longitude_deg",
    "long": "longitude_deg",
    "alt": "altitude_m",
    "ele": "altitude_m",
    "elevation": "altitude_m",
    "elevation_m": "altitude_m",
    "height_m": "altitude_m",
    "date": "time_utc",
    "timestamp": "time_utc",
    "seconds": "time_s",
    "minutes": "time_s",
    "dist": "distance_m",
    "velocity": "speed_km_h",
    "watts": "power_w",
    "temp": "temperature_c",
}
"""How others spell them: only for telling which name is meant."""
LIKENESS: Final = 0.7
"""Two names as alike as this (0 to 1) are taken for one misspelt."""
DELIMITERS: Final = ",;\t|"
REMARK: Final = "#"
LONGEST_LINE: Final = 100_000
CHECK_SIZE_EVERY: Final = 10_000


class _Lines:
    """The lines of a text but for remarks and empty ones; knows the number of the last one given."""

    def __init__(self, text: io.TextIOBase) -> None:
        self._text = text
        self.number = 0

    def __iter__(self) -> Iterator[str]:
        while line := self._text.readline(LONGEST_LINE):
            self.number += 1
            if len(line) == LONGEST_LINE:
                raise csv.Error(f"line {self.number} has {LONGEST_LINE:,} characters or more")
            if line.strip() and not line.lstrip().startswith(REMARK):
                yield line


def read_csv(text: io.TextIOBase, recording: Recording) -> None:
    """Gather the points of a table.

    Raises:
        FileError: If it is no table of a ride.
        InputError: If a column's name or a cell cannot be read; names line, column and value.
    """
    lines = _Lines(text)
    given = iter(lines)
    try:
        header = next(given, "")
        delimiter = max(DELIMITERS, key=header.count)
        names = [name.strip().lower() for name in next(csv.reader([header], delimiter=delimiter), [])]
        columns = _columns(names, recording)
        for cells in csv.reader(given, delimiter=delimiter):
            recording.rows.extend(_row(cells, names, columns, f"{recording.name}, line {lines.number}"))
            if recording.points % CHECK_SIZE_EVERY == 0:
                recording.check_size()
    except csv.Error as error:
        raise FileError(
            recording.name, f"it is not a readable table ({error})", "Save it again as CSV."
        ) from error
    if "time_s" in names:
        _settle_time(recording)


def _columns(names: Sequence[str], recording: Recording) -> list[Column | None]:
    """What each column is; those that are not read are noted.

    Raises:
        FileError: If none is known.
        InputError: If a name is nearly one that is known, or two columns say the same.
    """
    if not set(names) & COLUMNS.keys() and not any(_meant(name) for name in names):
        raise FileError(
            recording.name,
            "it is neither GPX, TCX nor FIT, and its first line names no column of a ride",
            f"Export the ride again, or name the columns of a table: {', '.join(COLUMNS)}.",
        )
    for name in names:
        if name not in COLUMNS and (meant := _meant(name)):
            raise InputError(
                "column",
                name,
                f"{meant}, if that is meant",
                "Rename it and convert it, or delete it.",
                recording.name,
            )
    columns = [COLUMNS.get(name) for name in names]
    _refuse_doubles(names, columns, recording.name)
    if unused := [name for name in names if name not in COLUMNS]:
        recording.note(f"columns not used: {', '.join(unused)[:200]}", len(unused))
    return columns


def _meant(name: str) -> str:
    """The column that a name not known is meant to be, or nothing."""
    if name in SPELLINGS:
        return SPELLINGS[name]
    return next(iter(get_close_matches(name, COLUMNS, n=1, cutoff=LIKENESS)), "")


def _refuse_doubles(names: Sequence[str], columns: Sequence[Column | None], where: str) -> None:
    taken: dict[int, str] = {}
    for name, column in zip(names, columns, strict=True):
        if column is not None and taken.setdefault(column.place, name) is not name:
            raise InputError("columns", f"{taken[column.place]}, {name}", "only one of the two", where=where)


def _row(
    cells: Sequence[str], names: Sequence[str], columns: Sequence[Column | None], where: str
) -> list[float]:
    """One point.

    Raises:
        FileError: If the line has more or fewer cells than the header.
        InputError: If a cell cannot be read.
    """
    if len(cells) != len(names):
        raise FileError(
            where,
            f"it has {len(cells)} cells where the first line names {len(names)} columns",
            "Is it cut off there, or are decimal commas also separators? Save it again with semicolons.",
        )
    row = list(BLANK)
    row[PIECE] = 0.0
    for cell, name, column in zip(cells, names, columns, strict=True):
        if column is not None and (text := cell.strip()):
            try:
                row[column.place] = column.read(text)
            except (ValueError, OverflowError):
                raise InputError(name, text[:40], column.wanted, where=where) from None
    return row


def _settle_time(recording: Recording) -> None:
    """Seconds are seconds since 1970 if they can be, else seconds since the start."""
    first = next((time for time in recording.rows[TIME::WIDTH] if not math.isnan(time)), math.nan)
    if not first >= EARLIEST:
        recording.counts_from_zero = True
        recording.note("times count from the start: the date is not known")
