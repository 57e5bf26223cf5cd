"""What all placements of a number of modules on a face have in common: the row of modules, and its way off.

Whatever the carrier, its fixing and its plate, the row fills at least the height all of them share. So rows
that cannot be together prove that no placements with these rows can, however many there are.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from wattwright.frame.candidates import Candidate, Solid, pieces_of
from wattwright.frame.holding import raised_by
from wattwright.frame.joint import Slider
from wattwright.frame.outline import module_row, shape_of
from wattwright.frame.placement import Face
from wattwright.frame.plane import added
from wattwright.frame.stretches import Stretches, either, less
from wattwright.parts.carrier import CarrierShape, Release
from wattwright.units import FloatArray, Metre


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Which offsets are tried: every free whole multiple of ``step``, and the ends of what is free."""

    step: Metre = 0.001
    """A stack cannot be set truer than to a millimetre."""
    ends: bool = True


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Core:
    """What some placements of one number of modules on one face have in common."""

    face: str
    modules: int
    members: tuple[int, ...]
    """Places of those that have it in common in the next list: of cores for rows, of candidates for cores."""
    slider: Slider
    """In row coordinates: the offset is the row's end with the smaller s."""


def places_of(free: Stretches, grid: Grid) -> FloatArray:
    """Offsets on the grid inside the stretches, by rising offset. [m].

    >>> places_of(((0.0015, 0.0035),), Grid()).tolist()
    [0.0015, 0.002, 0.003, 0.0035]
    """
    found = [np.array([end for stretch in free for end in stretch])] if grid.ends else []
    for low, high in free:
        first, last = np.ceil(low / grid.step - 1e-9), np.floor(high / grid.step + 1e-9)
        found.append(np.arange(first, last + 1) * grid.step)
    return np.unique(np.concatenate([np.zeros(0), *found]).round(12))


def row_start(candidate: Candidate) -> Metre:
    """Where its row of modules begins, from its offset."""
    start, end = module_row(candidate.carrier, candidate.battery_module, candidate.modules)
    return start if candidate.dock_first else shape_of(candidate.carrier).length - end


def needed(candidates: Sequence[Candidate]) -> tuple[Candidate, ...]:
    """Candidates less the offsets at which another puts the same row in no more room.

    Of two carriers that differ in length alone, fixed at the same height, the longer one (or the one with the
    longer plate) is kept only where the shorter one cannot be.
    """
    groups: dict[object, list[Candidate]] = {}
    for candidate in candidates:
        groups.setdefault(_profile(candidate, plated=True), []).append(candidate)
    return tuple(kept for group in groups.values() for kept in _least(group))


def _least(group: list[Candidate]) -> Iterator[Candidate]:
    """The candidates of one profile, each less what the shorter ones cover."""
    covered: Stretches = ()
    for candidate in sorted(group, key=lambda one: shape_of(one.carrier).length):
        row = row_start(candidate)
        free = less(candidate.free, tuple((low - row, high - row) for low, high in covered))
        if free:
            yield candidate.with_free(free)
            covered = either([covered, tuple((low + row, high + row) for low, high in free)])


def _profile(candidate: Candidate, *, plated: bool) -> object:
    """What two candidates must share for the shorter carrier to fill no room the longer one leaves.

    ``plated``: whether each candidate with a plate stands alone.
    """
    shape, fixing = shape_of(candidate.carrier), candidate.held_by[0].fixing
    alone = plated and raised_by(fixing) > 0
    return (
        candidate.face.name, candidate.modules, candidate.dock_first, raised_by(fixing), shape.outline,
        shape.foot_width, shape.foot_height, shape.dock_length, shape.dock_height, shape.overhang_low,
        shape.overhang_inner, shape.release, shape.hand_room, candidate.carrier.removal_travel,
        candidate.carrier.base_length,
        (id(candidate),) if alone else (),
    )  # fmt: skip


def cores_of(candidates: Sequence[Candidate], grid: Grid) -> tuple[Core, ...]:
    """Dock, row and end piece of candidates on one carrier profile at one height, the same way round.

    Candidates without a place on the grid are in none.
    """
    groups: dict[object, list[int]] = {}
    places = [places_of(one.free, grid) for one in candidates]
    for number, candidate in enumerate(candidates):
        if len(places[number]):
            groups.setdefault(_profile(candidate, plated=False), []).append(number)
    return tuple(_core(candidates, members, places) for members in groups.values())


