"""Planning: from a brief to the whole answer."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from wattwright.sizing.advice import cautions, settings
from wattwright.sizing.alternatives import ranked
from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass, parts_list, price
from wattwright.sizing.ceilings import (
    budget_ceiling,
    charge_time_ceiling,
    mass_ceiling,
    room_ceiling,
)
from wattwright.sizing.considerations import Progress, Subject, all_limits, refuse_mismatch, ride_cases
from wattwright.sizing.current_floors import (
    charge_floor,
    nameplate_floor,
    one_off_floor,
    regeneration_floor,
)
from wattwright.sizing.limits import Change, Limit, Window, window
from wattwright.sizing.loosening import changes_to
from wattwright.sizing.opening import openings
from wattwright.sizing.plan import Plan, RideAnswer
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.sentence import answer_sentence
from wattwright.sizing.trials import Case, Trials

ARRIVAL_SHARES = (0.05, 0.10, 0.50, 0.90, 0.95)
"""Quantiles of ``RideAnswer.arrival``."""


def plan(
    brief: Brief,
    *,
    others: Sequence[Brief] = (),
    notes: tuple[str, ...] = (),
    progress: Progress = lambda _what, _share: None,
) -> Plan:
    """Work a brief out: every limit, the window, the choice and what follows from it.

    Args:
        brief: The job, parts and paths in hand.
        others: The same job with other modules or drives, to be ranked beside it.
        notes: What the fitter should know of the input.
        progress: Called before each step.

    Returns:
        The plan; an empty window is an answer, not an error.

    Raises:
        InputError: If module, drive and charger do not belong together.
    """
    refuse_mismatch(brief)
    trials = Trials(brief)
    subjects = ride_cases(trials)
    limits = list(all_limits(trials, subjects, progress))
    joined = window(limits)
    shown = _shown(joined)
    joined = _with_changes(joined, trials, subjects)
    cases = [case_at(shown) for _, case_at in subjects]
    progress("parts, settings and alternatives", 0.9)
    alternatives = ranked(others, brief.wishes, progress)
    progress("done", 1.0)
    return Plan(
        brief=brief,
        window=joined,
        chosen=joined.floor.modules if joined.is_open else None,
        shown=shown,
        sentence=answer_sentence(joined),
        opening=() if joined.is_open else _openings(joined, trials, subjects),
        answers=tuple(answer(trials, case, shown) for case in cases),
        parts=parts_list(brief, shown),
        added_mass=added_mass(brief, shown),
        price=price(brief, shown),
        settings=settings(brief, shown),
        highest_current_per_module=highest_current(trials, cases, shown),
        alternatives=alternatives,
        cautions=cautions(brief, shown),
        workings=tuple(limit.working for limit in joined.floors + joined.ceilings),
        notes=notes,
    )


def _shown(joined: Window) -> int:
    """The count worked out in full: the choice, or the nearest thing to one."""
    if joined.floor.reachable:
        return joined.floor.modules
    return max(1, min(joined.ceiling.modules, MOST_MODULES))


def _with_changes(joined: Window, trials: Trials, subjects: Sequence[Subject]) -> Window:
    """The deciding ride floor with what would bring it down by one; costs rides, so only there."""
    floor = joined.floor
    changes = _ride_changes(floor, trials, subjects, floor.modules - 1)
    if not changes:
        return joined
    return Window(floors=(replace(floor, loosen=changes), *joined.floors[1:]), ceilings=joined.ceilings)


def _ride_changes(
    floor: Limit, trials: Trials, subjects: Sequence[Subject], target: int
) -> tuple[Change, ...]:
    for _, case_at in subjects:
        case = case_at(max(target, 1))
        if f"{case.ride.name}, {case.season.title}" == floor.subject:
            return changes_to(trials, case, target=target, proven=min(floor.modules, MOST_MODULES))
    return ()


def _openings(joined: Window, trials: Trials, subjects: Sequence[Subject]) -> tuple[str, ...]:
    """What would open an empty window, tried at the colliding ceiling's count."""
    target = joined.ceiling.modules
    rides = _ride_changes(joined.floor, trials, subjects, target)
    changes = rides or tuple(
        change
        for make in (nameplate_floor, one_off_floor, charge_floor, regeneration_floor)
        if (limit := make(trials.brief, target)) and limit.subject == joined.floor.subject
        for change in limit.loosen
    )
    wider = tuple(
        limit
        for make in (room_ceiling, mass_ceiling, budget_ceiling, charge_time_ceiling)
        if (limit := make(trials.brief, joined.floor.modules)) and limit.subject == joined.ceiling.subject
    )
    ceilings = (*wider, *joined.ceilings[1:]) if wider else joined.ceilings
    return openings(Window(floors=joined.floors, ceilings=ceilings), changes)


def answer(trials: Trials, case: Case, modules: int) -> RideAnswer:
    """One ride in one season at that count."""
    outcome = trials.outcome(case, modules)
    return RideAnswer(
        ride=case.ride,
        season=case.season,
        outcome=outcome,
        arrival=np.quantile(outcome.charge_left, ARRIVAL_SHARES),
        likely_to_arrive=trials.arriving(case, modules),
        energy=float(np.median(outcome.energy.battery_out)),
        time=float(np.median(outcome.time)),
    )


def highest_current(trials: Trials, cases: Sequence[Case], modules: int) -> float:
    """Highest current from one module over all rides and seasons, in the wished share of samples, in A."""
    share = trials.brief.wishes.confidence
    return max(
        float(np.quantile(trials.outcome(case, modules).peak_current, share)) / modules for case in cases
    )
