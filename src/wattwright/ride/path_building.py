"""From a track as read to the path the engine rides."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from wattwright.errors import FileError, InputError
from wattwright.ride.elevation import Profile, profile_of
from wattwright.ride.elevation import ascent as ascent_of
from wattwright.ride.elevation import descent as descent_of
from wattwright.ride.geodesy import BEND_WAVELENGTH, STRAIGHT, bend_radius, geodesic_steps, slope_length
from wattwright.ride.path import RidePath
from wattwright.ride.repair import mended
from wattwright.ride.repair.mending import Mask
from wattwright.ride.road import Road, ends_turned_round, joined, path_of, turned_round
from wattwright.ride.speed_caps import RecordedStop, RidingStyle, braked
from wattwright.ride.stops import halts
from wattwright.ride.synthetic import hilly_heights
from wattwright.ride.track import Repair, Track
from wattwright.units import FloatArray, Metre, Second, km_from_metres, minutes_from_seconds

SEGMENT_LENGTH: Final[Metre] = 10.0
STEEPEST_GRADE: Final = 0.35
"""About the steepest public roads there are. (memory)"""
LONGEST_DWELL: Final[Second] = 300.0
"""Longer pauses count as this: a motor cools over a lunch, and a plan must not lean on that; assumption."""
FEWEST_SEGMENTS: Final = 3
LONGEST_TRACK: Final[Metre] = 5.0e6
WIDEST_SPACING: Final[Metre] = 2000.0
"""Mean distance between points above which a track does not tell its road."""
HILL_SEED: Final = 20
"""Of the hills put under a track without elevation whose ascent is given."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BuiltPath:
    """A path, and what was learnt on the way from the track to it."""

    path: RidePath
    repairs: tuple[Repair, ...]
    notes: tuple[str, ...]
    """What the fitter should know: assumptions taken, pauses cut short."""
    ascent: Metre
    """Of the smoothed profile with a dead band of 3 m."""
    descent: Metre
    stops: tuple[RecordedStop, ...]
    distance: Metre
    """Of the path, along the slope."""
    distance_recorded: Metre
    """What the device said for one way; NaN where it did not."""
    duration: Second
    """From first to last point of the recording, one way; NaN without times."""
    moving_time: Second
    """The same without halts, gaps and stretches left out; NaN without times."""


def path_from_track(
    track: Track,
    *,
    segment_length: Metre = SEGMENT_LENGTH,
    style: RidingStyle | None = None,
    assume_flat: bool = False,
    ascent: Metre | None = None,
    reverse: bool = False,
    there_and_back: bool = False,
) -> BuiltPath:
    """Mend a track, cut it into even segments, and work out grade, heading, bends, stops and speed caps.

    Args:
        track: As read.
        segment_length: Wanted length of a segment, 2 to 200. [m]
        style: How the rider takes bends and brakes; the usual one if not given.
        assume_flat: The fitter's word that a track without elevation is flat. Not used where there is one.
        ascent: Of a track without elevation, one way [m]: hills are put under it that climb so much.
        reverse: Ride it from its end to its start.
        there_and_back: Ride it and then all the way back, with a halt at the far end.

    Returns:
        The path with all that was repaired or assumed.

    Raises:
        FileError: If the track cannot be mended (see ``mended``), has no elevation and no word on it, is
            shorter than three segments, or has too few points to tell the road.
        InputError: If an argument is out of range, or ascent is given for a track with elevation.
    """
    if not 2.0 <= segment_length <= 200.0:
        raise InputError("segment_length_m", segment_length, "2 to 200")
    whole, repairs = mended(track)
    _refuse_unfit(whole, segment_length)
    whole, notes = _with_heights(whole, assume_flat=assume_flat, ascent=ascent)
    road, bumps = _road_of(whole, segment_length)
    road, too_steep = _capped(road)
    road, stops = _with_stops(road, whole)
    way, stops = _directed(road, stops, reverse=reverse, there_and_back=there_and_back)
    path = path_of(way, track.title, style or RidingStyle())
    heights = np.concatenate([[0.0], np.cumsum(way.run * way.grade)])
    return BuiltPath(
        path=path,
        repairs=repairs + bumps + too_steep,
        notes=notes + _notes(whole, stops),
        ascent=ascent_of(heights),
        descent=descent_of(heights),
        stops=stops,
        distance=path.distance,
        distance_recorded=_recorded_distance(track),
        duration=float(whole.time[-1] - whole.time[0]),
        moving_time=_moving_time(whole),
    )


