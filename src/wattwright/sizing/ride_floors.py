"""Floors from the rides: today, in the coldest month, in the last year of service."""

import math

import numpy as np

from wattwright.sizing.in_words import in_words, modules_in_words
from wattwright.sizing.limits import Aim, Depth, Limit, Side
from wattwright.sizing.loosening import cheap_changes, gentler_riding, thorough_changes
from wattwright.sizing.ride_working import ride_working
from wattwright.sizing.search import MOST_MODULES, smallest
from wattwright.sizing.subjects import Subject
from wattwright.sizing.trials import Trials
from wattwright.units import Fraction, km_from_metres, percent_from_fraction
from wattwright.working import Quantity

FIRST_GUESS = 8
"""Modules with which the first quick trial is ridden."""


def needed(trials: Trials, subject: Subject) -> int | None:
    """The fewest modules with which enough samples arrive with the reserve; None where none tried does."""
    return smallest(lambda count: trials.arrive(subject.at(count), count), guess=guessed(trials, subject))


def needed_cautiously(trials: Trials, subject: Subject, found: int) -> int | None:
    """The same by the harshest of the ageing models, from the central estimate's count upwards."""
    wishes, wear = trials.brief.wishes, subject.wear
    if wear is None:
        return found

    def does(count: int) -> bool:
        case = wear.case(subject.ride, count, wishes.years, cautious=True)
        return count >= found and trials.arrive(case, count)

    return smallest(does, guess=found)


def guessed(trials: Trials, subject: Subject) -> int:
    """Where to start looking: by the charge quick trials use, first with plenty of modules."""
    count = FIRST_GUESS
    for _ in range(2):
        count = _by_charge_used(trials, subject, count)
    return count


def _by_charge_used(trials: Trials, subject: Subject, count: int) -> int:
    wishes, start = trials.brief.wishes, subject.ride.start_charge
    if start <= wishes.reserve:
        return MOST_MODULES
    outcome = trials.outcome(subject.at(count), count, quick=True)
    used = start - float(np.quantile(outcome.charge_left, 1.0 - wishes.confidence))
    return min(max(math.ceil(count * used / (start - wishes.reserve)), 1), MOST_MODULES)


def ride_floor(
    trials: Trials, subject: Subject, found: int | None, aim: Aim, cautious: int | None = None
) -> Limit:
    """The fewest modules with which enough of the samples arrive with the reserve.

    Args:
        trials: Of the brief.
        subject: The ride and season.
        found: By ``needed``.
        aim: Target, count shown, and how far changes are worked out.
        cautious: By ``needed_cautiously``; None where it was not asked.
    """
    count = MOST_MODULES + 1 if found is None else found
    target = min(aim.below(count), MOST_MODULES)
    counts = [
        number for number in aim.counts(count) if number <= min(max(count, aim.shown or 0), MOST_MODULES)
    ]
    changes = cheap_changes(trials, subject, target)
    if aim.depth is Depth.THOROUGH:
        changes += thorough_changes(trials, subject, target, proven=min(count, MOST_MODULES))
    elif aim.depth is Depth.USUAL and not changes:
        changes = gentler_riding(trials, subject, target)
    return Limit(
        subject=subject.name,
        ride=subject.ride.name,
        side=Side.FLOOR,
        modules=count,
        because=_because(trials, subject, found) + _cautiously(found, cautious),
        working=ride_working(trials, subject, min(count, MOST_MODULES), found, cautious),
        loosen=changes,
        reachable=found is not None,
        at_count=tuple((number, _arriving(trials, subject, number)) for number in counts),
        bound=Quantity(
            symbol="c",
            meaning="share of rides that must arrive with the reserve",
            value=percent_from_fraction(trials.brief.wishes.confidence),
            unit="%",
            digits=0,
        ),
    )


def _arriving(trials: Trials, subject: Subject, count: int) -> Quantity:
    return Quantity(
        symbol="P",
        meaning="share of rides that arrive with the reserve",
        value=percent_from_fraction(trials.arriving(subject.at(count), count)),
        unit="%",
        digits=0,
    )


def _because(trials: Trials, subject: Subject, found: int | None) -> str:
    wishes = trials.brief.wishes
    season = subject.at(found or MOST_MODULES).season.title
    what = (
        f"the {km_from_metres(subject.ride.path.distance):.0f} km of “{subject.ride.name}” ({season}) "
        f"with {percent_from_fraction(wishes.reserve):.0f} % left"
    )
    if found is None:
        most = rides_in_words(trials.arriving(subject.at(MOST_MODULES), MOST_MODULES))
        wanted = percent_from_fraction(wishes.confidence)
        return (
            f"Even with {MOST_MODULES} modules {most} finish {what}; {wanted:g} in a hundred are asked for."
        )
    finish = rides_in_words(trials.arriving(subject.at(found), found))
    if found == 1:
        return f"With one module {finish} finish {what}."
    return f"With {modules_in_words(found)} {finish} finish {what}; {_fewer(trials, subject, found - 1)}."


def _fewer(trials: Trials, subject: Subject, count: int) -> str:
    """What one module less comes to: short of charge, or of voltage."""
    case = subject.at(count)
    finish = rides_in_words(trials.arriving(case, count))
    if trials.with_reserve(case, count) >= trials.brief.wishes.confidence:
        return f"with {in_words(count)} the voltage sags: {finish} are helped all the way"
    return f"with {in_words(count)}, {finish}"


def _cautiously(found: int | None, cautious: int | None) -> str:
    if found is None or cautious is None or cautious == found:
        return ""
    if cautious > MOST_MODULES:
        return f" By the harshest ageing model not even {MOST_MODULES} would do."
    return f" By the harshest ageing model it would be {in_words(cautious)}."


def rides_in_words(share: Fraction) -> str:
    """A share of rides in words that promise no more than the samples do.

    >>> rides_in_words(0.913), rides_in_words(0.9987), rides_in_words(0.01)
    ('91 rides in a hundred', 'nearly all rides', 'one ride in a hundred')
    """
    hundred = math.floor(percent_from_fraction(share) + 1e-9)
    if share >= 0.995:
        return "nearly all rides"
    if hundred < 1:
        return "hardly any"
    return "one ride in a hundred" if hundred == 1 else f"{hundred} rides in a hundred"
