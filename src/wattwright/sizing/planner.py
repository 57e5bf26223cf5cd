"""Planning: from a brief to the whole answer."""

from collections.abc import Sequence

import numpy as np

from wattwright.sizing.advice import cautions
from wattwright.sizing.alternatives import ranked
from wattwright.sizing.brief import Brief
from wattwright.sizing.build_up import added_mass, parts_list, price
from wattwright.sizing.considerations import Maker, Progress, considerations, unheard
from wattwright.sizing.limits import Aim, Depth, Limit, Window, hardest_seasons, window
from wattwright.sizing.mismatch import refuse_mismatch
from wattwright.sizing.opening import opening_sentences, openings
from wattwright.sizing.plan import Plan, RideAnswer
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.sentence import answer_sentence
from wattwright.sizing.settings import settings
from wattwright.sizing.subjects import Subject, ride_subjects
from wattwright.sizing.trials import Trials

ARRIVAL_SHARES = (0.05, 0.10, 0.50, 0.90, 0.95)
"""Quantiles of ``RideAnswer.arrival``."""


def plan(
    brief: Brief,
    *,
    others: Sequence[Brief] = (),
    notes: tuple[str, ...] = (),
    progress: Progress = unheard,
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
    subjects = ride_subjects(trials)
    considered = [(make(Aim()), make) for make in considerations(trials, subjects, progress)]
    progress("what would move the limits", 0.8)
    decided = window([limit for limit, _ in considered])
    shown = shown_count(decided)
    joined = _with_margins(considered, decided.floor, shown)
    answers = tuple(answer(trials, subject, shown) for subject in subjects)
    opening = () if joined.is_open else opening_sentences(openings(trials, subjects, considered))
    progress("parts, settings and alternatives", 0.85)
    alternatives = ranked(others, brief.wishes, progress)
    progress("done", 1.0)
    return Plan(
        brief=brief,
        window=joined,
        chosen=joined.floor.modules if joined.is_open else None,
        shown=shown,
        sentence=answer_sentence(joined) + ("" if brief.places else " Room is not measured yet."),
        opening=opening,
        answers=answers,
        parts=parts_list(brief, shown),
        added_mass=added_mass(brief, shown),
        price=price(brief, shown),
        settings=settings(trials, subjects, shown),
        highest_current_per_module=_highest_current(answers, brief.wishes.confidence),
        alternatives=alternatives,
        cautions=cautions(brief, shown, answers),
        workings=tuple(
            limit.working for limit in hardest_seasons(joined.floors) + hardest_seasons(joined.ceilings)
        ),
        notes=(*notes, *_ageing_notes(subjects, shown)),
    )


def shown_count(joined: Window) -> int:
    """The count worked out in full: the choice, or the nearest thing to one."""
    if joined.floor.reachable:
        return min(joined.floor.modules, MOST_MODULES)
    return max(1, min(joined.ceiling.modules, MOST_MODULES))


def _with_margins(considered: Sequence[tuple[Limit, Maker]], floor: Limit, shown: int) -> Window:
    """Every limit with its margin at the count shown, and what would move it.

    All of it for the floor that decides; one change at least for floors that come within a module of it; for
    the rest what can be read off, since rides cost time and nobody waits for those.
    """

    def depth(limit: Limit) -> Depth:
        if limit is floor:
            return Depth.THOROUGH
        return Depth.USUAL if limit.modules >= floor.modules - 1 else Depth.BARE

    return window([make(Aim(shown=shown, depth=depth(limit))) for limit, make in considered])


def _ageing_notes(subjects: Sequence[Subject], shown: int) -> tuple[str, ...]:
    """Where the job's year lies outside the ageing models' data."""
    for subject in subjects:
        if subject.wear is not None:
            return subject.wear.ageing(shown, subject.at(shown).season.age_years).notes
    return ()


def answer(trials: Trials, subject: Subject, modules: int) -> RideAnswer:
    """One ride in one season at that count."""
    case = subject.at(modules)
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


def _highest_current(answers: Sequence[RideAnswer], share: float) -> float:
    """Highest current from one module over all rides and seasons, in the wished share of samples, in A."""
    return max(
        float(np.quantile(answer.outcome.peak_current, share)) / answer.outcome.modules for answer in answers
    )
