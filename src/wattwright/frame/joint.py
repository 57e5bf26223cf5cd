"""Several stacks on one bicycle: whether, and where, they can be without being in each other's way."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from wattwright.frame.candidates import Solid
from wattwright.frame.survey import Point
from wattwright.units import FloatArray, Metre

if TYPE_CHECKING:
    from wattwright.frame.joint_kernel import IntArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Slider:
    """Something that slides along a face: its pieces at offset 0, and the offsets it may take."""

    solids: tuple[Solid, ...]
    along: Point
    """Unit vector of its face."""
    places: FloatArray
    """(offsets,): by rising offset, one or more. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Together:
    """Sliders as arrays, with what is known of each two."""

    quads: FloatArray
    """(pieces, 4, 2): corners at offset 0, counter-clockwise. [m]"""
    across: FloatArray
    """(pieces, 2): z from and to. [m]"""
    role: "IntArray"
    """(pieces, 2): number of the way off, 0 for what is filled; whether it moves. Whole numbers."""
    first: "IntArray"
    """(sliders + 1,): index of each slider's first piece."""
    ways: "IntArray"
    """(sliders,): how many ways off."""
    along: FloatArray
    """(sliders, 2): unit vector of its face."""
    places: FloatArray
    """Offsets of all one after another. [m]"""
    place_first: "IntArray"
    """(sliders + 1,): index of each slider's first offset."""
    spare: Metre
    """Distance two stacks keep."""
    known: "IntArray"
    """(sliders, candidates): 0 not asked, 1 the two go together, 2 they do not."""

    def go(self, chosen: Sequence[int]) -> tuple[Metre, ...] | None:
        """Offsets at which all chosen sliders are clear of each other; None where there are none."""
        from wattwright.frame.joint_kernel import together  # noqa: PLC0415 (start-up)

        if len(chosen) == 1:
            return (float(self.places[self.place_first[chosen[0]]]),)
        numbers, answer = np.asarray(chosen, dtype=np.int64), np.zeros(len(chosen), dtype=np.int64)
        looked = together(
            numbers, self.quads, self.across, self.role, self.first, self.ways, self.along,
            self.places, self.place_first, self.spare, answer,
        )  # fmt: skip
        if looked < 0:
            return None
        return tuple(float(place) for place in self.places[self.place_first[numbers] + answer])

    def next_that_goes(self, chosen: Sequence[int], among: "IntArray") -> int:
        """Place in ``among`` of the first slider that goes with each of the chosen; −1 where none does."""
        from wattwright.frame.joint_kernel import first_that_goes  # noqa: PLC0415 (start-up)

        numbers = np.asarray(chosen, dtype=np.int64)
        return int(
            first_that_goes(
                numbers, among, self.known, self.quads, self.across, self.role, self.first, self.ways,
                self.along, self.places, self.place_first, self.spare,
            )
        )  # fmt: skip


def together_of(sliders: Sequence[Slider], spare: Metre) -> Together:
    """Sliders made ready to be put together, in their order.

    Args:
        sliders: Each alone free at each of its offsets.
        spare: Distance two of them keep. [m]
    """
    # Candidates on one carrier share their pieces: each is turned into numbers once.
    own = {id(solid): solid for one in sliders for solid in one.solids}
    place = {key: number for number, key in enumerate(own)}
    which = np.array([place[id(solid)] for one in sliders for solid in one.solids], dtype=np.intp)
    solids = own.values()
    quads = np.array([_four(solid.outline) for solid in solids], dtype=float).reshape(-1, 4, 2)
    across = np.array([(solid.low, solid.high) for solid in solids], dtype=float).reshape(-1, 2)
    role = np.array([(solid.way, solid.moves) for solid in solids], dtype=np.int64).reshape(-1, 2)
    return Together(
        quads=quads[which],
        across=across[which],
        role=role[which],
        first=_starts([len(one.solids) for one in sliders]),
        ways=np.array([max(solid.way for solid in one.solids) for one in sliders], dtype=np.int64),
        along=np.array([one.along for one in sliders], dtype=float).reshape(-1, 2),
        places=np.concatenate([np.zeros(0), *(one.places for one in sliders)]),
        place_first=_starts([len(one.places) for one in sliders]),
        spare=spare,
        known=np.zeros((len(sliders), len(sliders)), dtype=np.int64),
    )


def _four(outline: Sequence[tuple[Metre, Metre]]) -> tuple[tuple[Metre, Metre], ...]:
    """A piece of three corners with its last one twice."""
    return (*outline, outline[-1])[:4]


def _starts(sizes: Sequence[int]) -> "IntArray":
    return np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)
