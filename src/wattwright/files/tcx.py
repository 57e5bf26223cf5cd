"""TCX: activities with their laps, and courses.

References:
    Training Center Database schema v2: ``Trackpoint`` with ``Position``, ``AltitudeMeters``,
    ``DistanceMeters`` (from the start), ``Time`` (UTC); ``Speed`` (m/s) and ``Watts`` in its
    activity extension v2.
"""

from collections import Counter
from collections.abc import Mapping

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


class TcxShape:
    """What TCX says, gathered into a recording.

    A second ``Track`` within a lap begins after a pause; the first one of the next lap goes on where the last
    lap ended, so it is no new piece.

    Args:
        recording: Where points and remarks go.
    """

    points = frozenset({"trackpoint"})
    values: Mapping[str, int] = {
        "latitudedegrees": LATITUDE,
        "longitudedegrees": LONGITUDE,
        "altitudemeters": ALTITUDE,
        "time": TIME,
        "distancemeters": DISTANCE,
        "speed": SPEED,
        "watts": POWER,
        "temperature": TEMPERATURE,
    }
    outline = frozenset({"activity", "course", "lap", "track", "name"})
    texts = frozenset({"name"})

    def __init__(self, recording: Recording) -> None:
        self.recording = recording
        self._open: list[str] = []
        self._count: Counter[str] = Counter()
        self._piece = 0.0
        self._continues = True

    def opened(self, element: str) -> None:
        """Count recordings, laps and pieces."""
        self._open.append(element)
        if element in {"activity", "course"}:
            self.recording.is_complete = False
            self._count[element] += 1
            self._piece += 1
            self._continues = True
        elif element == "lap":
            self._continues = True
        elif element == "track":
            self._piece += not self._continues
            self._continues = False

    def closed(self, element: str, text: str) -> None:
        """Take a course's name; note that a recording came to its end."""
        if self._open:
            self._open.pop()
        if element in {"activity", "course"}:
            self.recording.is_complete = True
        if element == "name" and self._open[-1:] == ["course"]:
            self.recording.title = self.recording.title or text

    def open_point(self, attributes: Mapping[str, str], row: list[float]) -> None:  # noqa: ARG002  TCX has none
        """Start an empty row."""
        row[:] = BLANK
        row[PIECE] = self._piece

    def close_point(self, row: list[float]) -> None:
        """Keep the row."""
        self.recording.rows.extend(row)

    def finish(self) -> None:
        """Say so where several recordings were joined."""
        if (joined := self._count.total()) > 1:
            self.recording.note("recordings joined in the file's order", joined)
