"""What years leave of a module: capacity and resistance by published models, central and conservative."""

from dataclasses import dataclass

from wattwright.errors import InputError
from wattwright.pack.fade_years import (
    Loss,
    naumann_loss,
    nca_loss,
    refit_loss,
    schmalstieg_loss,
    silicon_loss,
    wang_loss,
)
from wattwright.pack.year import Year
from wattwright.parts.battery_module import Chemistry
from wattwright.units import Fraction, celsius_from_kelvin
from wattwright.working import Source

LEAST_CAPACITY_LEFT = 0.01
"""Shown where a model would leave nothing: worn out."""
KNEE = 0.7
"""Capacity left below which no model here has data; none of them predicts the sudden end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fade:
    """What age leaves."""

    capacity_left: Fraction
    """Of rated."""
    resistance_risen: float
    """Over the new module's: 1.2 is one fifth more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelFade:
    """What one published model makes of the years."""

    title: str
    capacity_left: Fraction
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Ageing:
    """The estimate, the bound, and how far the models part."""

    central: Fade
    """The best estimate."""
    bound: Fade
    """The worst of all models asked: what a promise should rest on."""
    models: tuple[ModelFade, ...]
    """Each by itself."""
    notes: tuple[str, ...]
    """Where the year lies outside a model's data, as sentences."""

    @property
    def spread(self) -> Fraction:
        """Capacity left by the mildest model less that by the harshest."""
        shares = [model.capacity_left for model in self.models]
        return max(shares) - min(shares)


def faded(chemistry: Chemistry, year: Year, years: float) -> Ageing:
    """What so many such years leave of a module.

    Args:
        chemistry: Of the cells: LFP has models of its own, all others the nickel cells'.
        year: Of service, the same over and over; charge taken out is held as the module fades.
        years: Of service, 0 to 30.

    Returns:
        Central estimate and bound of capacity and resistance, each model by itself, and notes.

    Raises:
        InputError: If the years are not between 0 and 30.

    Notes:
        Loss by standing and loss by cycling add, in each model.

        Nickel: the central loss by standing is the mean of the NCA 18650 3.2 Ah and the NCA and
        graphite-silicon 18650 2.5 Ah forms; by cycling, the mean of the NCA form and Schmalstieg 2014,
        because the silicon form's cycle part all but vanishes here and the NCA form's alone is far milder
        than cells we have data of (docs/models/ageing.md). The bound is the worst of the three models, each
        whole, and the central estimate. Only Schmalstieg 2014 gives resistance: the central rise is its rise
        in proportion to the losses, part by part (assumption).

        LFP: central is the refit of Naumann's data, the bound the worst of it, Naumann 2018 and 2020, and
        Naumann's standing with Wang's 2011 cycling. Resistance rises by Naumann; the bound's in proportion
        to the losses (assumption).

        No model here predicts a sudden end, or charging below freezing.
    """
    if not 0 <= years <= 30:
        raise InputError("years", years, "from 0 to 30 years")
    central, bound, losses = (_iron if chemistry is Chemistry.LFP else _nickel)(year, years)
    return Ageing(
        central=central,
        bound=bound,
        models=tuple(
            ModelFade(title=loss.title, capacity_left=_left(loss.lost), source=loss.source) for loss in losses
        ),
        notes=_notes(chemistry, year, bound.capacity_left),
    )


def _nickel(year: Year, years: float) -> tuple[Fade, Fade, tuple[Loss, ...]]:
    """Central, bound, and the models asked."""
    nca, silicon = nca_loss(year, years), silicon_loss(year, years)
    published, rise = schmalstieg_loss(year, years)
    stood, cycled = (nca.stood + silicon.stood) / 2, (nca.cycled + published.cycled) / 2
    risen = _share(stood, published.stood) * rise.stood + _share(cycled, published.cycled) * rise.cycled
    worst = max(stood + cycled, nca.lost, silicon.lost, published.lost)
    return (
        Fade(capacity_left=_left(stood + cycled), resistance_risen=1.0 + risen),
        Fade(capacity_left=_left(worst), resistance_risen=1.0 + max(risen, rise.lost)),
        (nca, silicon, published),
    )


def _iron(year: Year, years: float) -> tuple[Fade, Fade, tuple[Loss, ...]]:
    """Central, bound, and the models asked."""
    refit, wang = refit_loss(year, years), wang_loss(year, years)
    naumann, rise = naumann_loss(year, years)
    worst = max(refit.lost, naumann.lost, wang.lost)
    return (
        Fade(capacity_left=_left(refit.lost), resistance_risen=1.0 + rise.lost),
        Fade(capacity_left=_left(worst), resistance_risen=1.0 + rise.lost * _share(worst, refit.lost)),
        (refit, naumann, wang),
    )


def _share(part: float, whole: float) -> float:
    """A proportion; 1 where there is nothing yet."""
    return part / whole if whole > 0 else 1.0


def _left(lost: float) -> Fraction:
    return max(1.0 - lost, LEAST_CAPACITY_LEFT)


def _notes(chemistry: Chemistry, year: Year, worst_left: Fraction) -> tuple[str, ...]:
    """Where the year lies outside the models' data."""
    lowest, highest = (20.0, 40.0) if chemistry is Chemistry.LFP else (5.0, 35.0)
    riding = celsius_from_kelvin(year.cycle_temperature)
    standing = celsius_from_kelvin(float(year.temperature.max()))
    findings = (
        (
            year.full_cycles > 0 and not lowest <= riding <= highest,
            f"Ageing by riding is published for {lowest:.0f} to {highest:.0f} °C, not for {riding:.0f} °C.",
        ),
        (
            standing > 50,
            f"Ageing by standing is published up to 50 °C; this pack stands at up to {standing:.0f} °C.",
        ),
        (
            year.discharge_rate > 2 or year.charge_rate > 1,
            "The ageing models have data up to 2C discharge and 1C charge; faster is taken as that.",
        ),
        (
            year.full_cycles > 0 and year.depth < 0.2,
            "Rides this short lie below the depths of discharge the ageing models were measured at.",
        ),
        (
            worst_left < KNEE,
            f"Below {100 * KNEE:.0f} % capacity left no ageing model has data: cells may then fail suddenly.",
        ),
    )
    return tuple(sentence for holds, sentence in findings if holds)
