"""Cycle fade of 32 like cells against the ageing models: where they hold, and where the knee leaves them."""

import csv
from pathlib import Path

import numpy as np
import pytest

from stated import state
from wattwright.pack.ageing import faded
from wattwright.pack.health import WATCHED_BELOW
from wattwright.pack.year import Year
from wattwright.parts.battery_module import Chemistry
from wattwright.units import DAYS_PER_YEAR, kelvin_from_celsius

DEPTH, HIGHEST = 0.6, 0.8
"""3.5 to 3.9 V at 1C and 35 °C, Baumhöfer et al., J. Power Sources 247 (2014) 332 (memory): about so much of
an NMC111 cell's charge."""
HOURS_PER_CYCLE = 2 * DEPTH * 1.25
"""At 1C out and in, a quarter more for the hold and the rests (assumption)."""
KNEE_AT = 1200
"""Cycles from which the mean lies below the bound."""


def year(cycles_per_year: float) -> Year:
    """A year of nothing but such cycles."""
    warm = kelvin_from_celsius(35.0)
    return Year(
        share=np.ones(1),
        temperature=np.full(1, warm),
        charge=np.full(1, HIGHEST - DEPTH / 2),
        full_cycles=cycles_per_year * DEPTH,
        depth=DEPTH,
        highest_charge=HIGHEST,
        discharge_rate=1.0,
        charge_rate=1.0,
        cycle_temperature=warm,
    )


@pytest.fixture
def cells(shared_data: Path) -> list[np.ndarray]:
    """(2, points) cycles and capacity of each cell."""
    rows: dict[str, list[tuple[float, float]]] = {}
    with (shared_data / "ageing" / "cycle_48cells_18650_part1.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            rows.setdefault(row["cell"], []).append((float(row["cycle"]), float(row["capacity_Ah"])))
    return [np.array(points).T for points in rows.values()]


def left(cells: list[np.ndarray], cycles: int) -> np.ndarray:
    """Capacity left of each cell."""
    return np.array([np.interp(cycles, *cell) / cell[1][0] for cell in cells])


def modelled(cycles: int) -> tuple[float, float]:
    """Central estimate and bound."""
    years = cycles * HOURS_PER_CYCLE / 24 / DAYS_PER_YEAR
    ageing = faded(Chemistry.NMC532, year(cycles / years), years)
    return ageing.central.capacity_left, ageing.bound.capacity_left


@pytest.mark.parametrize("cycles", [200, 500, 800, 1000, KNEE_AT, 1500])
def test_32_like_cells_follow_the_estimate_until_their_knee(
    cells: list[np.ndarray], cycles: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """Until 800 cycles every cell lies above the bound and the mean within 2 points of the estimate."""
    measured, (central, bound) = left(cells, cycles), modelled(cycles)
    state(
        capsys,
        f"{len(measured)} cells, {cycles} cycles: {measured.min():.3f} to {measured.max():.3f}, mean "
        f"{measured.mean():.3f}; estimate {central:.3f}, bound {bound:.3f}",
    )

    if cycles <= 800:
        assert measured.mean() == pytest.approx(central, abs=0.02)
        assert measured.min() > bound
    if cycles >= KNEE_AT:
        assert measured.mean() < bound, "the knee is no longer there: tell it in docs/models/ageing.md"


def test_what_the_fitter_is_told_to_watch_comes_before_the_fall(cells: list[np.ndarray]) -> None:
    """Every cell loses 15 points or more in the 300 cycles after it, 2.8 times as fast as before."""
    for cycles, capacity in cells:
        share = capacity / capacity[0]
        passed = float(cycles[np.argmax(share < WATCHED_BELOW)])
        pace_after = np.interp(passed, cycles, share) - np.interp(passed + 300, cycles, share)
        pace_before = (1.0 - WATCHED_BELOW) / passed * 300

        assert pace_after > 0.15
        assert pace_after > 2.8 * pace_before
