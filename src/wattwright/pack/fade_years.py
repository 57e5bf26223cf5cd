"""What each published model makes of years of the same service."""

import math
from dataclasses import dataclass

import numpy as np

from wattwright.pack import fade_iron as iron
from wattwright.pack import fade_nickel as nickel
from wattwright.pack.growth import power_growth, saturating_growth
from wattwright.pack.year import Year
from wattwright.units import DAYS_PER_YEAR, SECONDS_PER_DAY, FloatArray
from wattwright.working import Source, Standing

PASSES_PER_YEAR = 4
"""How often a year's spells are gone through in turn: order must not matter."""

NCA_SOURCE = Source(
    text="Keil et al., J. Electrochem. Soc. 163 (2016) A1872 and Preger et al., J. Electrochem. Soc. 167 "
    "(2020) 120532, as fitted in an open lifetime library (BSD-3)",
    standing=Standing.PUBLISHED,
)
SILICON_SOURCE = Source(
    text="Wildfeuer et al., J. Power Sources 561 (2023) 232498, as fitted in an open lifetime library "
    "(BSD-3)",
    standing=Standing.PUBLISHED,
)
SCHMALSTIEG_SOURCE = Source(
    text="Schmalstieg et al., J. Power Sources 257 (2014) 325–334", standing=Standing.PUBLISHED
)
REFIT_SOURCE = Source(
    text="Gasper et al., J. Electrochem. Soc. 169 (2022) 080518, data of Naumann et al.",
    standing=Standing.PUBLISHED,
)
NAUMANN_SOURCE = Source(
    text="Naumann et al., J. Energy Storage 17 (2018) 153–169 and J. Power Sources 451 (2020) 227666",
    standing=Standing.PUBLISHED,
)
WANG_SOURCE = Source(
    text="Wang et al., J. Power Sources 196 (2011) 3942–3948, with the standing loss of Naumann et al. 2018",
    standing=Standing.PUBLISHED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """What one model makes of the years."""

    title: str
    stood: float
    """Capacity lost by standing."""
    cycled: float
    """Capacity lost by charging and riding."""
    source: Source

    @property
    def lost(self) -> float:
        """Both together: the parts add."""
        return self.stood + self.cycled


def nca_loss(year: Year, years: float) -> Loss:
    """NCA 18650 of 3.2 Ah: power laws of days and of full cycles."""
    exponent = nickel.NCA_CALENDAR_EXPONENT
    rate = _mean_rate(year.share, nickel.nca_calendar(year.charge, year.temperature), exponent)
    return Loss(
        title="NCA 18650, 3.2 Ah",
        stood=rate * (DAYS_PER_YEAR * years) ** exponent,
        cycled=power_growth(
            0.0, nickel.nca_cycle(year.depth), nickel.NCA_CYCLE_EXPONENT, year.full_cycles * years
        ),
        source=NCA_SOURCE,
    )


def silicon_loss(year: Year, years: float) -> Loss:
    """NCA and graphite-silicon 18650 of 2.5 Ah: saturating forms of days and of full cycles.

    Its cycle part all but vanishes at the rates and charges of a bicycle, which no cell does: see ageing.py.
    """
    most, exponent = nickel.silicon_calendar(year.charge, year.temperature)
    moments = _cycle_charges(year)
    reach, power = nickel.silicon_cycle(
        nickel.CycleStress(
            charge=moments,
            temperature=np.full(len(moments), year.cycle_temperature),
            lowest_charge=float(moments[0]),
            highest_charge=year.highest_charge,
            depth=year.depth,
            discharge_rate=min(year.discharge_rate, 2.0),
            charge_rate=min(year.charge_rate, 1.0),
        )
    )
    return Loss(
        title="NCA and graphite-silicon 18650, 2.5 Ah",
        stood=_saturating_through(year, years, most, nickel.SILICON_CALENDAR_RATE, exponent),
        cycled=saturating_growth(0.0, reach, nickel.SILICON_CYCLE_RATE, power, year.full_cycles * years),
        source=SILICON_SOURCE,
    )


def schmalstieg_loss(year: Year, years: float) -> tuple[Loss, Loss]:
    """NMC111 18650 of 2.15 Ah: capacity lost, and in the same form the rise of resistance."""
    exponent = nickel.SCHMALSTIEG_EXPONENT
    days = (DAYS_PER_YEAR * years) ** exponent
    stood = nickel.schmalstieg_calendar(nickel.nmc111_voltage(year.charge), year.temperature)
    capacity, resistance = (_mean_rate(year.share, rate, exponent) * days for rate in stood)
    mean_voltage = float(np.sqrt(np.mean(nickel.nmc111_voltage(_cycle_charges(year)) ** 2)))
    per_root, per_charge = nickel.schmalstieg_cycle(mean_voltage, year.depth)
    throughput = 2.0 * nickel.SCHMALSTIEG_CAPACITY_AH * year.full_cycles * years
    title = "NMC111 18650, 2.15 Ah"
    return (
        Loss(title=title, stood=capacity, cycled=per_root * throughput**0.5, source=SCHMALSTIEG_SOURCE),
        Loss(title=title, stood=resistance, cycled=per_charge * throughput, source=SCHMALSTIEG_SOURCE),
    )


def refit_loss(year: Year, years: float) -> Loss:
    """LFP 26650 of 3 Ah, refitted: saturating form of days, power of full cycles."""
    most, exponent = iron.refit_calendar(year.charge, year.temperature)
    cycles = year.full_cycles * years
    return Loss(
        title="LFP 26650, 3 Ah, refitted",
        stood=_saturating_through(year, years, most, iron.REFIT_CALENDAR_RATE, exponent),
        cycled=(iron.refit_cycle(_iron_rate(year), year.depth) * cycles) ** iron.REFIT_CYCLE_EXPONENT,
        source=REFIT_SOURCE,
    )


def naumann_loss(year: Year, years: float) -> tuple[Loss, Loss]:
    """LFP 26650 of 3 Ah: capacity lost, and the rise of resistance."""
    seconds = DAYS_PER_YEAR * SECONDS_PER_DAY * years
    cycles = year.full_cycles * years
    stood, stood_rise = iron.naumann_calendar(year.charge, year.temperature)
    cycle_rate, cycle_rise = iron.naumann_cycle(_iron_rate(year), year.depth)
    title = "LFP 26650, 3 Ah"
    return (
        Loss(
            title=title,
            stood=_mean_rate(year.share, stood, 0.5) * seconds**0.5,
            cycled=cycle_rate * cycles**0.5,
            source=NAUMANN_SOURCE,
        ),
        Loss(
            title=title,
            stood=_mean_rate(year.share, stood_rise, 1.0) * seconds,
            cycled=cycle_rise * cycles,
            source=NAUMANN_SOURCE,
        ),
    )


def wang_loss(year: Year, years: float) -> Loss:
    """LFP 26650 of 2.2 Ah cycled, with Naumann's loss by standing, as it has none of its own."""
    rate = iron.wang_cycle(min(max(year.discharge_rate, 0.5), 10.0), year.cycle_temperature)
    charge = iron.WANG_CAPACITY_AH * year.full_cycles * years
    return Loss(
        title="LFP 26650, 2.2 Ah, cycled",
        stood=naumann_loss(year, years)[0].stood,
        cycled=rate * charge**iron.WANG_EXPONENT,
        source=WANG_SOURCE,
    )


def _iron_rate(year: Year) -> float:
    """Mean of charge and discharge, held at 1C: beyond it the cycle fits have no data and one runs away."""
    return min(0.5 * (year.discharge_rate + year.charge_rate), 1.0)


def _cycle_charges(year: Year) -> FloatArray:
    """States of charge gone through on the usual ride, lowest first, (11,)."""
    return np.linspace(year.highest_charge - year.depth, year.highest_charge, 11)


def _mean_rate(share: FloatArray, rate: FloatArray, exponent: float) -> float:
    """The one rate that a year of changing stress amounts to: k = (Σ sᵢ kᵢ^(1/p))ᵖ, exact for y = k tᵖ."""
    return float(np.dot(share, rate ** (1.0 / exponent)) ** exponent)


def _saturating_through(
    year: Year, years: float, most: FloatArray, rate: float, exponent: FloatArray
) -> float:
    """The loss after going through the year's spells, each carrying on where the last one ended."""
    passes = max(1, math.ceil(years * PASSES_PER_YEAR))
    days = DAYS_PER_YEAR * years / passes * year.share
    loss = 0.0
    for _ in range(passes):
        for spell, duration in enumerate(days):
            loss = saturating_growth(loss, float(most[spell]), rate, float(exponent[spell]), float(duration))
    return loss
