"""From a job's rides to planned ones: tracks read and built once, rides on one charge joined."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from wattwright.errors import InputError
from wattwright.files.tracks import ReadTrack, read_track
from wattwright.job.job import JobRide
from wattwright.ride.path import RidePath
from wattwright.ride.path_building import BuiltPath, joined_paths, path_from_track
from wattwright.ride.synthetic import synthetic_path
from wattwright.ride.track import Repair
from wattwright.sizing.brief import PlannedRide
from wattwright.units import Metre


def planned_rides(rides: Sequence[JobRide], folder: Path) -> tuple[tuple[PlannedRide, ...], tuple[str, ...]]:
    """Each ride's path; rides without a charge between them become one.

    Args:
        rides: Of the job, in the order they are ridden.
        folder: That track files are relative to.

    Returns:
        The rides, and what the fitter should know of them, each thing said once.

    Raises:
        FileError: If a track cannot be read or ridden.
        InputError: If rides on one charge share no month.
    """
    roads = _Roads(folder)
    planned: list[PlannedRide] = []
    notes: list[str] = []
    chain: list[PlannedRide] = []
    for ride in rides:
        path, said = roads.of(ride)
        notes += said
        chain.append(_planned(ride, path))
        if ride.charged_after:
            planned += _on_one_charge(chain, notes)
            chain = []
    if chain:
        notes.append(
            f"After “{chain[-1].name}” the pack is taken to be charged, though the job says it is not."
        )
        planned += _on_one_charge(chain, notes)
    return tuple(planned), tuple(dict.fromkeys(notes))


@dataclass(slots=True)
class _Roads:
    """The job's tracks, each read once and built once for each way of riding it."""

    folder: Path
    read: dict[str, ReadTrack] = field(default_factory=dict)
    built: dict[tuple[str, bool, Metre, bool], BuiltPath] = field(default_factory=dict)

    def of(self, ride: JobRide) -> tuple[RidePath, list[str]]:
        """The ride's path, and what was mended or assumed where it is the first to use its file."""
        if not ride.file:
            factor = 2.0 if ride.there_and_back else 1.0
            return synthetic_path(
                factor * ride.distance, factor * ride.ascent, stops=round(factor * ride.stops)
            ), [f"“{ride.name}” has no recording: hills and stops are made up to its distance and ascent."]
        key = (ride.file, ride.assume_flat, ride.ascent, ride.there_and_back)
        said: list[str] = []
        if ride.file not in self.read:
            self.read[ride.file] = read_track(self.folder / ride.file)
            said += repair_sentences(ride.name, self.read[ride.file].repairs)
        if key not in self.built:
            first_use = all(file != ride.file for file, *_ in self.built)
            self.built[key] = built_path(
                self.read[ride.file],
                self.folder / ride.file,
                assume_flat=ride.assume_flat,
                ascent=ride.ascent or None,
                there_and_back=ride.there_and_back,
            )
            if first_use:
                said += repair_sentences(ride.name, self.built[key].repairs)
                said += [f"“{ride.name}”: {note}." for note in self.built[key].notes]
        return self.built[key].path, said


def built_path(
    read: ReadTrack,
    file: Path,
    *,
    assume_flat: bool = False,
    ascent: Metre | None = None,
    there_and_back: bool = False,
) -> BuiltPath:
    """The path of a track that was read, as ``path_from_track``; a fault names its file, not its title.

    Raises:
        FileError: If the track cannot be ridden.
        InputError: If an ascent is given for a track with elevation.
    """
    try:
        return path_from_track(
            read.track, assume_flat=assume_flat, ascent=ascent, there_and_back=there_and_back
        )
    except InputError as error:
        raise error.located(str(file)) from None


def repair_sentences(name: str, repairs: Sequence[Repair]) -> list[str]:
    """What was mended in a ride's track, a sentence for each kind.

    >>> repair_sentences("hill round", [Repair(what="repeated points dropped", count=3, where="at 1.2 km")])
    ['“hill round”: repeated points dropped (3, the first at 1.2 km).']
    """
    return [f"“{name}”: {repair_in_words(repair)}." for repair in repairs]


def repair_in_words(repair: Repair) -> str:
    """One kind of repair with its count and place.

    >>> repair_in_words(Repair(what="heights of zero left out", count=1, where="point 7"))
    'heights of zero left out (point 7)'
    """
    if not repair.where:
        return f"{repair.what} ({repair.count})"
    if repair.count == 1:
        return f"{repair.what} ({repair.where})"
    return f"{repair.what} ({repair.count}, the first {repair.where})"


def _planned(ride: JobRide, path: RidePath) -> PlannedRide:
    return PlannedRide(
        name=ride.name,
        path=path,
        times_per_week=ride.times_per_week,
        months=tuple(sorted(ride.months)),
        load=ride.load,
        start_charge=ride.start_charge,
        charged_after=ride.charged_after,
    )


def _on_one_charge(chain: Sequence[PlannedRide], notes: list[str]) -> list[PlannedRide]:
    """Rides between two charges as one, and each of them alone as often as it is ridden besides.

    The joined ride carries the heaviest load all the way, as often as the rarest of them and in the months
    they share.
    """
    if len(chain) == 1:
        return list(chain)
    shared = _shared_months(chain)
    name = " + ".join(ride.name for ride in chain)
    joined = replace(
        chain[0],
        name=name,
        path=joined_paths(name, *(ride.path for ride in chain)),
        load=max(ride.load for ride in chain),
        times_per_week=min(ride.times_per_week for ride in chain),
        months=shared,
        charged_after=True,
    )
    notes.append(
        f"“{name}” are ridden on one charge, {joined.times_per_week:g} times a week, with the heaviest load "
        f"of {joined.load:.0f} kg all the way."
    )
    return [joined, *_alone(chain, joined)]


def _shared_months(chain: Sequence[PlannedRide]) -> tuple[int, ...]:
    shared = set(chain[0].months)
    for ride in chain[1:]:
        if not shared & set(ride.months):
            raise InputError(
                f"months of “{ride.name}”",
                list(ride.months),
                f"at least one of those of “{chain[0].name}”, on whose charge it is ridden",
                f"Or say charged_after = true for “{chain[0].name}”.",
            )
        shared &= set(ride.months)
    return tuple(sorted(shared))


def _alone(chain: Sequence[PlannedRide], joined: PlannedRide) -> list[PlannedRide]:
    """What remains of each ride's year; it wears the pack as well."""
    rest = []
    for ride in chain:
        month_times = ride.times_per_week * len(ride.months) - joined.times_per_week * len(joined.months)
        if month_times > 1e-9:
            rest.append(replace(ride, times_per_week=month_times / len(ride.months), charged_after=True))
    return rest
