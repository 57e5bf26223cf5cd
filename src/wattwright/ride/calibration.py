"""What a recorded ride with power says of bicycle, rider and wind, how surely, and what it cannot say."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.ride.fit_balance import COUNT, LOGARITHMIC, Coefficient, crank_work
from wattwright.ride.fit_priors import MASS_SOURCE, ORDINARY, Prior, Priors, prior_vector
from wattwright.ride.fit_solution import Solution, solved
from wattwright.ride.fit_stretches import NOTHING_KNOWN, Known, Stretches, stretches_of
from wattwright.ride.recorded import RecordedRide
from wattwright.units import FloatArray, Fraction, Joule, Kilogram
from wattwright.working import Quantity, Source, Standing, Working

BOUND: Final = 0.7
"""Correlation of errors from which two coefficients are said to be confounded: half of the variance."""
EVEN_SPEED: Final = 0.2
"""Spread of speed over its mean below which a ride is said to hold one speed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """One coefficient as the ride and the prior together have it."""

    meaning: str
    symbol: str
    value: float
    standard_error: float
    prior: float
    prior_spread: float
    """In the unit of the value."""
    data_share: Fraction
    """How much of the answer the ride decided, the rest being the prior."""
    unit: str
    digits: int
    source: Source
    """Of the prior."""

    def quantity(self) -> Quantity:
        """For a working."""
        return Quantity(
            symbol=self.symbol, meaning=self.meaning, value=self.value, unit=self.unit, digits=self.digits
        )

    def shown(self) -> str:
        """Value, standard error and unit as printed."""
        error = f"{self.standard_error:.{self.digits}f}"
        return f"{self.value:.{self.digits}f} ± {error} {self.unit}".replace("-", "−").rstrip()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calibration:
    """A recorded ride's answer."""

    title: str
    drag_area: Estimate
    """CdA without the wheels' spokes, as the ride engine takes it. [m²]"""
    rolling_coefficient: Estimate
    drivetrain_efficiency: Estimate
    mass: Estimate
    """[kg]"""
    wind_north: Estimate
    """From the north, at rider height, mean over the ride. [m/s]"""
    wind_east: Estimate
    drift: Estimate
    """Of the recorded altitude. [m/s]"""
    correlation: FloatArray
    """(7, 7) of the errors, in the order above."""
    solution: Solution
    measured: Joule
    """Work at the crank over the samples that can be balanced."""
    modelled: Joule
    """The same by the fitted coefficients."""
    cannot_tell: tuple[str, ...]
    """What the ride leaves open, as sentences."""

    @property
    def level(self) -> float:
        """Measured over modelled work: braking within cells, a shelter now and then, the meter's scale."""
        return self.measured / self.modelled

    @property
    def estimates(self) -> tuple[Estimate, ...]:
        """All, in the order of ``Coefficient``."""
        return (
            self.drag_area, self.rolling_coefficient, self.drivetrain_efficiency, self.mass,
            self.wind_north, self.wind_east, self.drift,
        )  # fmt: skip

    def working(self) -> Working:
        """The fit as a working: what was balanced, the coefficients, how near it comes."""
        return Working(
            title=f"Coefficients from the ride {self.title}",
            formula="η W = m g Δh + ½ (m + I/r²) Δv² + Crr m g Δx + bearings + ½ ρ (CdA + Fw) vₐ|vₐ| Δs, "
            "window by window",
            values=tuple(estimate.quantity() for estimate in self.estimates),
            result=Quantity(
                symbol="W_fit / W",
                meaning="work asked by the fit over work measured",
                value=100.0 * self.modelled / self.measured,
                unit="%",
                digits=1,
            ),
            source=Source(
                text="Martin et al., J. Applied Biomechanics 14(3), 1998; errors after Newey and West 1987",
                standing=Standing.PUBLISHED,
            ),
        )


