"""The shelf: every module in use with its state of health, and the best of them for a job."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from wattwright.errors import InputError
from wattwright.files.open_circuit_tables import open_circuit_table
from wattwright.job.job import Job
from wattwright.pack.health import Health, health
from wattwright.pack.matching import MatchedSet, best_set
from wattwright.pack.mixing import (
    Candidate,
    Demand,
    Retiring,
    Yield,
    end_slope,
    until_first_empty,
    without_each,
)
from wattwright.pack.open_circuit import module_voltage
from wattwright.pack.protection import bearable_current
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.catalogue import Catalogue
from wattwright.parts.register import Register, Specimen
from wattwright.units import Ampere


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelved:
    """One module in use."""

    specimen: Specimen
    battery_module: BatteryModule
    health: Health

    @property
    def candidate(self) -> Candidate:
        """As it is today, by the estimates."""
        return Candidate(
            serial=self.specimen.serial,
            capacity=max(self.health.capacity_left.value, 0.01) * self.battery_module.capacity,
            resistance=max(self.health.resistance_risen.value, 0.05) * self.battery_module.resistance,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Matched:
    """The set for a job, and what it is worth."""

    demand: Demand
    found: MatchedSet
    shelved: tuple[Shelved, ...]
    """Those chosen, by serial."""
    stepped: Yield
    """The set discharged step by step at the mean current."""
    missed_least: Retiring | None
    """The one to leave out first; None for a set of one."""


def shelf(register: Register, catalogue: Catalogue, today: dt.date) -> tuple[Shelved, ...]:
    """Every module in use with its state of health today.

    Raises:
        NotInCatalogueError: If a module's kind is no longer in the catalogue.
    """
    return tuple(_shelved(register, specimen, catalogue, today) for specimen in register.in_use)


def shelved_one(register: Register, specimen: Specimen, catalogue: Catalogue, today: dt.date) -> Shelved:
    """One module with its state of health today, in use or not."""
    return _shelved(register, specimen, catalogue, today)


def _shelved(register: Register, specimen: Specimen, catalogue: Catalogue, today: dt.date) -> Shelved:
    kind = catalogue.module(specimen.module)
    found = health(kind, register.of(specimen.serial), today, specimen.first_use)
    return Shelved(specimen=specimen, battery_module=kind, health=found)


def demand_by_hand(kind: BatteryModule, current: Ampere, highest_current: Ampere) -> Demand:
    """A demand without a job.

    Raises:
        InputError: If a current is not above 0.
    """
    for name, value in (("--current-a", current), ("--highest-current-a", highest_current)):
        if not value > 0:
            raise InputError(name, value, "more than 0 A")
    open_circuit = module_voltage(open_circuit_table(kind.chemistry).voltage, kind.cells_in_series)
    return Demand(
        current=current,
        highest_current=highest_current,
        bearable_current=bearable_current(kind),
        slope=end_slope(open_circuit),
    )


def demand_of_job(job: Job, folder: Path, catalogue: Catalogue, modules: int) -> Demand:
    """What a job asks of a set of so many modules.

    Raises:
        InputError: If a value or a track cannot be used.
    """
    from wattwright.sizing.set_demand import set_demand  # noqa: PLC0415 - numpy and the engine load when needed
    from wattwright.sizing.trials import Trials  # noqa: PLC0415
    from wattwright.workflow.briefing import brief_of  # noqa: PLC0415

    brief, _ = brief_of(job, folder, catalogue)
    return set_demand(Trials(brief), modules)


def matched(shelved: Sequence[Shelved], kind: BatteryModule, count: int, demand: Demand) -> Matched:
    """The best-matched set of one kind.

    Args:
        shelved: The whole shelf.
        kind: Only modules of this kind are chosen from.
        count: How many.
        demand: What is asked of them.

    Raises:
        InputError: If there are not so many of the kind.
    """
    own = {each.specimen.serial: each for each in shelved if each.specimen.module == kind.name}
    if not 1 <= count <= len(own):
        raise InputError("--modules", count, f"from 1 to {len(own)}, the {kind.name!r} modules in use")
    found = best_set([each.candidate for each in own.values()], count, demand)
    open_circuit = module_voltage(open_circuit_table(kind.chemistry).voltage, kind.cells_in_series)
    return Matched(
        demand=demand,
        found=found,
        shelved=tuple(own[each.serial] for each in found.modules),
        stepped=until_first_empty(found.modules, open_circuit, max(demand.current, 0.01)),
        missed_least=without_each(found.modules, demand)[0] if count > 1 else None,
    )
