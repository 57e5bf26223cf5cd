"""What a reader gathers while it goes through a file, and the track made of it.

Points are appended to one growing typed buffer, nine numbers a point, so that a million points cost
72 MB and not a gigabyte of Python objects. What cannot be (a latitude of 91°, a height of 10⁹ m, a date
in 1901) is blanked at the end and reported, never passed on.
"""

from array import array
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import FileError
from wattwright.ride.track import Repair, Track
from wattwright.units import FloatArray, kelvin_from_celsius

LATITUDE, LONGITUDE, ALTITUDE, TIME, DISTANCE, SPEED, POWER, TEMPERATURE, PIECE = range(9)
"""Places of one point's numbers in its row, SI and degrees."""
WIDTH: Final = 9
NAMES: Final = (
    "latitude", "longitude", "altitude", "time", "distance", "speed", "power", "temperature", "segment",
)  # fmt: skip
BLANK: Final = (float("nan"),) * WIDTH
MOST_POINTS: Final = 3_000_000
"""Five weeks at one point a second; a buffer of 216 MB."""

EARLIEST: Final = datetime(1990, 1, 1, tzinfo=UTC).timestamp()
LATEST: Final = datetime(2100, 1, 1, tzinfo=UTC).timestamp()
POSSIBLE: Final = {
    LATITUDE: (-90.0, 90.0, "latitudes"),
    LONGITUDE: (-180.0, 180.0, "longitudes"),
    ALTITUDE: (-499.0, 9000.0, "altitudes"),
    TIME: (EARLIEST, LATEST, "dates"),
    DISTANCE: (0.0, 2e7, "distances"),
    SPEED: (0.0, 350.0, "speeds"),
    POWER: (-5000.0, 65534.0, "powers"),
    TEMPERATURE: (kelvin_from_celsius(-60.0), kelvin_from_celsius(85.0), "temperatures"),
}
"""What a value can be at all, on any road: lowest, highest, name. Assumptions, wide on purpose: whether a
possible value is a likely one is for the repair of the track. In FIT a stored zero means −500 m,
hence −499."""
LIGHTEST_RIDER: Final = 20.0
HEAVIEST_RIDER: Final = 300.0
LONGEST_TITLE: Final = 80


@dataclass(slots=True, kw_only=True, eq=False)
class Recording:
    """A file's content while it is being read."""

    name: str
    """Of the file, for errors."""
    rows: "array[float]" = field(default_factory=lambda: array("d"))
    """Flat, ``WIDTH`` numbers a point."""
    title: str = ""
    rider_mass: float = float("nan")
    """[kg]"""
    is_virtual: bool = False
    counts_from_zero: bool = False
    """Times count from the start of the ride: the date is not known."""
    repairs: list[Repair] = field(default_factory=list)
    unreadable: "Counter[int]" = field(default_factory=Counter)
    """How many values of each column are not numbers (or dates)."""
    broken: str = ""
    """Where and how the file breaks, as a clause; empty if it is whole."""
    is_complete: bool = False
    """The recording had come to its own end before the file broke."""

    @property
    def points(self) -> int:
        """How many points so far."""
        return len(self.rows) // WIDTH

    def note(self, what: str, count: int = 1, where: str = "") -> None:
        """Remember something odd."""
        self.repairs.append(Repair(what=what, count=count, where=where))

    def check_size(self) -> None:
        """Refuse to grow without bound.

        Raises:
            FileError: With more than ``MOST_POINTS`` points.
        """
        if self.points > MOST_POINTS:
            raise FileError(
                self.name,
                f"it holds more than {MOST_POINTS:,} points",
                "Split it, or thin it to one a second.",
            )


def number(text: str) -> float:
    """A number as files write it; a decimal comma will do.

    >>> number(" 12,5 ")
    12.5
    """
    try:
        return float(text)
    except ValueError:
        return float(text.replace(",", "."))


def kelvin(text: str) -> float:
    """A temperature written in degrees Celsius, in kelvin."""
    return kelvin_from_celsius(number(text))


def seconds(text: str) -> float:
    """Seconds since 1970 of a date and time in ISO 8601; without a zone it is UTC.

    >>> seconds("1970-01-01T01:00:00.5+01:00")
    0.5
    """
    moment = datetime.fromisoformat(text.strip())
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


