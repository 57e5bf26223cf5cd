"""FIT: recorded activities and courses, through fitdecode.

References:
    FIT protocol and global profile: message ``record`` (latitude and longitude in semicircles of 180°/2³¹,
    scale and offset by the profile), ``event`` (timer stopped and started), ``session``, ``user_profile``.
"""

import io
import struct
from collections.abc import Iterable
from typing import Final, Protocol

from wattwright.errors import FileError
from wattwright.files.track_rows import (
    ALTITUDE,
    BLANK,
    DISTANCE,
    LATITUDE,
    LONGITUDE,
    PIECE,
    POWER,
    SPEED,
    TEMPERATURE,
    TIME,
    Recording,
)
from wattwright.units import kelvin_from_celsius

MAGIC: Final = b".FIT"
MAGIC_PLACE: Final = slice(8, 12)
FIT_EPOCH: Final = 631065600.0
"""[s] 1989-12-31 00:00 UTC in seconds since 1970: FIT protocol, type ``date_time``."""
DEGREES_PER_SEMICIRCLE: Final = 180.0 / 2**31
CHECK_SIZE_EVERY: Final = 10_000

FILE_ID, SESSION, RECORD, EVENT, USER_PROFILE, SPORT, ACTIVITY = 0, 18, 20, 21, 3, 12, 34
"""Numbers of the messages that are looked at: FIT global profile, type ``mesg_num``."""
COLUMNS: Final = {
    "position_lat": LATITUDE,
    "position_long": LONGITUDE,
    "altitude": ALTITUDE,
    "enhanced_altitude": ALTITUDE,
    "timestamp": TIME,
    "distance": DISTANCE,
    "speed": SPEED,
    "enhanced_speed": SPEED,
    "power": POWER,
    "temperature": TEMPERATURE,
}
SIMULATED: Final = frozenset({"virtual_activity", "indoor_cycling", "spin"})
"""Sub-sports ridden on the spot."""
DECODER_TROUBLE: Final = (
    struct.error,
    ArithmeticError,
    LookupError,
    ValueError,
    TypeError,
    AssertionError,
    AttributeError,
)
"""What the decoder raises on damaged bytes beside its own errors (met with random byte flips)."""


def is_fit(head: bytes) -> bool:
    """Whether these first bytes are those of a FIT file."""
    return head[MAGIC_PLACE] == MAGIC


def read_fit(stream: io.BufferedIOBase, recording: Recording) -> None:
    """Gather the records of a FIT file, or of several chained into one.

    Without the decoder's own conversions (dates stay numbers), which takes a fifth off the time.

    Raises:
        FileError: If it is a FIT file of something other than a ride.
    """
    import fitdecode  # noqa: PLC0415  its profile is large, and only this form needs it

    gathering = _Gathering(recording)
    reader = fitdecode.FitReader(
        stream,
        processor=None,
        check_crc=fitdecode.CrcCheck.READONLY,
        error_handling=fitdecode.ErrorHandling.IGNORE,
    )
    try:
        for frame in reader:
            if frame.frame_type == fitdecode.FIT_FRAME_DATA:
                gathering.take(frame)
            elif frame.frame_type == fitdecode.FIT_FRAME_CRC:
                gathering.take_check_sum(matched=frame.matched)
    except fitdecode.FitEOFError as error:
        recording.broken = f"it ends early, at byte {error.offset}"
    except (fitdecode.FitError, *DECODER_TROUBLE) as error:
        recording.broken = f"not readable as FIT from there on ({str(error)[:80] or type(error).__name__})"
    gathering.finish()


class Field(Protocol):
    """A value of a message, as the decoder gives it."""

    field: object
    value: object


class Message(Protocol):
    """A message, as the decoder gives it."""

    global_mesg_num: int
    fields: Iterable[Field]

    def get_value(self, name: str, *, fallback: object) -> object:
        """The value of that name, or the fallback."""


