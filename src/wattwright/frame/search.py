"""The most modules a bicycle takes: an exact search over faces, carriers, ways round, fixings and offsets.

Depth first over the faces, first with what all placements of a number of modules have in common (``cores``),
then with the placements themselves. A branch ends where even the best that still goes with what is chosen,
face by face, makes no more than what was found. Nothing is left out but what cannot be more.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from wattwright.errors import InputError
from wattwright.frame.candidates import Candidate, Shelf, candidates_on
from wattwright.frame.cores import Core, Grid, cores_of, needed, rows_of, sliders_of
from wattwright.frame.joint import Together, together_of
from wattwright.frame.placement import Placement
from wattwright.frame.room import Room
from wattwright.frame.survey import ClearanceKind
from wattwright.units import Metre

if TYPE_CHECKING:
    from wattwright.frame.joint_kernel import IntArray

MOST_STACKS = 3
"""Where nobody says otherwise: more are seldom wired, and each costs the search as much again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """Stacks that are on a bicycle together."""

    stacks: tuple[tuple[Candidate, Metre], ...]
    """Each with its offset. [m]"""

    @property
    def modules(self) -> int:
        """All modules together."""
        return sum(candidate.modules for candidate, _ in self.stacks)

    def placements(self) -> tuple[Placement, ...]:
        """The stacks as placements, each with the first of its fixings that holds it there."""
        return tuple(
            candidate.placement(candidate.holding_at(offset)[0], offset) for candidate, offset in self.stacks
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ready:
    """Candidates made ready for the search: what they have in common, level by level, and all as arrays."""

    candidates: tuple[Candidate, ...]
    levels: tuple[tuple[Core, ...], ...]
    """Rows, then cores; the candidates themselves are the level below."""
    arrays: tuple[Together, ...]
    """Of the rows, of the cores, of the candidates."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Found:
    """The most modules that fit, proven, and what was looked at for it."""

    best: Arrangement
    candidates: int
    """Kinds of placement that are free somewhere."""
    places: int
    """Offsets they have together."""
    looked: int
    """Branches that were followed."""


Realised = tuple[tuple[int, Metre], ...]
"""Candidates with their offsets."""


@dataclass(slots=True, kw_only=True)
class _Progress:
    """What the search knows so far."""

    ready: Ready
    faces: tuple["IntArray", ...]
    """Cores of each face, most modules first."""
    most_stacks: int
    counts: "IntArray"
    """Modules of each core."""
    face_of: "IntArray"
    """Place of each core's face in ``faces``."""
    caps: list[int]
    """The most that each face takes alone."""
    best: int = 0
    chosen: Realised = ()
    looked: int = 0
    realised: dict[tuple[int, ...], Realised | None] = field(default_factory=dict)


def most_modules(
    room: Room, shelf: Shelf, *, grid: Grid | None = None, most_stacks: int = MOST_STACKS
) -> Found:
    """The most modules that fit on a bicycle at once.

    Args:
        room: Of the bicycle.
        shelf: Carriers, module and fixings that may be used.
        grid: Offsets to try; every millimetre and the ends of all that is free where not given.
        most_stacks: On the whole bicycle, 1 or more.

    Returns:
        The arrangement with the most modules, no stack in another's way, each with a way off while the
        others stay on.

    Raises:
        InputError: If ``most_stacks`` is less than 1.

    Notes:
        Alone, each placement's free offsets are exact intervals. Of several stacks, those at the grid's
        offsets are searched without exception (see ``joint_kernel``).
    """
    if most_stacks < 1:
        raise InputError("most_stacks", most_stacks, "1 or more")
    spare = room.frame.clearances.get(ClearanceKind.STACK, 0.0)
    return best_of(ready_of(candidates_on(room, shelf), spare, grid or Grid()), most_stacks)


def ready_of(candidates: Sequence[Candidate], spare: Metre, grid: Grid) -> Ready:
    """Candidates made ready for the search.

    Args:
        candidates: Each alone free somewhere.
        spare: Distance two stacks keep. [m]
        grid: Offsets to try.
    """
    kept = needed(candidates) if grid.ends else tuple(candidates)
    cores = cores_of(kept, grid)
    rows = rows_of(kept, cores)
    sliders = ([row.slider for row in rows], [core.slider for core in cores], sliders_of(kept, grid))
    arrays = tuple(together_of(level, spare) for level in sliders)
    return Ready(candidates=kept, levels=(rows, cores), arrays=arrays)


def best_of(ready: Ready, most_stacks: int) -> Found:
    """The most modules among candidates made ready."""
    faces = tuple(_by_face(ready.levels[0]))
    realised: dict[tuple[int, ...], Realised | None] = {}
    alone = [_searched(ready, (face,), most_stacks, [10**6], realised) for face in faces]
    order = sorted(range(len(faces)), key=lambda number: -alone[number].best)
    caps = [alone[number].best for number in order]
    progress = _searched(ready, tuple(faces[number] for number in order), most_stacks, caps, realised)
    stacks = tuple((ready.candidates[number], offset) for number, offset in progress.chosen)
    return Found(
        best=Arrangement(stacks=stacks),
        candidates=len(ready.candidates),
        places=len(ready.arrays[-1].places),
        looked=progress.looked + sum(one.looked for one in alone),
    )


def _searched(
    ready: Ready,
    faces: tuple["IntArray", ...],
    most_stacks: int,
    caps: list[int],
    realised: dict[tuple[int, ...], Realised | None],
) -> _Progress:
    face_of = np.full(len(ready.levels[0]), -1)
    for number, face in enumerate(faces):
        face_of[face] = number
    progress = _Progress(
        ready=ready,
        faces=faces,
        most_stacks=most_stacks,
        counts=np.array([core.modules for core in ready.levels[0]], dtype=np.int64),
        face_of=face_of,
        caps=caps,
        realised=realised,
    )
    _branch(progress, (), 0, 0)
    return progress


def _by_face(cores: Sequence[Core]) -> Iterator["IntArray"]:
    """Cores of each face, most modules first."""
    faces: dict[str, list[int]] = {}
    for number, core in enumerate(cores):
        faces.setdefault(core.face, []).append(number)
    for numbers in faces.values():
        yield np.array(sorted(numbers, key=lambda number: -cores[number].modules), dtype=np.int64)


def _branch(progress: _Progress, chosen: tuple[int, ...], face: int, start: int) -> None:
    """Follow every way to go on from what is chosen that could be better than the best known.

    ``chosen`` are rows that go together two by two; ``start`` is where on the face to go on: a second
    stack on one face comes after the first in its list.
    """
    progress.looked += 1
    have = sum(int(progress.counts[number]) for number in chosen)
    if have > progress.best and not _take(progress, chosen, have):
        return
    left = progress.most_stacks - len(chosen)
    if not left:
        return
    best = _best_of_each(progress, chosen, face)
    for here in range(face, len(progress.faces)):
        among = progress.faces[here]
        begin = start if here == face else 0
        later = [(best[other], progress.caps[other]) for other in range(here + 1, len(progress.faces))]
        on_this = sum(int(progress.counts[number]) for number in chosen if progress.face_of[number] == here)
        for number in _that_go(progress, chosen, among[begin:]):
            count = int(progress.counts[number])
            of_this = min(count * left, progress.caps[here] - on_this)
            if have + _at_most(left, [(count, of_this), *later]) <= progress.best:
                break  # counts fall along the list
            place = begin + int(np.flatnonzero(among[begin:] == number)[0])
            if all(_realised(progress, (one, number)) for one in chosen):
                _branch(progress, (*chosen, number), here, place)


def _at_most(left: int, faces: Sequence[tuple[int, int]]) -> int:
    """The most that ``left`` further stacks can add: on each face so many a stack, and so many together.

    >>> _at_most(2, [(2, 3), (2, 2)])
    4
    """
    gains = []
    for each, together in faces:
        while together > 0 and each > 0:
            gains.append(min(each, together))
            together -= each  # noqa: PLW2901 (what is left of it)
    return sum(sorted(gains, reverse=True)[:left])


def _best_of_each(progress: _Progress, chosen: Sequence[int], after: int) -> dict[int, int]:
    """For each face from ``after`` on the largest count of one more stack that goes with the chosen."""
    found = {}
    for face in range(after, len(progress.faces)):
        place = progress.ready.arrays[0].next_that_goes(chosen, progress.faces[face])
        found[face] = int(progress.counts[progress.faces[face][place]]) if place >= 0 else 0
    return found


def _that_go(progress: _Progress, chosen: Sequence[int], among: "IntArray") -> Iterator[int]:
    """Candidates that go with each of the chosen, two by two, in their order."""
    while len(among):
        place = progress.ready.arrays[0].next_that_goes(chosen, among)
        if place < 0:
            return
        yield int(among[place])
        among = among[place + 1 :]


def _take(progress: _Progress, chosen: tuple[int, ...], have: int) -> bool:
    """Keep what is chosen as the best, if placements with these cores can be together; whether they can."""
    found = _realised(progress, chosen)
    if found is None:
        return False
    progress.best, progress.chosen = have, found
    return True


def _realised(progress: _Progress, chosen: tuple[int, ...]) -> Realised | None:
    """Placements with these cores that can be together, and their offsets; None where there are none."""
    key = tuple(sorted(chosen))
    if key not in progress.realised:
        progress.realised[key] = _refined(progress.ready, 0, key)
    return progress.realised[key]


def _refined(ready: Ready, level: int, chosen: tuple[int, ...]) -> Realised | None:
    """Placements with what is chosen on a level, or None: first whether that can be together at all."""
    offsets = ready.arrays[level].go(chosen)
    if offsets is None:
        return None
    if level == len(ready.levels):
        return tuple(zip(chosen, offsets, strict=True))
    return _with_members(ready, level + 1, [ready.levels[level][number].members for number in chosen], ())


def _with_members(
    ready: Ready, level: int, groups: Sequence[Sequence[int]], chosen: tuple[int, ...]
) -> Realised | None:
    """Choose one of each further group so that all can be together, down to the placements."""
    if len(chosen) == len(groups):
        return _refined(ready, level, chosen)
    among = np.array(groups[len(chosen)], dtype=np.int64)
    while len(among):
        place = ready.arrays[level].next_that_goes(chosen, among)
        if place < 0:
            return None
        found = _with_members(ready, level, groups, (*chosen, int(among[place])))
        if found is not None:
            return found
        among = among[place + 1 :]
    return None