def reversed_path(path: RidePath, style: RidingStyle | None = None) -> RidePath:
    """The path ridden from its end to its start.

    Grades change sign, headings turn round, and what stood at segment ends stands at the same places. The
    speed caps keep the braking distances of the old direction and gain those of the new one, so they are a
    little lower than those of a path built in that direction.
    """
    style = style or RidingStyle()
    length = path.length[::-1]
    return replace(
        path,
        length=length,
        grade=-path.grade[::-1],
        heading=np.mod(path.heading[::-1] + np.pi, 2.0 * np.pi),
        altitude=path.altitude[::-1],
        speed_cap=braked(ends_turned_round(path.speed_cap), length, style.braking_deceleration),
        dwell=ends_turned_round(path.dwell),
        rolling_factor=path.rolling_factor[::-1],
        latitude=path.latitude[::-1],
        longitude=path.longitude[::-1],
    )


def joined_paths(title: str, *paths: RidePath) -> RidePath:
    """One path after the other; each ends with the halt it had.

    Raises:
        InputError: If there is no path.
    """
    if not paths:
        raise InputError("paths", 0, "one or more")
    columns = (name for name in RidePath.__slots__ if name != "title")
    return RidePath(
        title=title, **{name: np.concatenate([getattr(path, name) for path in paths]) for name in columns}
    )


def _refuse_unfit(track: Track, segment_length: Metre) -> None:
    """Refuse what is no road: too short, too long, or too few points for its length."""
    distance, points = float(track.distance[-1]), len(track.distance)
    if distance < FEWEST_SEGMENTS * segment_length:
        trouble = f"the track is only {distance:.0f} m long"
        way_out = f"A path needs {FEWEST_SEGMENTS * segment_length:.0f} m at least; is it the right file?"
    elif distance > LONGEST_TRACK:
        trouble = f"the track is {km_from_metres(distance):.0f} km long"
        way_out = "Cut it into single rides."
    elif distance > WIDEST_SPACING * points:
        trouble = f"{points} points over {km_from_metres(distance):.0f} km are too few to tell the road"
        way_out = "Export it as a track with its points close together, or give distance and ascent instead."
    else:
        return
    raise FileError(track.title, trouble, way_out)


def _with_heights(track: Track, *, assume_flat: bool, ascent: Metre | None) -> tuple[Track, tuple[str, ...]]:
    """The track with its own heights, or with those the fitter vouches for."""
    if np.isfinite(track.altitude).all():
        if ascent is not None:
            raise InputError("ascent_m", ascent, "left out", "The track has an elevation of its own.")
        return track, ("the track has elevation, so it was not taken as flat",) if assume_flat else ()
    if ascent is not None:
        heights = hilly_heights(track.distance, ascent=ascent, seed=HILL_SEED)
        said = f"no elevation in the track: hills of {ascent:.0f} m ascent were put under it"
        return replace(track, altitude=heights), (
            said,
            "its height above the sea is unknown and counts as 0 m",
        )
    if assume_flat:
        return replace(track, altitude=np.zeros_like(track.distance)), (
            "no elevation in the track: taken as flat, at the height of the sea, on the fitter's word",
        )
    raise FileError(
        track.title,
        "the track has no elevation that can be used",
        "Give its ascent (ascent_m), or say assume_flat if it is flat; it is not taken as flat unasked.",
    )


def _road_of(track: Track, segment_length: Metre) -> tuple[Road, tuple[Repair, ...]]:
    """Even segments, piece by piece where stretches were cut out; pieces under half a segment are left."""
    roads: list[Road] = []
    bumps: list[Metre] = []
    for piece in np.unique(track.segment):
        here = track.segment == piece
        span = float(np.ptp(track.distance[here]))
        if span >= 0.5 * segment_length:
            profile = profile_of(track.distance[here], track.altitude[here])
            bumps += profile.distance[profile.bump].tolist()
            roads.append(_piece(track, here, profile, max(round(span / segment_length), 1)))
    if sum(len(road.run) for road in roads) < FEWEST_SEGMENTS:
        raise FileError(
            track.title,
            "nothing long enough to ride is left between the stretches that were cut out",
            "Use another recording, or give distance and ascent instead of a file.",
        )
    return joined(*roads), _bridged(bumps)


def _bridged(bumps: list[Metre]) -> tuple[Repair, ...]:
    """What to say of heights that were not believed, each standing for 10 m of road."""
    if not bumps:
        return ()
    what = "heights that no road has, for 10 m each, bridged"
    return (Repair(what=what, count=len(bumps), where=f"at {km_from_metres(bumps[0]):.1f} km"),)


def _piece(track: Track, here: Mask, profile: Profile, segments: int) -> Road:
    """One unbroken stretch; it ends with a halt."""
    distance = track.distance[here]
    ends = np.linspace(distance[0], distance[-1], segments + 1)
    run = np.diff(ends)
    altitude = profile.altitude_at(ends)
    latitude = np.interp(ends, distance, track.latitude[here])
    longitude = np.interp(ends, distance, track.longitude[here])
    spacing = _spacing(distance)
    heading, radius = _course(latitude, longitude, run, spacing)
    stop = np.zeros(segments)
    stop[-1] = 1.0
    return Road(
        run=run,
        grade=np.diff(altitude) / run,
        heading=heading,
        altitude=0.5 * (altitude[1:] + altitude[:-1]),
        latitude=0.5 * (latitude[1:] + latitude[:-1]),
        longitude=np.mod(0.5 * (longitude[1:] + longitude[:-1]) + 180.0, 360.0) - 180.0,
        radius=radius,
        stop=stop,
        dwell=np.zeros(segments),
    )