def calibrated(
    recorded: RecordedRide,
    mass: Kilogram,
    *,
    mass_spread: Kilogram = 2.0,
    known: Known = NOTHING_KNOWN,
    priors: Priors = ORDINARY,
) -> Calibration:
    """Estimate drag area, rolling coefficient and wind from one recorded ride with power.

    Args:
        recorded: With power and altitude.
        mass: Everything that rolls. [kg]
        mass_spread: Standard deviation of what is not known of it, more than 0. [kg]
        known: What is known of air and road besides the recording.
        priors: What is ordinary; the answer rests on it where the ride is silent.

    Returns:
        Estimates with standard errors, and what the ride cannot tell.

    Raises:
        InputError: If mass or spread is not positive, or the recording has too little to go by.

    Notes:
        Method and its reasons: ``solved`` and ``docs/models/calibration.md``.
    """
    return calibration_of(
        stretches_of(recorded, known), mass, title=recorded.title, mass_spread=mass_spread, priors=priors
    )


def calibration_of(
    stretches: Stretches,
    mass: Kilogram,
    *,
    title: str,
    mass_spread: Kilogram = 2.0,
    priors: Priors = ORDINARY,
    cells: npt.NDArray[np.bool_] | None = None,
) -> Calibration:
    """The same from stretches already cut, and from some of their cells only.

    Args:
        stretches: The ride.
        mass: Everything that rolls. [kg]
        title: Of the ride, for the working.
        mass_spread: More than 0. [kg]
        priors: What is ordinary.
        cells: (cells,) which to fit on; all by default.

    Returns:
        As ``calibrated``; measured and modelled work are those of the cells fitted on.

    Raises:
        InputError: As ``calibrated``.
    """
    for field, given in (("mass_kg", mass), ("mass_spread_kg", mass_spread)):
        if not (math.isfinite(given) and given > 0):
            raise InputError(field, given, "more than 0 kg")
    centre, spread = prior_vector(priors, mass, mass_spread)
    solution = solved(stretches, centre, spread, cells)
    wanted = np.ones(len(stretches.window), dtype=bool) if cells is None else cells
    error = np.sqrt(np.diag(solution.covariance))
    made = _estimates(solution, priors, Prior(value=mass, spread=mass_spread / mass, source=MASS_SOURCE))
    return Calibration(
        title=title,
        drag_area=made[0],
        rolling_coefficient=made[1],
        drivetrain_efficiency=made[2],
        mass=made[3],
        wind_north=made[4],
        wind_east=made[5],
        drift=made[6],
        correlation=solution.covariance / np.outer(error, error),
        solution=solution,
        measured=float(stretches.by_cell(stretches.work)[wanted].sum()),
        modelled=float(crank_work(stretches, solution.vector)[wanted].sum()),
        cannot_tell=_cannot_tell(stretches, solution, made),
    )


def energy_asked(stretches: Stretches, calibration: Calibration) -> FloatArray:
    """Work at the crank to be expected in each cell of a ride, the level learnt with the coefficients.

    Args:
        stretches: The same ride or another of the same rider and bicycle in the same weather.
        calibration: From a recorded ride.

    Returns:
        (cells,) [J]
    """
    return crank_work(stretches, calibration.solution.vector) * calibration.level


def unfitted_energies(
    stretches: Stretches,
    mass: Kilogram,
    *,
    mass_spread: Kilogram,
    samples: int,
    seed: int,
    priors: Priors = ORDINARY,
) -> FloatArray:
    """Crank energy of a ride over ordinary coefficients, the ride's own power not looked at.

    Args:
        stretches: The ride.
        mass: Everything that rolls. [kg]
        mass_spread: [kg]
        samples: How many draws.
        seed: Of the draws.
        priors: From which everything is drawn.

    Returns:
        (samples,) in joules.
    """
    centre, spread = prior_vector(priors, mass, mass_spread)
    draws = np.random.default_rng(seed).standard_normal((samples, COUNT)) * spread + centre
    draws[:, Coefficient.EFFICIENCY] = np.minimum(draws[:, Coefficient.EFFICIENCY], 1.0)
    return np.array([crank_work(stretches, draw).sum() for draw in draws])


