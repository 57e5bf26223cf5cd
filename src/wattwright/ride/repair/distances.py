"""How far it is from point to point: by wheel or device where that is believable, else by position."""

from typing import Final

import numpy as np

from wattwright.errors import FileError
from wattwright.ride.geodesy import geodesic_between, geodesic_steps
from wattwright.ride.repair.mending import Mask, Mending, placed, timed
from wattwright.ride.repair.positions import leap_limits
from wattwright.ride.track import Track
from wattwright.units import FloatArray, Second, km_from_metres

BELIEVABLE: Final = 1.18
"""Recorded distance may differ from that of the positions by this factor; assumption."""
CONTRADICTION: Final = 2.0
"""Two measures of distance that differ by this factor cannot both be of one ride; assumption."""
WORTH_A_WORD: Final = 200.0
"""[m] Gaps shorter than this are bridged without mention."""
LONGEST_BRIDGE: Final = 5000.0
"""[m] Longer gaps in a timed track are left out."""
LONGEST_UNTIMED_BRIDGE: Final = 1000.0
"""[m] The same for a track without times."""
FASTEST_BRIDGE: Final = 12.0
"""[m/s] Gaps crossed faster on the average are left out: a vehicle, not a bicycle; assumption."""
USUAL_STEP_SPEED: Final = 5.0
"""[m/s] Speed assumed over a lone leap of the position."""
STANDING_SPEED: Final = 0.4
"""[m/s] Slower than this over ``STANDING_SPAN`` the position only drifts."""
STANDING_SPAN: Final = 20.0
"""[s]"""


def gap_limit(track: Track) -> Second:
    """Time between two points above which the recording had a gap: 10 usual steps, 15 s at least."""
    return max(15.0, 10.0 * float(np.median(np.diff(track.time))))


def with_distances(mending: Mending) -> Mending:
    """Give every point its distance from the start, and a piece number that grows where the road is cut.

    Raises:
        FileError: If there is nothing to tell distance by, or if recorded speed, distance and position
            contradict each other.
    """
    track = mending.track
    by_position = _steps_by_position(track)
    by_device = _steps_by_device(track, by_position)
    by_speed = _steps_by_speed(track)
    gap = _gaps(track, by_position)
    _refuse_contradictions(track, {"position": by_position, "distance": by_device, "speed": by_speed}, ~gap)
    mending, step = _chosen(mending, by_position, by_device, by_speed, gap)
    step, cut, bridged = _over_gaps(track, step, by_position, gap)
    mending = mending.noted(
        f"gaps of more than {WORTH_A_WORD:.0f} m bridged by a straight line"
        f" ({km_from_metres(float(step[bridged].sum())):.1f} km in all)",
        np.append(False, bridged),
    ).noted("stretches travelled without recording left out", np.append(False, cut))
    return mending.with_columns(
        distance=np.concatenate([[0.0], np.cumsum(step)]),
        segment=np.concatenate([[0.0], np.cumsum(cut, dtype=float)]),
    )


def _steps_by_position(track: Track) -> FloatArray:
    if not placed(track):
        return np.full(len(track.latitude) - 1, np.nan)
    return geodesic_steps(track.latitude, track.longitude)[0]


def _steps_by_device(track: Track, by_position: FloatArray) -> FloatArray:
    """Recorded steps; missing distances filled in between, falling ones and lone leaps NaN."""
    known = np.isfinite(track.distance)
    if known.mean() < 0.5:
        return np.full(len(track.distance) - 1, np.nan)
    along = track.time if timed(track) else np.arange(len(known), dtype=float)
    step = np.diff(np.interp(along, along[known], track.distance[known]))
    leap = step > WORTH_A_WORD + 3.0 * by_position  # False where there is no position
    return np.where((step < 0.0) | leap, np.nan, step)


def _steps_by_speed(track: Track) -> FloatArray:
    if not timed(track) or np.isfinite(track.speed).mean() < 0.5:
        return np.full(len(track.speed) - 1, np.nan)
    speed = 0.5 * (track.speed[1:] + track.speed[:-1])
    return np.where(np.isfinite(speed), speed, 0.0) * np.diff(track.time)


def _gaps(track: Track, by_position: FloatArray) -> Mask:
    """Steps over which the recording slept; without times, steps far longer than the rest."""
    if timed(track):
        return np.asarray(np.diff(track.time) > gap_limit(track), dtype=bool)
    if not placed(track):
        return np.zeros(len(by_position), dtype=bool)
    usual = float(np.quantile(by_position, 0.95))
    return np.asarray(by_position > max(WORTH_A_WORD, 20.0 * usual), dtype=bool)


