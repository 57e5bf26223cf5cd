"""The floor from the current as actually drawn, ride by ride, against the module's own protection."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from wattwright.sizing.current_floors import ampere, lower_limit, modules
from wattwright.sizing.in_words import in_words
from wattwright.sizing.limits import Aim, Limit, Side
from wattwright.sizing.ride_floors import rides_in_words
from wattwright.sizing.search import MOST_MODULES, smallest
from wattwright.sizing.subjects import Subject
from wattwright.sizing.trials import Trials
from wattwright.units import percent_from_fraction
from wattwright.working import Quantity, Source, Standing, Working

NEARLY: Final = 0.85
"""Rides whose peak comes that near the highest are tried at every count; the rest draw too little."""
PROTECTION: Final = Source(text="ride engine against the module's protection points", standing=Standing.MAKER)


def hardest_by_current(trials: Trials, subjects: Sequence[Subject], count: int) -> list[Subject]:
    """Rides that draw nearly most of all: each in the season of its highest peak, and in its mildest.

    In the cold a pack draws more for the same power, but a short one sags too far to give it at all; a mild
    day with new modules then asks most of each.
    """
    peaks = [peak(trials, subject, count, quick=True) for subject in subjects]
    order = sorted(range(len(subjects)), key=lambda index: -peaks[index])
    worst: dict[str, Subject] = {}
    mildest = {subject.ride.name: subject for subject in subjects}
    for index in order:
        if peaks[index] >= NEARLY * peaks[order[0]]:
            worst.setdefault(subjects[index].ride.name, subjects[index])
    mild = [mildest[name] for name in worst if mildest[name] is not worst[name]]
    return [*worst.values(), *mild]


def peak(trials: Trials, subject: Subject, count: int, *, off: int = 0, quick: bool = False) -> float:
    """Highest current of the whole pack, not exceeded in the wished share of samples. [A]."""
    outcome = trials.outcome(subject.at(count), count, quick=quick, off=off)
    return float(np.quantile(outcome.peak_current, trials.brief.wishes.confidence))


def bearable_count(trials: Trials, hardest: Sequence[Subject], *, off: int = 0) -> int | None:
    """Fewest modules, ``off`` of them switched off, whose protection lets go in too few samples to matter."""
    brief = trials.brief
    limit = brief.drive.controller.battery_current_limit
    each = brief.battery_module.continuous_discharge_current

    def does(count: int) -> bool:
        if count <= off:
            return False
        if (count - off) * each >= limit:
            return True  # no module is ever asked for more than it gives for good
        return all(trials.bear(subject.at(count), count, off=off) for subject in hardest)

    return smallest(does, guess=max(1, int(limit / each)) + off)


def drawn_floor(
    trials: Trials, hardest: Sequence[Subject], found: int | None, aim: Aim, *, off: int = 0
) -> Limit:
    """Fewest modules whose protection lets go in too few of the samples to matter.

    Args:
        trials: Of the brief.
        hardest: By ``hardest_by_current``, the one that draws most first.
        found: By ``bearable_count``.
        aim: Target, and the count shown.
        off: Modules taken as off: 0, or 1 for "one module off, as drawn".
    """
    count = MOST_MODULES + 1 if found is None else found
    base = min(count, MOST_MODULES)
    subject = "current as drawn, one module off" if off else "current as drawn"
    counts = [number for number in aim.counts(count, least=1 + off) if number <= max(base, aim.shown or 0)]
    return Limit(
        subject=subject,
        side=Side.FLOOR,
        modules=count,
        because=_because(trials, hardest[0], base, off),
        working=replace(_working(trials, hardest[0], base, off), title=subject, result=modules(count)),
        loosen=lower_limit(trials.brief, aim.below(count), spare=off),
        reachable=found is not None,
        at_count=tuple((number, _each(trials, hardest[0], number, off)) for number in counts),
        bound=ampere(
            "I_trip",
            "highest current one module bears for a moment",
            max(point.current for point in trials.brief.battery_module.discharge_protection),
        ),
    )


def _each(trials: Trials, subject: Subject, count: int, off: int) -> Quantity:
    current = peak(trials, subject, count, off=off) / (count - off)
    return ampere("I_peak", f"highest from each of {count - off}", current)


def _because(trials: Trials, subject: Subject, count: int, off: int) -> str:
    current = _each(trials, subject, count, off)
    calm = trials.without_trip(subject.at(count), count, off=off)
    each = "the one module" if count - off == 1 else f"each of the {in_words(count - off)}"
    rest = f"{each} left when another is off" if off else each
    quiet = "every ride" if calm >= 1.0 else rides_in_words(calm)
    season = subject.at(count).season.title
    return (
        f"“{subject.ride.name}” ({season}) draws at most {current.value:.1f} A from {rest}; "
        f"the protection holds in {quiet}."
    )


def _working(trials: Trials, subject: Subject, base: int, off: int) -> Working:
    outcome = trials.outcome(subject.at(base), base, off=off)
    points = trials.brief.battery_module.discharge_protection
    held = np.quantile(outcome.longest_above, trials.brief.wishes.confidence, axis=1)
    calm = percent_from_fraction(trials.without_trip(subject.at(base), base, off=off))
    return Working(
        title="current as drawn",
        formula="n = smallest count with P(no protection lets go) ≥ c",
        values=(
            _each(trials, subject, base, off),
            Quantity(symbol="P", meaning="share of rides without a trip", value=calm, unit="%"),
        ),
        result=modules(base),
        source=PROTECTION,
        steps=tuple(
            Working(
                title=f"longest time above {point.current:g} A from one module",
                formula="t_longest ≤ t_allowed",
                values=(_seconds("t_longest", "unbroken, in the wished share of rides", float(time)),),
                result=_seconds("t_allowed", "the protection waits", point.duration),
                source=PROTECTION,
            )
            for point, time in zip(points, held, strict=True)
        ),
    )


def _seconds(symbol: str, meaning: str, time: float) -> Quantity:
    return Quantity(symbol=symbol, meaning=meaning, value=time, unit="s")
