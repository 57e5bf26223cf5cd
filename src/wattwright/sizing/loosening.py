"""What would bring a ride floor down: worked out, tried, and only then said."""

import math
from dataclasses import replace
from typing import Final

import numpy as np

from wattwright.ride.path import RidePath
from wattwright.sizing.applied import with_help
from wattwright.sizing.limits import Change
from wattwright.sizing.subjects import Subject, worn_subject
from wattwright.sizing.trials import Case, Trials
from wattwright.units import km_from_metres, percent_from_fraction

HELP_STEPS: Final = 5
"""Halvings of the share of help: finds it to 2 %."""
HELP_STEP_BACK: Final = 2.0
"""[%]"""
LEAST_HELP: Final = 0.4
"""Of the level set: with less the drive is hardly worth its mass; assumption."""
LEAST_CONFIDENCE: Final = 70.0
"""[%] A plan that fails every third time is no plan; assumption."""
HARDLY: Final = 0.05
"""Of the time: where help fades longer, the charge left is one that cannot be used, and no reserve."""
LEAST_RESERVE: Final = 5.0
"""[%] Below it the voltage is down and the help gone; assumption."""


def cheap_changes(trials: Trials, subject: Subject, target: int) -> tuple[Change, ...]:
    """Changes that can be read off the ride as ridden with ``target`` modules; none for a target below 1."""
    if target < 1:
        return ()
    case = subject.at(target)
    changes = (_lower_reserve(trials, case, target), _lower_confidence(trials, case, target))
    return tuple(change for change in changes if change is not None)


def thorough_changes(trials: Trials, subject: Subject, target: int, proven: int) -> tuple[Change, ...]:
    """Changes that must be ridden out to be known.

    Args:
        trials: Of the brief.
        subject: The ride and season that ask for more.
        target: The count wished; none below 1.
        proven: A count with which the ride was finished, for the charge used along the way.
    """
    if target < 1:
        return ()
    changes = (
        _fewer_years(trials, subject, target),
        _charge_on_the_way(trials, subject, target, proven),
    )
    known = tuple(change for change in changes if change is not None)
    return known + gentler_riding(trials, subject, target)


def _lower_reserve(trials: Trials, case: Case, target: int) -> Change | None:
    wishes = trials.brief.wishes
    outcome = trials.outcome(case, target)
    left = np.sort(np.where(trials.helped(outcome, HARDLY), outcome.charge_left, -1.0))
    # the reserve which so many samples keep that the confidence is reached
    after = math.floor(percent_from_fraction(float(left[-math.ceil(wishes.confidence * len(left) - 1e-9)])))
    if not LEAST_RESERVE <= after < percent_from_fraction(wishes.reserve):
        return None
    return Change(
        what=f"accept arriving with {after} % left",
        field="wishes.reserve_pct",
        before=percent_from_fraction(wishes.reserve),
        after=float(after),
        unit="%",
        modules=target,
    )


def _lower_confidence(trials: Trials, case: Case, target: int) -> Change | None:
    before = percent_from_fraction(trials.brief.wishes.confidence)
    after = math.floor(percent_from_fraction(trials.arriving(case, target)) + 1e-9)
    if not LEAST_CONFIDENCE <= after < before:
        return None
    return Change(
        what=f"accept that {after} rides in a hundred arrive with the reserve",
        field="wishes.confidence_pct",
        before=before,
        after=float(after),
        unit="%",
        modules=target,
    )


def _fewer_years(trials: Trials, subject: Subject, target: int) -> Change | None:
    """Whole years of service after which the smaller pack still does: the most by a quick trial."""
    wishes = trials.brief.wishes
    if subject.wear is None:
        return None

    def does(years: int, *, quick: bool = False) -> bool:
        aged = worn_subject(subject.wear, subject.ride, float(years))  # type: ignore[arg-type]
        return trials.arriving(aged.at(target), target, quick=quick) >= wishes.confidence

    enough = next(
        (years for years in range(math.ceil(wishes.years) - 1, 0, -1) if does(years, quick=True)), 0
    )
    while enough > 0 and not does(enough):
        enough -= 1
    if enough == 0:
        return None
    return Change(
        what=f"plan for {enough} year{'' if enough == 1 else 's'} of service",
        field="wishes.years",
        before=wishes.years,
        after=float(enough),
        unit="years",
        modules=target,
    )


