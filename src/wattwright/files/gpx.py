"""GPX 1.0 and 1.1: tracks, and routes where there is no track.

Elements are known by their names without prefix, so files without or with the wrong namespace are read, and
so are power, temperature and speed from whichever extension carries them.

References:
    GPX 1.1 schema documentation, 2004: ``trkpt`` with ``lat``, ``lon`` (WGS84 degrees), ``ele`` (m), ``time``
    (UTC, ISO 8601); a new ``trkseg`` where reception was lost or the receiver was off. GPX 1.0 also has
    ``speed`` (m/s).
"""

from array import array
from collections import Counter
from collections.abc import Mapping

import numpy as np
import numpy.typing as npt

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
    WIDTH,
    Recording,
    number,
)


class GpxShape:
    """What GPX says, gathered into a recording.

    Args:
        recording: Where points and remarks go.
    """

    points = frozenset({"trkpt", "rtept"})
    values: Mapping[str, int] = {
        "ele": ALTITUDE,
        "time": TIME,
        "distance": DISTANCE,
        "speed": SPEED,
        "power": POWER,
        "watts": POWER,
        "powerinwatts": POWER,
        "atemp": TEMPERATURE,
        "temp": TEMPERATURE,
        "temperature": TEMPERATURE,
    }
    outline = frozenset({"trk", "trkseg", "rte", "name", "type", "link", "metadata", "author", "wpt"})
    texts = frozenset({"name", "type"})

    def __init__(self, recording: Recording) -> None:
        self.recording = recording
        self._open: list[str] = []
        self._titles: dict[str, str] = {}
        self._count: Counter[str] = Counter()
        self._piece = 0.0

    def opened(self, element: str) -> None:
        """Count pieces, tracks, routes and way points."""
        self._open.append(element)
        self._count[element] += 1
        if element in {"trk", "rte"}:
            self.recording.is_complete = False
        if element in {"trkseg", "rte"}:
            self._piece = self._count["trkseg"] + self._count["rte"]
        if element == "rte":
            self._piece = -self._piece

    def closed(self, element: str, text: str) -> None:
        """Take a track's name and type; note that it came to its end."""
        if self._open:
            self._open.pop()
        inside = self._open[-1] if self._open else ""
        if inside in {"trk", "rte"} and element == "name":
            self._titles.setdefault(inside, text)
        elif inside == "trk" and element == "type":
            self.recording.is_virtual |= "virtual" in text.lower()
        elif element in {"trk", "rte"}:
            self.recording.is_complete = True

    def open_point(self, attributes: Mapping[str, str], row: list[float]) -> None:
        """Start a row with the place; points of a route bear negative piece numbers."""
        row[:] = BLANK
        row[PIECE] = self._piece
        try:
            row[LATITUDE] = number(attributes["lat"])
            row[LONGITUDE] = number(attributes["lon"])
        except KeyError:
            return
        except ValueError:
            self.recording.unreadable[LATITUDE] += 1

    def close_point(self, row: list[float]) -> None:
        """Keep the row."""
        self.recording.rows.extend(row)

    def finish(self) -> None:
        """Keep the tracks, or the routes where the tracks have no two points.

        Raises:
            FileError: If there are way points only.
        """
        pieces = np.frombuffer(self.recording.rows, dtype=np.float64)[PIECE::WIDTH]
        of_tracks = int((pieces >= 0).sum())
        of_routes = len(pieces) - of_tracks
        kind = "rte" if of_tracks < 2 <= of_routes else "trk"
        if of_tracks == 0 and kind == "trk" and self._count["wpt"]:
            raise FileError(
                self.recording.name,
                "it holds way points but no track",
                "Export the recorded ride (or the route).",
            )
        if of_routes:
            self._keep((pieces < 0) if kind == "rte" else (pieces >= 0))
        self.recording.title = self._titles.get(kind, "")
        if kind == "rte":
            self.recording.note("no recorded track: the planned route was read", of_routes)
        if self._count[kind] > 1:
            what = "tracks" if kind == "trk" else "routes"
            self.recording.note(f"{what} joined in the file's order", self._count[kind])

    def _keep(self, wanted: npt.NDArray[np.bool_]) -> None:
        table = np.frombuffer(self.recording.rows, dtype=np.float64).reshape(-1, WIDTH)
        self.recording.rows = array("d", table[wanted].tobytes())