def _refuse_contradictions(track: Track, steps: dict[str, FloatArray], ordinary: Mask) -> None:
    total = {
        name: float(np.nansum(step[ordinary])) for name, step in steps.items() if np.isfinite(step).any()
    }
    if not total:
        raise FileError(
            track.title,
            "there is neither position nor distance nor speed in it",
            "Export the ride with its positions, or give distance and ascent instead of a file.",
        )
    low, high = min(total, key=lambda name: total[name]), max(total, key=lambda name: total[name])
    if total[high] > CONTRADICTION * total[low] + 500.0:
        raise FileError(
            track.title,
            f"recorded {high} and {low} contradict each other: "
            f"{km_from_metres(total[high]):.1f} km by {high}, {km_from_metres(total[low]):.1f} km by {low}",
            "Was the device standing still or the wheel size wrong? Use another recording, or give distance"
            " and ascent instead of a file.",
        )


def _chosen(
    mending: Mending, by_position: FloatArray, by_device: FloatArray, by_speed: FloatArray, gap: Mask
) -> tuple[Mending, FloatArray]:
    """Steps from the most believable measure, the others filling its holes."""
    everywhere = np.ones(len(mending.track.latitude), dtype=bool)
    if not np.isfinite(by_position).any():
        if np.isfinite(by_device).any():
            return mending, _filled(by_device, by_speed)
        return mending.noted("distance worked out from recorded speed", everywhere), _filled(
            by_speed, by_speed
        )
    mending, by_position = _calmed(mending, by_position)
    if not np.isfinite(by_device).any():
        return mending, by_position
    device, position = (float(np.nansum(step[~gap])) for step in (by_device, by_position))
    if position / BELIEVABLE <= device <= position * BELIEVABLE:
        return mending, _filled(by_device, by_position)
    return mending.noted(
        f"recorded distance ({km_from_metres(device):.1f} km) set aside for that of the positions"
        f" ({km_from_metres(position):.1f} km)",
        everywhere,
    ), by_position


def _filled(step: FloatArray, other: FloatArray) -> FloatArray:
    return np.nan_to_num(np.where(np.isfinite(step), step, other), nan=0.0)


def _calmed(mending: Mending, step: FloatArray) -> tuple[Mending, FloatArray]:
    """Steps by position without the drift of a standing rider and without lone leaps."""
    track = mending.track
    if not timed(track):
        return mending, step
    limit = leap_limits(track, step, np.arange(len(track.time)))
    leap = (step > limit) & (np.diff(track.time) <= gap_limit(track))
    mending = mending.noted("leaps of the position not counted as distance", np.append(False, leap))
    step = np.where(leap, np.minimum(step, USUAL_STEP_SPEED * np.diff(track.time)), step)
    return mending, np.where(_drifting(track), 0.0, step)


def _drifting(track: Track) -> Mask:
    """Steps during which a rider stood: little progress over ``STANDING_SPAN``."""
    time = track.time
    asleep = np.diff(time) > gap_limit(track)
    awake = np.concatenate([[0.0], np.cumsum(np.where(asleep, 10.0 * STANDING_SPAN, np.diff(time)))])
    middle = 0.5 * (awake[1:] + awake[:-1])
    first = np.searchsorted(awake, middle - 0.5 * STANDING_SPAN, side="left")
    last = np.searchsorted(awake, middle + 0.5 * STANDING_SPAN, side="right") - 1
    index = np.arange(len(middle))
    first, last = np.minimum(first, index), np.maximum(last, index + 1)
    way, _ = geodesic_between(
        track.latitude[first], track.longitude[first], track.latitude[last], track.longitude[last]
    )
    return np.asarray(~asleep & (way < STANDING_SPEED * (time[last] - time[first])), dtype=bool)


def _over_gaps(
    track: Track, step: FloatArray, by_position: FloatArray, gap: Mask
) -> tuple[FloatArray, Mask, Mask]:
    """Bridge what a bicycle can have ridden, cut the rest: steps, cuts, bridges worth a word."""
    if not gap.any() or not placed(track):
        return step, np.zeros(len(step), dtype=bool), np.zeros(len(step), dtype=bool)
    way = np.where(gap, np.maximum(step, by_position), 0.0)
    cut = gap & _too_far(track, way)
    bridged = gap & ~cut & (way > WORTH_A_WORD)
    return np.where(cut, 0.0, np.where(gap, way, step)), cut, bridged


def _too_far(track: Track, way: FloatArray) -> Mask:
    if not timed(track):
        return np.asarray(way > LONGEST_UNTIMED_BRIDGE, dtype=bool)
    fast = way > FASTEST_BRIDGE * np.diff(track.time)
    return np.asarray((way > WORTH_A_WORD) & (fast | (way > LONGEST_BRIDGE)), dtype=bool)