def _charge_on_the_way(trials: Trials, subject: Subject, target: int, proven: int) -> Change | None:
    """One full charge at the best place: both parts are ridden, and must end with the reserve."""
    wishes = trials.brief.wishes
    outcome = trials.outcome(subject.at(proven), proven)
    used = (outcome.charge_at_mark[0] - outcome.charge_at_mark) * proven / target
    before_stop, after_stop = subject.ride.start_charge - used, 1.0 - (used[-1] - used)
    held = np.quantile(np.minimum(before_stop, after_stop), 1.0 - wishes.confidence, axis=1)
    best = int(np.argmax(held))
    if held[best] < wishes.reserve or not 0 < best < len(held) - 1:
        return None
    if not _parts_arrive(trials, subject, target, float(outcome.mark[best])):
        return None
    return Change(
        what=f"one full charge on the way, best at kilometre {km_from_metres(float(outcome.mark[best])):.0f}",
        field="",
        before=0.0,
        after=1.0,
        unit="charges",
        modules=target,
    )


def _parts_arrive(trials: Trials, subject: Subject, target: int, at: float) -> bool:
    """Whether enough samples keep the reserve on both sides of the stop."""
    case, wishes = subject.at(target), trials.brief.wishes
    ends = np.cumsum(case.ride.path.length)
    cut = int(np.searchsorted(ends, at - 1e-6)) + 1
    if not 0 < cut < len(ends):
        return False
    parts = (
        (_part(case.ride.path, slice(None, cut)), "to the stop", case.ride.start_charge),
        (_part(case.ride.path, slice(cut, None)), "from the stop", 1.0),
    )
    ridden = [
        trials.outcome(
            replace(
                case,
                ride=replace(
                    case.ride, name=f"{case.ride.name} {where} {cut}", path=path, start_charge=start
                ),
            ),
            target,
        )
        for path, where, start in parts
    ]
    arrived = [trials.helped(one) & (one.charge_left >= wishes.reserve) for one in ridden]
    return float(np.mean(arrived[0] & arrived[1])) >= wishes.confidence


def _part(path: RidePath, part: slice) -> RidePath:
    columns = (name for name in RidePath.__slots__ if name != "title")
    return RidePath(title=path.title, **{name: getattr(path, name)[part] for name in columns})


def gentler_riding(trials: Trials, subject: Subject, target: int) -> tuple[Change, ...]:
    """A level of assistance, near the highest, with which the smaller pack does; none if too low."""
    if target < 1:
        return ()
    brief = trials.brief

    def does(help_pct: float, *, quick: bool = False) -> bool:
        gentler = trials.changed(with_help(brief, help_pct))
        return gentler.arriving(subject.at(target), target, quick=quick) >= brief.wishes.confidence

    before = percent_from_fraction(brief.help)
    enough, too_much = float(math.ceil(LEAST_HELP * before)), before
    least = enough
    if not does(least, quick=True):
        return ()
    for _ in range(HELP_STEPS):
        level = float(round(0.5 * (enough + too_much)))
        enough, too_much = (level, too_much) if does(level, quick=True) else (enough, level)
    back = HELP_STEP_BACK  # the quick trial's few samples may have been a little too hopeful
    while not does(enough := max(enough - back, least)):
        if enough <= least:
            return ()
        back *= 2.0
    return (
        Change(
            what=f"ride with {enough:.0f} % of the help",
            field="drive.help_pct",
            before=before,
            after=enough,
            unit="%",
            modules=target,
        ),
    )
