"""Everything that is considered, named in one list."""

from collections.abc import Callable, Iterator, Sequence
from functools import partial

from wattwright.errors import InputError
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.ceilings import (
    budget_ceiling,
    charge_time_ceiling,
    mass_ceiling,
    parallel_ceiling,
    room_ceiling,
)
from wattwright.sizing.current_floors import (
    charge_floor,
    drawn_floor,
    nameplate_floor,
    one_off_floor,
    regeneration_floor,
)
from wattwright.sizing.limits import Limit
from wattwright.sizing.ride_floors import energy_guess, ride_floor
from wattwright.sizing.search import MOST_MODULES
from wattwright.sizing.service_year import last_year_case
from wattwright.sizing.trials import Case, Trials, coldest_case, usual_case

Progress = Callable[[str, float], None]
"""Told what is being worked out, and how much is done, 0 to 1."""
CaseAt = Callable[[int], Case]
"""A ride and season by count: after the same years a larger pack is less worn."""
Subject = tuple[PlannedRide, CaseAt]


def refuse_mismatch(brief: Brief) -> None:
    """Refuse parts that do not belong together.

    Raises:
        InputError: Naming the part, its value and what would do.
    """
    kind, controller, charger = brief.battery_module, brief.drive.controller, brief.charger
    if kind.maximum_voltage > controller.maximum_voltage:
        raise InputError(
            "pack.module",
            kind.name,
            f"a module of at most {controller.maximum_voltage:.1f} V full",
            f"“{brief.drive.title}” bears no more, “{kind.title}” reaches {kind.maximum_voltage:.1f} V.",
        )
    if kind.nominal_voltage < controller.cutoff_voltage:
        raise InputError(
            "pack.module",
            kind.name,
            f"a module of more than {controller.cutoff_voltage:.1f} V nominal",
            f"“{brief.drive.title}” switches off below that.",
        )
    if charger.chemistry is not kind.chemistry or abs(charger.voltage / kind.maximum_voltage - 1.0) > 0.01:
        raise InputError(
            "pack.charger",
            charger.name,
            f"a {kind.chemistry.value} charger of {kind.maximum_voltage:.1f} V",
            f"“{charger.title}” is for {charger.chemistry.value}, {charger.voltage:.1f} V.",
        )


def ride_cases(trials: Trials) -> list[Subject]:
    """Each ride in each of its seasons, the hardest first: where limits tie, it is the one to name."""
    subjects: list[Subject] = []
    for ride in trials.brief.rides:
        usual, coldest = usual_case(trials.brief, ride), coldest_case(trials.brief, ride)
        if trials.brief.wishes.years > 0:
            subjects.append((ride, partial(last_year_case, trials, ride)))
        if coldest.weather.temperature < usual.weather.temperature - 0.5:
            subjects.append((ride, partial(_always, coldest)))
        subjects.append((ride, partial(_always, usual)))
    return subjects


def hardest_cases(trials: Trials) -> list[Subject]:
    """Each ride in its hardest season alone: worn and cold where years are wished for, else cold."""
    hardest: dict[str, Subject] = {}
    for ride, case_at in ride_cases(trials):
        hardest.setdefault(ride.name, (ride, case_at))
    return list(hardest.values())


def _always(case: Case, _count: int) -> Case:
    return case


def all_limits(trials: Trials, subjects: Sequence[Subject], progress: Progress) -> Iterator[Limit]:
    """Every consideration, named in one place; adding one means adding a line here."""
    brief = trials.brief
    floors: list[Limit] = []
    for done, (ride, case_at) in enumerate(subjects):
        progress(f"riding “{ride.name}”", 0.7 * done / len(subjects))
        floors.append(ride_floor(trials, case_at, guess=energy_guess(trials, case_at(4))))
    yield from floors
    progress("current as drawn", 0.75)
    count = max(limit.modules for limit in floors)
    cases = [case_at(min(count, MOST_MODULES)) for _, case_at in subjects]
    candidates = (
        nameplate_floor(brief),
        drawn_floor(trials, cases),
        one_off_floor(brief) if brief.wishes.one_module_off else None,
        drawn_floor(trials, cases, spare=1) if brief.wishes.one_module_off else None,
        charge_floor(brief),
        regeneration_floor(brief),
        room_ceiling(brief),
        mass_ceiling(brief),
        budget_ceiling(brief),
        parallel_ceiling(brief),
        charge_time_ceiling(brief),
    )
    yield from (limit for limit in candidates if limit is not None)