_SHOWN: Final = (
    ("drag area", "CdA", "m²", 3),
    ("rolling coefficient", "Crr", "", 4),
    ("drive-train efficiency", "η", "", 3),
    ("mass", "m", "kg", 1),
    ("wind from the north", "w_n", "m/s", 1),
    ("wind from the east", "w_e", "m/s", 1),
    ("drift of the altitude", "d", "m/s", 5),
)


def _estimates(solution: Solution, priors: Priors, mass: Prior) -> tuple[Estimate, ...]:
    drag, rolling, wind = priors.drag_area, priors.rolling_coefficient, priors.wind
    ordinary = (drag, rolling, priors.drivetrain_efficiency, mass, wind, wind, priors.drift)
    return tuple(
        _estimate(place, solution, prior) for place, prior in zip(Coefficient, ordinary, strict=True)
    )


def _estimate(place: Coefficient, solution: Solution, prior: Prior) -> Estimate:
    meaning, symbol, unit, digits = _SHOWN[place]
    raw, error = float(solution.vector[place]), float(solution.covariance[place, place]) ** 0.5
    value = math.exp(raw) if place in LOGARITHMIC else raw
    return Estimate(
        meaning=meaning,
        symbol=symbol,
        value=value,
        standard_error=error * (value if place in LOGARITHMIC else 1.0),
        prior=prior.value,
        prior_spread=prior.spread * (prior.value if place in LOGARITHMIC else 1.0),
        data_share=min(max(float(solution.resolution[place, place]), 0.0), 1.0),
        unit=unit,
        digits=digits,
        source=prior.source,
    )


def _cannot_tell(stretches: Stretches, solution: Solution, made: tuple[Estimate, ...]) -> tuple[str, ...]:
    """Pairs whose errors go together, and what rests on ordinary values, in words."""
    together = _confounded(solution)
    said = _pairs_said(stretches, made, together)
    named = {place for pair in together for place in pair}
    alone = [
        estimate for place, estimate in zip(Coefficient, made, strict=True)
        if estimate.data_share < 0.5 and place not in named
    ]  # fmt: skip
    if not stretches.has_heading:
        said.append("The recording has no headings: wind cannot be told from drag.")
    if alone:
        listed = ", ".join(f"{one.meaning} ({100 * one.data_share:.0f} % from the ride)" for one in alone)
        said.append(f"These rest mostly on ordinary values: {listed}.")
    if not solution.settled:
        said.append("The search did not settle: take the figures as rough.")
    return tuple(said)


def _confounded(solution: Solution) -> list[tuple[Coefficient, Coefficient]]:
    """Pairs whose errors nearly cancel."""
    error = np.sqrt(np.diag(solution.covariance))
    correlation = solution.covariance / np.outer(error, error)
    return [
        (first, second)
        for first in Coefficient
        for second in Coefficient
        if first < second and abs(correlation[first, second]) > BOUND
    ]


def _pairs_said(
    stretches: Stretches, made: tuple[Estimate, ...], pairs: list[tuple[Coefficient, Coefficient]]
) -> list[str]:
    """Why coefficients cannot be told apart, as far as the ride shows it."""
    pair = (Coefficient.DRAG_AREA, Coefficient.ROLLING)
    even = float(stretches.speed.std() / stretches.speed.mean()) < EVEN_SPEED
    said = []
    if even and pair in pairs:
        said.append(
            "The ride cannot tell drag area from rolling coefficient: it holds nearly one speed. "
            "Their sum at that speed is known, each alone is not."
        )
    others = [
        f"{made[one].meaning} from {made[two].meaning}"
        for one, two in pairs
        if not (even and (one, two) == pair)
    ]
    if others:
        said.append(
            f"The ride cannot well tell {', nor '.join(others)}: their errors go together, and each alone "
            "rests partly on its ordinary value."
        )
    return said
