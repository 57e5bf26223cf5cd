"""Each ride in each of its seasons: what a floor is asked for."""

from collections.abc import Callable
from dataclasses import dataclass

from wattwright.sizing.brief import PlannedRide
from wattwright.sizing.seasons import coldest_weather
from wattwright.sizing.service_year import Wear, last_season
from wattwright.sizing.trials import Case, Trials, coldest_case, usual_case
from wattwright.units import Kelvin

SAME_WEATHER: Kelvin = 0.5
"""A coldest month no colder than this below the mean is no season of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Subject:
    """One ride in one season; after the same years a larger pack is less worn."""

    name: str
    """Ride and season in a few words, for the window's leader."""
    ride: PlannedRide
    at: Callable[[int], Case]
    """The case by count."""
    wear: Wear | None = None
    """Of the job, where the season is the last year of service."""


def ride_subjects(trials: Trials) -> list[Subject]:
    """Each ride in each of its seasons, the hardest first: where limits tie, it is the one to name."""
    wear, years = Wear(trials), trials.brief.wishes.years
    subjects: list[Subject] = []
    for ride in trials.brief.rides:
        usual, coldest = usual_case(trials.brief, ride), coldest_case(trials.brief, ride)
        if years > 0:
            subjects.append(worn_subject(wear, ride, years))
        if coldest.weather.temperature < usual.weather.temperature - SAME_WEATHER:
            subjects.append(fixed_subject(coldest))
        subjects.append(fixed_subject(usual))
    return subjects


def hardest_subjects(trials: Trials) -> list[Subject]:
    """Each ride in its hardest season alone: worn and cold where years are wished for, else cold."""
    hardest: dict[str, Subject] = {}
    for subject in ride_subjects(trials):
        hardest.setdefault(subject.ride.name, subject)
    return list(hardest.values())


def fixed_subject(case: Case) -> Subject:
    """A season that is the same whatever the count."""
    name = f"{case.ride.name}, {case.season.title}"
    return Subject(name=name, ride=case.ride, at=lambda _count: case)


def worn_subject(wear: Wear, ride: PlannedRide, years: float) -> Subject:
    """The ride in its coldest month at the end of those years."""
    name = f"{ride.name}, {last_season(coldest_weather(wear.trials.brief, ride), years)}"
    return Subject(name=name, ride=ride, at=lambda count: wear.case(ride, count, years), wear=wear)
