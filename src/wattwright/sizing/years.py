"""The years ahead of a job: what they leave of the modules, what would help, when a ride ends."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from wattwright.errors import InputError
from wattwright.pack.ageing import Fade, ModelFade
from wattwright.pack.health import WATCHED_BELOW
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.in_words import modules_in_words
from wattwright.sizing.service_year import Wear
from wattwright.sizing.trials import Trials
from wattwright.units import Fraction, Kelvin, celsius_from_kelvin, kelvin_from_celsius, percent_from_fraction

LONGEST: Final = 15.0
"""[years] that are looked ahead."""
FINEST: Final = 0.25
"""[years] to which the end of a ride is found."""
CEILINGS: Final = (0.9, 0.8)
"""Charge ceilings tried: what a charger that stops early leaves unfilled."""
COOLER_BY: Kelvin = 8.0
"""[K] a cooler shed is cooler by,"""
COOLEST_SHED: Kelvin = kelvin_from_celsius(5.0)
"""[K] but never cooler than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class YearRow:
    """What is left at the end of a year."""

    years: float
    central: Fade
    bound: Fade


@dataclass(frozen=True, slots=True, kw_only=True)
class Lasting:
    """How long every ride is still possible at the wished confidence, in its coldest month."""

    years: float
    """``LONGEST`` where nothing ends before; 0 where a ride is not possible even new."""
    ends_with: str
    """The ride that ends it; "" where none does."""

    @property
    def in_words(self) -> str:
        """As a table shows it."""
        if not self.ends_with:
            return f"over {LONGEST:g}"
        return f"{self.years:.1f}" if self.years > 0 else "not even new"


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """The years under one set of habits."""

    title: str
    """ "as planned", "charged to 90 %", ..."""
    modules: int
    full_cycles: float
    """A year."""
    depth: Fraction
    """Of the usual ride."""
    rows: tuple[YearRow, ...]
    models: tuple[ModelFade, ...]
    """Each by itself at the end of the wished years."""
    lasting: Lasting
    """By the central estimate;"""
    lasting_cautious: Lasting
    """by the bound."""
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearsAhead:
    """The job as planned, and what other habits would make of it."""

    wished: float
    """Years of service the customer wants."""
    planned: Course
    others: tuple[Course, ...]
    """One more module, charge ceilings, a cooler shed."""
    notes: tuple[str, ...]

    @property
    def falls_short(self) -> bool:
        """Whether a ride ends before the wished years, by the central estimate."""
        return bool(self.planned.lasting.ends_with) and self.planned.lasting.years < self.wished - FINEST


def years_ahead(
    trials: Trials, modules: int, *, progress: Callable[[str, float], None] = lambda _what, _share: None
) -> YearsAhead:
    """The years of a job with so many modules, as planned and under gentler habits.

    Args:
        trials: Of the brief.
        modules: In the pack, 1 or more.
        progress: Told what is being worked out, and the share done.

    Raises:
        InputError: If there is no module.

    Notes:
        The year is the job's own (`service_year.job_year`), repeated; capacity and resistance by
        `ageing.faded`. A ride is possible while enough samples arrive with the reserve in its coldest month.
        A charge ceiling makes every ride begin, and the pack stand, at most so full.
    """
    if modules < 1:
        raise InputError("modules", modules, "1 or more")
    habits = _habits(trials.brief, modules)
    courses = []
    for number, (title, brief, count) in enumerate(habits):
        progress(title, number / len(habits))
        courses.append(_course(title, trials.changed(brief), count))
    return YearsAhead(
        wished=trials.brief.wishes.years,
        planned=courses[0],
        others=tuple(courses[1:]),
        notes=_notes(courses[0]),
    )