class _Gathering:
    """The state between one message and the next."""

    def __init__(self, recording: Recording) -> None:
        self.recording = recording
        self._columns = _columns_by_field()
        self._piece = 0.0
        self._paused = False
        self._sessions = 0
        self._sports: set[str] = set()
        self._kind = ""

    def take_check_sum(self, *, matched: bool) -> None:
        """The check sum at the end."""
        if not matched:
            self.recording.note("check sum of the file wrong: values may be damaged")

    def take(self, frame: Message) -> None:
        """One message."""
        if frame.global_mesg_num == RECORD:
            self._take_record(frame)
        elif frame.global_mesg_num in MESSAGES:
            MESSAGES[frame.global_mesg_num](self, frame)

    def _take_record(self, frame: Message) -> None:
        row = list(BLANK)
        row[PIECE] = self._piece
        for data in frame.fields:
            column = self._columns.get(data.field)
            if column is not None and data.value is not None:
                place, always = column
                if always or row[place] != row[place]:  # not a number yet
                    row[place] = _plain(data.value, place, self.recording)
        row[LATITUDE] *= DEGREES_PER_SEMICIRCLE
        row[LONGITUDE] *= DEGREES_PER_SEMICIRCLE
        row[TIME] += FIT_EPOCH
        row[TEMPERATURE] = kelvin_from_celsius(row[TEMPERATURE])
        self.recording.rows.extend(row)
        self.recording.is_complete = False
        if self.recording.points % CHECK_SIZE_EVERY == 0:
            self.recording.check_size()

    def take_event(self, frame: Message) -> None:
        """A new piece starts when the timer starts again after a stop."""
        if _text(frame, "event") != "timer":
            return
        kind = _text(frame, "event_type")
        if kind.startswith("stop"):
            self._paused = True
        elif kind == "start" and self._paused:
            self._paused = False
            self._piece += 1

    def take_session(self, frame: Message) -> None:
        """The summary at the end: the recording is whole; which sport, and whether on the spot."""
        self._sessions += 1
        self._piece += 1
        self.recording.is_complete = True
        self.take_sport(frame)

    def take_activity(self, _frame: Message) -> None:
        """The very end of an activity."""
        self.recording.is_complete = True

    def take_sport(self, frame: Message) -> None:
        """The sport."""
        self._sports.add(_text(frame, "sport"))
        self.recording.is_virtual |= _text(frame, "sub_sport") in SIMULATED

    def take_profile(self, frame: Message) -> None:
        """The rider's mass."""
        mass = frame.get_value("weight", fallback=None)
        if isinstance(mass, int | float) and mass:
            self.recording.rider_mass = float(mass)

    def take_file_id(self, frame: Message) -> None:
        """What kind of FIT file it is."""
        self._kind = _text(frame, "type")

    def finish(self) -> None:
        """Remark on what is not a bicycle's recording.

        Raises:
            FileError: If no record was found.
        """
        if not self.recording.rows and not self.recording.broken:
            raise FileError(
                self.recording.name,
                f"it is a FIT file of {self._kind or 'unknown kind'} and holds no ride",
                "Take the file of the activity itself.",
            )
        sports = self._sports - {"", "cycling", "generic", "e_biking"}
        if sports:
            self.recording.note(f"recorded as {', '.join(sorted(sports)).replace('_', ' ')}, not as cycling")
        if self._kind == "course":
            self.recording.note("a planned course: its times are the planner's")
        if self._sessions > 1:
            self.recording.note("recordings joined in the file's order", self._sessions)


MESSAGES: Final = {
    FILE_ID: _Gathering.take_file_id,
    SESSION: _Gathering.take_session,
    EVENT: _Gathering.take_event,
    USER_PROFILE: _Gathering.take_profile,
    SPORT: _Gathering.take_sport,
    ACTIVITY: _Gathering.take_activity,
}


def _columns_by_field() -> dict[object, tuple[int, bool]]:
    """The profile's own fields, so that a developer field of the same name is not mistaken for one.

    The second entry says whether the field goes before another one for the same column.
    """
    from fitdecode import profile  # noqa: PLC0415  see read_fit

    fields = profile.MESSAGE_TYPES[RECORD].fields.values()
    return {
        field: (COLUMNS[field.name], field.name.startswith("enhanced_"))
        for field in fields
        if field.name in COLUMNS
    }


def _plain(value: object, column: int, recording: Recording) -> float:
    if isinstance(value, int | float):
        return float(value)
    recording.unreadable[column] += 1
    return float("nan")


def _text(frame: Message, field: str) -> str:
    value = frame.get_value(field, fallback=None)
    return value if isinstance(value, str) else ""