def _spacing(distance: FloatArray) -> Metre:
    """Usual distance between points that differ."""
    step = np.diff(distance)
    return float(np.median(step[step > 0.0]))


def _course(
    latitude: FloatArray, longitude: FloatArray, run: FloatArray, spacing: Metre
) -> tuple[FloatArray, FloatArray]:
    """Heading and bend radius of each segment; north and straight where there is no position.

    Points far apart turn a bend into a few sharp corners, so the course is smoothed over more of it.
    """
    if np.isnan(latitude).any():
        return np.zeros(len(run)), np.full(len(run), STRAIGHT)
    length, heading = geodesic_steps(latitude, longitude)
    known = np.maximum.accumulate(np.where(length > 0.1 * run, np.arange(len(run)), 0))
    heading = heading[known]  # where the position stood still the last heading goes on
    return heading, bend_radius(run, heading, wavelength=max(BEND_WAVELENGTH, 2.5 * spacing))


def _capped(road: Road) -> tuple[Road, tuple[Repair, ...]]:
    steep = np.abs(road.grade) > STEEPEST_GRADE
    if not steep.any():
        return road, ()
    where = km_from_metres(float(road.run[: int(np.argmax(steep))].sum()))
    repair = Repair(
        what=f"segments steeper than {STEEPEST_GRADE:.0%} eased to it",
        count=int(steep.sum()),
        where=f"at {where:.1f} km",
    )
    return replace(road, grade=np.clip(road.grade, -STEEPEST_GRADE, STEEPEST_GRADE)), (repair,)


def _with_stops(road: Road, track: Track) -> tuple[Road, tuple[RecordedStop, ...]]:
    """Put each halt of a timed track at the nearest segment end."""
    if np.isnan(track.time).any():
        return road, ()
    place, duration = halts(track)
    ends = np.cumsum(road.run)
    nearest = np.clip(np.searchsorted(ends - 0.5 * road.run, place, side="right") - 1, 0, len(ends) - 1)
    counted = np.minimum(duration, LONGEST_DWELL)
    stop, dwell = road.stop.copy(), road.dwell.copy()
    stop[nearest] = 1.0
    np.add.at(dwell, nearest, counted)
    along = np.cumsum(slope_length(road.run, road.grade))
    stops = tuple(
        RecordedStop(distance=float(along[at]), duration=float(recorded), dwell=float(short))
        for at, recorded, short in zip(nearest, duration, counted, strict=True)
    )
    return replace(road, stop=stop, dwell=dwell), stops


def _directed(
    road: Road, stops: tuple[RecordedStop, ...], *, reverse: bool, there_and_back: bool
) -> tuple[Road, tuple[RecordedStop, ...]]:
    """The road as it is to be ridden, with its stops in that order."""
    total = float(slope_length(road.run, road.grade).sum())
    back = tuple(replace(stop, distance=total - stop.distance) for stop in reversed(stops))
    there, stops, back_stops = (turned_round(road), back, stops) if reverse else (road, stops, back)
    if not there_and_back:
        return there, stops
    later = tuple(replace(stop, distance=total + stop.distance) for stop in back_stops)
    return joined(there, turned_round(there)), stops + later


def _notes(track: Track, stops: tuple[RecordedStop, ...]) -> tuple[str, ...]:
    notes = []
    if np.isnan(track.time).any():
        notes.append("no times in the track: where the rider halts is unknown, no stops are counted")
    if np.isnan(track.latitude).any():
        notes.append("no positions in the track: bends and headings are unknown, wind counts from the north")
    long = [stop for stop in stops if stop.duration > stop.dwell]
    if long:
        total = minutes_from_seconds(sum(stop.duration for stop in long))
        notes.append(
            f"{len(long)} pauses longer than {minutes_from_seconds(LONGEST_DWELL):.0f} min"
            f" ({total:.0f} min in all) count as {minutes_from_seconds(LONGEST_DWELL):.0f} min each"
        )
    return tuple(notes)


def _recorded_distance(track: Track) -> Metre:
    known = track.distance[np.isfinite(track.distance)]
    return float(known[-1] - known[0]) if len(known) else float("nan")


def _moving_time(track: Track) -> Second:
    if np.isnan(track.time).any():
        return float("nan")
    cut = np.diff(track.segment) > 0.0
    return float(np.diff(track.time)[~cut].sum() - halts(track)[1].sum())
