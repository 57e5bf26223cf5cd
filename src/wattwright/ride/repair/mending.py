"""The track under repair, with the list of what was done to it."""

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from wattwright.ride.track import Repair, Track
from wattwright.units import FloatArray, km_from_metres

Mask = npt.NDArray[np.bool_]
COLUMNS = tuple(field.name for field in fields(Track) if field.type is FloatArray)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mending:
    """A track, the number each of its points had in the file, and the repairs so far."""

    track: Track
    point: npt.NDArray[np.int64]
    """(points,) 1 for the first point of the file."""
    repairs: tuple[Repair, ...] = ()

    def with_columns(self, **columns: FloatArray) -> "Mending":
        """The same with some columns replaced."""
        named: dict[str, Any] = dict(columns)
        return replace(self, track=replace(self.track, **named))

    def kept(self, keep: Mask) -> "Mending":
        """The same with only these points."""
        if keep.all():
            return self
        columns: dict[str, Any] = {name: getattr(self.track, name)[keep] for name in COLUMNS}
        return replace(self, track=replace(self.track, **columns), point=self.point[keep])

    def noted(self, what: str, concerned: Mask, *, count: int | None = None) -> "Mending":
        """The same with one more repair, if any point is concerned; the place is the first of them."""
        if not concerned.any():
            return self
        repair = Repair(
            what=what,
            count=int(concerned.sum()) if count is None else count,
            where=self._place(int(np.argmax(concerned))),
        )
        return replace(self, repairs=(*self.repairs, repair))

    def _place(self, index: int) -> str:
        distance = float(self.track.distance[index])
        point = f"point {self.point[index]}"
        return f"at {km_from_metres(distance):.1f} km ({point})" if np.isfinite(distance) else point


def timed(track: Track) -> bool:
    """Whether the track has times."""
    return len(track.time) > 0 and bool(np.isfinite(track.time).all())


def placed(track: Track) -> bool:
    """Whether the track has positions."""
    return bool(np.isfinite(track.latitude).any())


def running_median(values: FloatArray, width: int) -> FloatArray:
    """Median of each value and its neighbours, (points,), finite; the ends are mirrored."""
    from scipy.ndimage import median_filter  # noqa: PLC0415  (slow to import)

    return np.asarray(median_filter(values, size=width, mode="reflect"), dtype=float)


def runs(mask: Mask) -> list[tuple[int, int]]:
    """First and last index of each unbroken run of True.

    >>> runs(np.array([True, False, True, True]))
    [(0, 0), (2, 3)]
    """
    edge = np.diff(np.concatenate([[0], mask.astype(np.int8), [0]]))
    return list(
        zip(np.flatnonzero(edge == 1).tolist(), (np.flatnonzero(edge == -1) - 1).tolist(), strict=True)
    )