READERS: Final[tuple[Callable[[str], float], ...]] = (
    number, number, number, seconds, number, number, number, kelvin,
)  # fmt: skip
"""How the text of each column becomes a number; they raise ValueError."""


def track_of(recording: Recording) -> tuple[Track, tuple[Repair, ...]]:
    """The track of what was gathered, without what cannot be, and all that was odd.

    Raises:
        FileError: With fewer than two points, or nothing that says how far the ride goes.
    """
    table = np.frombuffer(recording.rows, dtype=np.float64).reshape(-1, WIDTH).T.copy()
    _require_points(recording, table.shape[1])
    _note_unreadable(recording)
    _blank_impossible(recording, table)
    _blank_lone_coordinates(recording, table)
    _require_way(recording, table)
    table[PIECE] = np.unique(table[PIECE], return_inverse=True)[1]
    track = Track(
        title=shown_title(recording.title) or recording.name.rsplit("/", 1)[-1],
        rider_mass=_possible_mass(recording),
        is_virtual=recording.is_virtual,
        **dict(zip(NAMES, table, strict=True)),
    )
    return track, tuple(recording.repairs)


def shown_title(text: str) -> str:
    r"""One printable line of at most ``LONGEST_TITLE`` characters.

    >>> shown_title("  To the \n lake ")
    'To the lake'
    """
    line = " ".join(text.split())
    return "".join(letter for letter in line if letter.isprintable())[:LONGEST_TITLE]


def _require_points(recording: Recording, points: int) -> None:
    if points == 0:
        raise FileError(
            recording.name, "it holds no track points", "Export the recorded ride (or the route) itself."
        )
    if points == 1:
        raise FileError(recording.name, "it holds a single point", "A ride needs at least two.")


def _note_unreadable(recording: Recording) -> None:
    for column, count in sorted(recording.unreadable.items()):
        recording.note(f"unreadable {POSSIBLE[column][2]} left out", count)


def _blank_impossible(recording: Recording, table: FloatArray) -> None:
    for column, (lowest, highest, what) in POSSIBLE.items():
        values = table[column]
        start = EARLIEST if column == TIME and recording.counts_from_zero else 0.0
        impossible = ~((values + start >= lowest) & (values + start <= highest)) & ~np.isnan(values)
        _note_points(recording, impossible, f"impossible {what} left out")
        values[impossible] = np.nan


def _blank_lone_coordinates(recording: Recording, table: FloatArray) -> None:
    """A receiver without a fix often writes 0°, 0°; half a position is none."""
    latitude, longitude = table[LATITUDE], table[LONGITUDE]
    unfixed = (latitude == 0.0) & (longitude == 0.0)
    _note_points(recording, unfixed, "positions at 0°, 0° (no fix) left out")
    missing = unfixed | np.isnan(latitude) | np.isnan(longitude)
    latitude[missing] = longitude[missing] = np.nan
    what = (
        "no positions: only the recorded distance tells the way"
        if missing.all()
        else "points without position"
    )
    _note_points(recording, missing, what)


def _note_points(recording: Recording, marked: npt.NDArray[np.bool_], what: str) -> None:
    if count := int(marked.sum()):
        recording.note(what, count, f"point {int(marked.argmax()) + 1}")


def _require_way(recording: Recording, table: FloatArray) -> None:
    known = (~np.isnan(table)).sum(axis=1)
    timed_speed = int((~np.isnan(table[SPEED]) & ~np.isnan(table[TIME])).sum())
    if max(int(known[LATITUDE]), int(known[DISTANCE]), timed_speed) < 2:
        raise FileError(
            recording.name,
            f"its {table.shape[1]} points hold neither positions nor a distance nor a speed with times",
            "Use a recording made with the receiver or a wheel sensor switched on.",
        )


def _possible_mass(recording: Recording) -> float:
    mass = recording.rider_mass
    if np.isnan(mass) or LIGHTEST_RIDER <= mass <= HEAVIEST_RIDER:
        return mass
    recording.note("impossible rider mass left out")
    return float("nan")