def _habits(brief: Brief, modules: int) -> list[tuple[str, Brief, int]]:
    """What is compared: title, brief, count."""
    habits = [("as planned", brief, modules)]
    habits.append((f"one more: {modules_in_words(modules + 1)}", brief, modules + 1))
    for ceiling in CEILINGS:
        if brief.storage_charge > ceiling or any(ride.start_charge > ceiling for ride in brief.rides):
            title = f"charged to {percent_from_fraction(ceiling):.0f} %"
            habits.append((title, charged_to(brief, ceiling), modules))
    shed = max(brief.storage_temperature - COOLER_BY, COOLEST_SHED)
    if shed < brief.storage_temperature:
        title = f"a cooler shed: {celsius_from_kelvin(shed):.0f} °C"
        habits.append((title, replace(brief, storage_temperature=shed), modules))
    return habits


def charged_to(brief: Brief, ceiling: Fraction) -> Brief:
    """The brief with a charger that stops at a ceiling.

    Raises:
        InputError: If the ceiling is not above 0 and up to 1.
    """
    if not 0 < ceiling <= 1:
        raise InputError("charge_ceiling_pct", percent_from_fraction(ceiling), "above 0 to 100 %")
    return replace(
        brief,
        rides=tuple(replace(ride, start_charge=min(ride.start_charge, ceiling)) for ride in brief.rides),
        storage_charge=min(brief.storage_charge, ceiling),
    )


def _course(title: str, trials: Trials, modules: int) -> Course:
    wear = Wear(trials)
    year, wished = wear.year(modules), trials.brief.wishes.years
    ages = sorted({*(float(age) for age in range(11)), wished})
    rows = []
    for age in ages:
        ageing = wear.ageing(modules, age)
        rows.append(YearRow(years=age, central=ageing.central, bound=ageing.bound))
    at_end = wear.ageing(modules, wished)
    return Course(
        title=title,
        modules=modules,
        full_cycles=year.full_cycles,
        depth=year.depth,
        rows=tuple(rows),
        models=at_end.models,
        lasting=lasting(wear, modules),
        lasting_cautious=lasting(wear, modules, cautious=True),
        notes=at_end.notes,
    )


def lasting(wear: Wear, modules: int, *, cautious: bool = False) -> Lasting:
    """How long every ride of the job is possible with so many modules.

    Args:
        wear: Of the job.
        modules: In the pack.
        cautious: By the bound of the ageing models instead of their central estimate.

    Notes:
        Halving between 0 and `LONGEST` down to `FINEST`, ride by ride; a ride that outlives the others so far
        costs one trial.
    """
    found = Lasting(years=LONGEST, ends_with="")
    for ride in wear.trials.brief.rides:
        if not _possible(wear, ride, modules, found.years, cautious=cautious):
            years = _last_year(wear, ride, modules, found.years, cautious=cautious)
            found = Lasting(years=years, ends_with=ride.name)
    return found


def _last_year(wear: Wear, ride: PlannedRide, modules: int, beyond: float, *, cautious: bool) -> float:
    """The last age at which a ride is possible, below one at which it is not."""
    if beyond <= 0 or not _possible(wear, ride, modules, 0.0, cautious=cautious):
        return 0.0
    low, high = 0.0, beyond
    while high - low > FINEST:
        middle = (low + high) / 2
        if _possible(wear, ride, modules, middle, cautious=cautious):
            low = middle
        else:
            high = middle
    return low


def _possible(wear: Wear, ride: PlannedRide, modules: int, years: float, *, cautious: bool) -> bool:
    case = wear.case(ride, modules, years, cautious=cautious)
    return wear.trials.arriving(case, modules) >= wear.trials.brief.wishes.confidence


def _notes(planned: Course) -> tuple[str, ...]:
    """What to tell of the years as planned, besides the models' own notes."""
    worn = next((row.years for row in planned.rows if row.bound.capacity_left < WATCHED_BELOW), None)
    notes = list(planned.notes)
    if worn is not None and worn <= planned.lasting.years:
        notes.append(
            f"From year {worn:g} on the bound lies below {percent_from_fraction(WATCHED_BELOW):.0f} % of "
            "rated, where cells may begin to fall fast: measure capacity twice a year from then on."
        )
    return tuple(notes)
