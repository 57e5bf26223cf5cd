"""What is ordinary of bicycle, wind and altimeter, before a recorded ride is looked at."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from wattwright.units import FloatArray, Kilogram
from wattwright.working import Source, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """What is ordinary, before the ride is looked at."""

    value: float
    """Median, SI."""
    spread: float
    """Standard deviation: of the logarithm for drag area, rolling coefficient and mass, else SI."""
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class Priors:
    """Ordinary values of everything a ride may tell, but the mass."""

    drag_area: Prior
    rolling_coefficient: Prior
    drivetrain_efficiency: Prior
    wind: Prior
    """Each of the two components, at rider height. [m/s]"""
    drift: Prior
    """Of the barometer. [m/s]"""


ORDINARY: Final = Priors(
    drag_area=Prior(
        value=0.40,
        spread=0.30,
        source=Source(
            text="From 0.32 (racing crouch) to 0.63 m² (upright), 0.40 between (hoods): Gross, Kyle, "
            "Malewicki, The aerodynamics of human-powered land vehicles, Scientific American 249(6), 1983, "
            "by reprints",
            standing=Standing.PUBLISHED,
        ),
    ),
    rolling_coefficient=Prior(
        value=0.006,
        spread=0.40,
        source=Source(
            text="Range 0.0032 (Martin et al. 1998, racing tyre) to 0.008-0.012 (utility tyre, worn asphalt; "
            "Wilson and Schmidt, Bicycling Science, 4th ed., from memory)",
            standing=Standing.MEMORY,
        ),
    ),
    drivetrain_efficiency=Prior(
        value=0.977,
        spread=0.010,
        source=Source(
            text="Martin et al., J. Applied Biomechanics 14(3), 1998: 0.977; spread: assumption",
            standing=Standing.PUBLISHED,
        ),
    ),
    wind=Prior(
        value=0.0,
        spread=2.5,
        source=Source(
            text="About 4 m/s at 10 m over open land, sheltered to 0.6", standing=Standing.ASSUMPTION
        ),
    ),
    drift=Prior(
        value=0.0,
        spread=8e-4,
        source=Source(
            text="Weather moves a barometer by up to about 3 m an hour", standing=Standing.ASSUMPTION
        ),
    ),
)
STILL_AIR: Final = Prior(
    value=0.0, spread=0.05, source=Source(text="Indoors: no wind", standing=Standing.ASSUMPTION)
)
MASS_SOURCE: Final = Source(text="As given for the ride", standing=Standing.MEASURED)


def prior_vector(priors: Priors, mass: Kilogram, mass_spread: Kilogram) -> tuple[FloatArray, FloatArray]:
    """Prior means and standard deviations as vectors in the order of ``Coefficient``: (7,), (7,)."""
    plain = (priors.drivetrain_efficiency, priors.wind, priors.wind, priors.drift)
    efficiency, north, east, drift = ((prior.value, prior.spread) for prior in plain)
    drag, rolling = (
        (math.log(prior.value), prior.spread) for prior in (priors.drag_area, priors.rolling_coefficient)
    )
    rows = (drag, rolling, efficiency, (math.log(mass), mass_spread / mass), north, east, drift)
    pairs = np.array(rows)
    return pairs[:, 0], pairs[:, 1]