def rows_of(candidates: Sequence[Candidate], cores: Sequence[Core]) -> tuple[Core, ...]:
    """The rows of modules that cores share whatever their height, if they come off the same way.

    A bag fills the same room however much is in it: its row is the bag. Most modules first.
    """
    groups: dict[object, list[int]] = {}
    for number, core in enumerate(cores):
        groups.setdefault(_row_key(candidates[core.members[0]]), []).append(number)
    made = [_row(candidates, cores, members) for members in groups.values()]
    return tuple(sorted(made, key=lambda core: -core.modules))


def _row_key(candidate: Candidate) -> object:
    shape = shape_of(candidate.carrier)
    raised = raised_by(candidate.held_by[0].fixing)
    own = (shape.outline, candidate.dock_first, raised) if shape.outline else ()
    along = (Release.AWAY_FROM_DOCK, Release.TOWARDS_DOCK)
    to_larger = shape.release in along and (shape.release is along[0]) is candidate.dock_first
    return (candidate.face.name, candidate.modules, shape.release in along, to_larger, own)


def _core(candidates: Sequence[Candidate], members: Sequence[int], places: Sequence[FloatArray]) -> Core:
    one = candidates[members[0]]
    shifts = [row_start(candidates[number]) for number in members]
    found = np.concatenate([places[number] + shift for number, shift in zip(members, shifts, strict=True)])
    # Of a plate only its own candidate knows; the feet of the shortest carrier lie under all the others.
    shortest = min(members, key=lambda number: shape_of(candidates[number].carrier).length)
    back = -row_start(candidates[shortest])
    solids = tuple(
        replace(solid, outline=tuple(added(corner, one.face.along, back) for corner in solid.outline))
        for solid in candidates[shortest].solids
        if not solid.is_plate
    )
    slider = Slider(solids=solids, along=one.face.along, places=np.unique(found.round(9)))
    return Core(face=one.face.name, modules=one.modules, members=tuple(members), slider=slider)


def _row(candidates: Sequence[Candidate], cores: Sequence[Core], members: Sequence[int]) -> Core:
    firsts = [candidates[cores[number].members[0]] for number in members]
    one = firsts[0]
    solids = cores[members[0]].slider.solids
    if not shape_of(one.carrier).outline:
        solids = tuple(_row_solids(one.face, firsts))
    places = np.unique(np.concatenate([cores[number].slider.places for number in members]))
    slider = Slider(solids=solids, along=one.face.along, places=places)
    return Core(face=one.face.name, modules=one.modules, members=tuple(members), slider=slider)


def _row_solids(face: Face, members: Sequence[Candidate]) -> Iterator[Solid]:
    """What all members' rows fill, and sweep on the way off, with the row beginning at 0."""
    lows, highs = zip(*(_heights(one) for one in members), strict=True)
    low, high = max(lows), min(highs)
    length = members[0].modules * members[0].battery_module.pitch
    half = members[0].battery_module.width / 2
    if high <= low:
        return
    yield from pieces_of(face, _box(0.0, length, low, high), (-half, half), way=0)
    shape = shape_of(members[0].carrier)
    if shape.release in (Release.AWAY_FROM_DOCK, Release.TOWARDS_DOCK):
        travel = min(one.carrier.removal_travel + shape_of(one.carrier).hand_room for one in members)
        larger = (shape.release is Release.AWAY_FROM_DOCK) is members[0].dock_first
        swept = (0.0, length + travel) if larger else (-travel, length)
        yield from pieces_of(face, _box(*swept, low, high), (-half, half), way=1)


def _heights(candidate: Candidate) -> tuple[Metre, Metre]:
    shape: CarrierShape = shape_of(candidate.carrier)
    raised = raised_by(candidate.held_by[0].fixing)
    low = min(shape.overhang_low, shape.foot_height) + raised
    return low, shape.foot_height + candidate.battery_module.height + raised


def _box(start: Metre, end: Metre, low: Metre, high: Metre) -> tuple[tuple[Metre, Metre], ...]:
    return ((start, low), (end, low), (end, high), (start, high))


def sliders_of(candidates: Iterable[Candidate], grid: Grid) -> list[Slider]:
    """Candidates as they slide, each in its own offsets."""
    return [
        Slider(solids=one.solids, along=one.face.along, places=places_of(one.free, grid))
        for one in candidates
    ]
