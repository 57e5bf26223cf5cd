"""Everything that is considered, named in one list."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Final

from wattwright.sizing.brief import Brief
from wattwright.sizing.ceilings import (
    budget_ceiling,
    charge_time_ceiling,
    mass_ceiling,
    parallel_ceiling,
)
from wattwright.sizing.current_floors import charge_floor, nameplate_floor, one_off_floor
from wattwright.sizing.drawn_floor import bearable_count, drawn_floor, hardest_by_current
from wattwright.sizing.limits import Aim, Limit
from wattwright.sizing.regeneration import regeneration_floor
from wattwright.sizing.ride_floors import needed, needed_cautiously, ride_floor
from wattwright.sizing.room_ceiling import room_ceiling
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.subjects import Subject
from wattwright.sizing.trials import Trials

Progress = Callable[[str, float], None]
"""Told what is being worked out, and how much is done, 0 to 1."""
Maker = Callable[[Aim], Limit]
"""A consideration whose search is done: it makes its limit for any aim."""

FROM_DATA_SHEETS: Final[tuple[Callable[[Brief, Aim], Limit | None], ...]] = (
    nameplate_floor,
    one_off_floor,
    charge_floor,
    regeneration_floor,
    room_ceiling,
    mass_ceiling,
    budget_ceiling,
    parallel_ceiling,
    charge_time_ceiling,
)
"""Considerations that need no ride; one that does not apply to a brief answers None."""


def unheard(_what: str, _share: float) -> None:
    """Progress that nobody watches."""


def considerations(
    trials: Trials, subjects: Sequence[Subject], progress: Progress = unheard, *, briefly: bool = False
) -> list[Maker]:
    """Every consideration, in the order in which ties are named; adding one means adding a line here.

    Args:
        trials: Of the brief.
        subjects: Rides in their seasons.
        progress: Told what is being ridden.
        briefly: Leave out what never decides: the harshest ageing model's count, and the current as drawn,
            which asks for no more than the nameplate.
    """
    makers: list[Maker] = []
    count = 1
    for done, subject in enumerate(subjects):
        progress(f"riding “{subject.ride.name}”", 0.7 * done / len(subjects))
        found = needed(trials, subject)
        cautious = None
        if not briefly and found is not None and subject.wear is not None:
            cautious = needed_cautiously(trials, subject, found) or MOST_MODULES + 1
        makers.append(partial(ride_floor, trials, subject, found, cautious=cautious))
        count = max(count, found or MOST_MODULES)
    if not briefly:
        progress("current as drawn", 0.75)
        makers += _drawn(trials, subjects, count)
    makers += _from_data_sheets(trials.brief)
    return makers


def _drawn(trials: Trials, subjects: Sequence[Subject], count: int) -> Iterator[Maker]:
    hardest = hardest_by_current(trials, subjects, count)
    for off in (0, 1) if trials.brief.wishes.one_module_off else (0,):
        found = bearable_count(trials, hardest, off=off)
        yield partial(drawn_floor, trials, hardest, found, off=off)


def _from_data_sheets(brief: Brief) -> Iterator[Maker]:
    for make in FROM_DATA_SHEETS:
        if make(brief, Aim()) is not None:
            yield partial(_made, make, brief)


def _made(make: Callable[[Brief, Aim], Limit | None], brief: Brief, aim: Aim) -> Limit:
    limit = make(brief, aim)
    assert limit is not None  # noqa: S101 - whether it applies does not depend on the aim
    return limit
