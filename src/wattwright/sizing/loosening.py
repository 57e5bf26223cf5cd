"""What would bring a ride floor down: worked out, not guessed."""

from dataclasses import replace

import numpy as np

from wattwright.sizing.limits import Change
from wattwright.sizing.trials import Case, Trials
from wattwright.units import km_from_metres, percent_from_fraction

HELP_STEPS = 5
"""Halvings of the share of help: finds it to 2 %."""
LEAST_HELP = 0.4


def changes_to(trials: Trials, case: Case, *, target: int, proven: int) -> tuple[Change, ...]:
    """Changes with which the case's floor would come down to ``target`` modules.

    Args:
        trials: Of the brief.
        case: The ride and season that ask for more.
        target: The count wished, 1 or more.
        proven: A count with which the case arrives, for the charge used along the way.
    """
    if target < 1:
        return ()
    changes = (
        _lower_reserve(trials, case, target),
        _lower_confidence(trials, case, target),
        _charge_on_the_way(trials, case, target, proven),
        _less_help(trials, case, target),
    )
    return tuple(change for change in changes if change is not None)


def _lower_reserve(trials: Trials, case: Case, target: int) -> Change | None:
    wishes = trials.brief.wishes
    left = float(np.quantile(trials.outcome(case, target).charge_left, 1.0 - wishes.confidence))
    after = np.floor(percent_from_fraction(left))
    if after < 1.0:
        return None
    return Change(
        what=f"accept arriving with {after:.0f} % left",
        field="wishes.reserve_pct",
        before=percent_from_fraction(wishes.reserve),
        after=float(after),
        unit="%",
        modules=target,
    )


def _lower_confidence(trials: Trials, case: Case, target: int) -> Change | None:
    arriving = np.floor(percent_from_fraction(trials.arriving(case, target)))
    if arriving < 50.0:  # a plan that fails every second time is no plan
        return None
    return Change(
        what=f"accept that {arriving:.0f} rides in a hundred arrive with the reserve",
        field="wishes.confidence_pct",
        before=percent_from_fraction(trials.brief.wishes.confidence),
        after=float(arriving),
        unit="%",
        modules=target,
    )


def _charge_on_the_way(trials: Trials, case: Case, target: int, proven: int) -> Change | None:
    """One full charge at the best place: both parts of the ride must end with the reserve."""
    outcome = trials.outcome(case, proven)
    used = (outcome.charge_at_mark[0] - outcome.charge_at_mark) * proven / target
    wishes = trials.brief.wishes
    start = case.ride.start_charge
    before_stop, after_stop = start - used, 1.0 - (used[-1] - used)
    held = np.mean(np.minimum(before_stop, after_stop) >= wishes.reserve, axis=1)
    best = int(np.argmax(held))
    if held[best] < wishes.confidence or best == 0:
        return None
    kilometre = km_from_metres(float(outcome.mark[best]))
    return Change(
        what=f"one full charge on the way, best at kilometre {kilometre:.0f}",
        field="",
        before=0.0,
        after=1.0,
        unit="charges",
        modules=target,
    )


def _less_help(trials: Trials, case: Case, target: int) -> Change | None:
    """The largest share of the help with which the smaller pack does."""
    wishes = trials.brief.wishes
    if _arriving_with_help(trials, case, target, LEAST_HELP) < wishes.confidence:
        return None
    enough, too_much = LEAST_HELP, 1.0
    for _ in range(HELP_STEPS):
        share = 0.5 * (enough + too_much)
        if _arriving_with_help(trials, case, target, share) >= wishes.confidence:
            enough = share
        else:
            too_much = share
    return Change(
        what=f"ride with {percent_from_fraction(enough):.0f} % of the help",
        field="drive.help_pct",
        before=100.0,
        after=float(np.floor(percent_from_fraction(enough))),
        unit="%",
        modules=target,
    )


def _arriving_with_help(trials: Trials, case: Case, count: int, share: float) -> float:
    drive = trials.brief.drive
    law = replace(drive.assist, multiple=drive.assist.multiple * share, power=drive.assist.power * share)
    gentler = Trials(replace(trials.brief, drive=replace(drive, assist=law)))
    return gentler.arriving(case, count)
