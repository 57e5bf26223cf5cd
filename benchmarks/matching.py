"""How long the best-matched set takes to find and to prove."""

from functools import cache

import numpy as np

from benchmarks.harness import Case, benchmark
from wattwright.pack.matching import MatchedSet, best_set
from wattwright.pack.mixing import Candidate, Demand

WORN = 200
SIX = 6


@cache
def shelf() -> tuple[Candidate, ...]:
    """Two hundred invented worn modules; capacity and resistance part as they do with age."""
    draw = np.random.default_rng(7)
    wear = draw.multivariate_normal([0.0, 0.0], [[0.08**2, -0.008], [-0.008, 0.2**2]], WORN)
    return tuple(
        Candidate(
            serial=f"M{number:03d}",
            capacity=7650.0 * float(np.exp(capacity)),
            resistance=0.53 * float(np.exp(resistance)),
        )
        for number, (capacity, resistance) in enumerate(wear)
    )


def chosen(highest_current: float) -> MatchedSet:
    """Six of the shelf, each bearing 8 A."""
    demand = Demand(current=6.0, highest_current=highest_current, bearable_current=8.0, slope=40.0)
    return best_set(shelf(), SIX, demand)


@benchmark
def matching() -> list[Case]:
    """Six of two hundred modules, proven best."""
    return [
        Case(
            title="6 of 200, the current asked is easily carried", run=lambda: chosen(24.0), aim_seconds=1.0
        ),
        Case(title="6 of 200, hardly any set carries it", run=lambda: chosen(47.5), aim_seconds=1.0),
        Case(title="6 of 200, no set carries it", run=lambda: chosen(48.5), aim_seconds=1.0),
    ]
