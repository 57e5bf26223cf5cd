"""The plan: the answer to a brief, with everything a sheet, a page or a terminal shows of it."""

from dataclasses import dataclass

import numpy as np

from wattwright.ride.outcome import Outcome
from wattwright.sizing.brief import Brief, PlannedRide
from wattwright.sizing.limits import Limit, Window
from wattwright.units import Ampere, FloatArray, Fraction, Joule, Kelvin, Kilogram, Second
from wattwright.working import Quantity, Working


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """Under what a ride was ridden out: "new, yearly mean", "new, January", "year 6, January"."""

    title: str
    temperature: Kelvin
    age_years: float
    capacity_left: Fraction
    """Of rated, by age alone."""
    resistance_risen: float
    """Of new, by age alone: 1.2 is one fifth more."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RideAnswer:
    """One ride in one season at the chosen count."""

    ride: PlannedRide
    season: Season
    outcome: Outcome
    arrival: FloatArray
    """(5,) charge left on arrival at the 5, 10, 50, 90 and 95 % quantiles."""
    likely_to_arrive: Fraction
    """Share of samples that arrive with the reserve."""
    energy: Joule
    """Median drawn from the pack."""
    time: Second
    """Median."""

    def held(self, confidence: Fraction) -> Fraction:
        """Charge left that this share of the samples arrives with at least."""
        return float(np.quantile(self.outcome.charge_left, 1.0 - confidence))


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLine:
    """One line of the parts list."""

    count: float
    unit: str
    """"" for pieces, "m" for lengths."""
    title: str
    mass: Kilogram
    """Of the line."""
    price: float
    """Of the line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One value to set in the controller, with its reason."""

    what: str
    value: Quantity
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another module or drive from the catalogue, worked out the same way."""

    module_name: str
    drive_name: str
    title: str
    floor: int
    ceiling: int
    is_open: bool
    chosen: int | None
    mass: Kilogram
    price: float
    worst_arrival: Fraction
    """Charge left at the wished confidence on the hardest ride in the hardest season, at its chosen count."""
    because: str
    """One sentence: what decides it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """The whole answer."""

    brief: Brief
    window: Window
    chosen: int | None
    """None where the window is empty."""
    shown: int
    """The count the rides, parts and settings below are worked out for: chosen, or the floor if reachable,
    or the ceiling."""
    sentence: str
    """What the fitter would say aloud: "Five or six modules. The last year of service asks for five; ..."."""
    opening: tuple[str, ...]
    """For an empty window: the smallest changes that open it, as sentences."""
    answers: tuple[RideAnswer, ...]
    parts: tuple[PartLine, ...]
    added_mass: Kilogram
    price: float
    settings: tuple[Setting, ...]
    highest_current_per_module: Ampere
    alternatives: tuple[Alternative, ...]
    cautions: tuple[str, ...]
    workings: tuple[Working, ...]
    """For the appendix: of every limit, but of each ride in its hardest season only."""
    notes: tuple[str, ...]
    """What the fitter should know of the input: repairs to tracks, defaults taken."""

    @property
    def limits(self) -> tuple[Limit, ...]:
        """Floors then ceilings, the deciding ones first."""
        return self.window.floors + self.window.ceilings
