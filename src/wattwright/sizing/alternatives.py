"""Other modules and drives, worked out the same way and ranked by what the fitter asks."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from wattwright.errors import InputError
from wattwright.sizing.brief import Brief, RankBy, Wishes
from wattwright.sizing.build_up import added_mass, price
from wattwright.sizing.considerations import FROM_DATA_SHEETS, considerations
from wattwright.sizing.limits import Aim, Side, window
from wattwright.sizing.mismatch import refuse_mismatch
from wattwright.sizing.plan import Alternative
from wattwright.sizing.regeneration import borne_by_each, regenerates
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.sentence import asks
from wattwright.sizing.subjects import hardest_subjects
from wattwright.sizing.trials import Trials

QUICK_SAMPLES: Final = 256
"""Alternatives are compared, not promised: fewer samples than the plan itself."""


def ranked(
    others: Sequence[Brief], wishes: Wishes, progress: Callable[[str, float], None]
) -> tuple[Alternative, ...]:
    """Each other brief's window and choice, best first; what cannot be built comes last, with the reason.

    Args:
        others: The job with other modules or drives.
        wishes: Of the job; its ``rank_by`` decides the order.
        progress: Told what is being worked out.
    """
    worked = []
    for done, other in enumerate(others):
        progress(
            f"trying {other.battery_module.title} with {other.drive.title}", 0.9 + 0.1 * done / len(others)
        )
        worked.append(_alternative(replace(other, samples=min(other.samples, QUICK_SAMPLES))))
    return tuple(sorted(worked, key=lambda alternative: _rank(alternative, wishes.rank_by)))


def _rank(alternative: Alternative, by: RankBy) -> tuple[bool, float]:
    value = {
        RankBy.PRICE: alternative.price,
        RankBy.MASS: alternative.mass,
        RankBy.ARRIVAL: -alternative.worst_arrival,
        RankBy.COUNT: float(alternative.floor),
    }[by]
    return (not alternative.is_open, value)


def _alternative(brief: Brief) -> Alternative:
    try:
        refuse_mismatch(brief)
    except InputError as error:
        return _impossible(brief, f"It would need {error.wanted}: {error.way_out}")
    brief, set_lower = _with_bearable_regeneration(brief)
    trials = Trials(brief)
    subjects = hardest_subjects(trials)
    joined = window([make(Aim()) for make in considerations(trials, subjects, briefly=True)])
    count = joined.floor.modules if joined.is_open else None
    shown = count or max(1, min(joined.ceiling.modules, joined.floor.modules))
    shown = min(shown, MOST_MODULES)
    arrivals = (trials.outcome(subject.at(shown), shown).charge_left for subject in subjects)
    return Alternative(
        module_name=brief.battery_module.name,
        drive_name=brief.drive.name,
        title=_title(brief),
        floor=joined.floor.modules,
        ceiling=joined.ceiling.modules,
        is_open=joined.is_open,
        chosen=count,
        mass=added_mass(brief, shown),
        price=price(brief, shown),
        worst_arrival=min(float(np.quantile(arrival, 1.0 - brief.wishes.confidence)) for arrival in arrivals),
        because=f"{asks(joined.floor)}; {asks(joined.ceiling)}.{set_lower}",
    )


def _with_bearable_regeneration(brief: Brief) -> tuple[Brief, str]:
    """The brief with regeneration set no higher than as many full modules bear as there is room for.

    A fitter who tries another drive sets it so; asking for more modules instead would rule out drives that
    a setting makes fit.
    """
    if not regenerates(brief):
        return brief, ""
    limits = [limit for make in FROM_DATA_SHEETS if (limit := make(brief, Aim())) is not None]
    most = min(limit.modules for limit in limits if limit.side is Side.CEILING)
    own = brief.drive.controller.regeneration_current_limit
    bearable = math.floor(10.0 * most * borne_by_each(brief)) / 10.0
    if bearable >= own:
        return brief, ""
    controller = replace(brief.drive.controller, regeneration_current_limit=bearable)
    lower = replace(brief, drive=replace(brief.drive, controller=controller))
    return lower, f" Regeneration set to {bearable:g} A." if bearable else " Regeneration switched off."


def _title(brief: Brief) -> str:
    return f"{brief.battery_module.title} with {brief.drive.title}"


def _impossible(brief: Brief, reason: str) -> Alternative:
    return Alternative(
        module_name=brief.battery_module.name,
        drive_name=brief.drive.name,
        title=_title(brief),
        floor=0,
        ceiling=0,
        is_open=False,
        chosen=None,
        mass=0.0,
        price=0.0,
        worst_arrival=0.0,
        because=reason,
    )
