"""How a pack is put together: modules as they are, stacks with their contacts, the arrays of the loop."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.pack.supply import lane_factors
from wattwright.parts.battery_module import BatteryModule
from wattwright.parts.supply import Supply
from wattwright.units import FloatArray, Fraction, Kelvin, Ohm, Volt

IntArray: TypeAlias = npt.NDArray[np.int64]

USUAL_TEMPERATURE: Final = 298.15
"""[K] the usual temperature of a module nobody measured: 25 °C."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedModule:
    """One module as it comes to the pack: its charge, temperature, health and own lead."""

    charge: Fraction = 1.0
    temperature: Kelvin = USUAL_TEMPERATURE
    capacity_left: Fraction = 1.0
    """Of the rated capacity, by age."""
    resistance_risen: float = 1.0
    """Over the new module's, by age."""
    lead: Ohm = 0.0
    """Out and back, between the module's contacts and its place in the stack."""
    relaxation: Volt = 0.0
    """Drop its RC pair still carries."""
    is_on: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """Modules on one carrier, from the outlet inwards."""

    modules: tuple[PlacedModule, ...]
    contact: Ohm = 0.0
    """Out and back, between neighbouring places: the one nearest the outlet passes all modules' current."""
    lead: Ohm = 0.0
    """Out and back, from the outlet to where the stacks join; the first contact is counted beside it."""
    in_series: int = 1
    """Modules that make one string; neighbours belong together."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Branches:
    """A pack as a tree of contacts with strings of modules on its nodes, as the loop takes it. [SI]."""

    tables: FloatArray
    """(kinds, points, 3) rest voltage [V], series and relaxation resistance [Ω] of a new module at 25 °C."""
    time_constant: FloatArray
    """(kinds,)"""
    activation_energy: FloatArray
    """(kinds,) [J/mol]"""
    kind: IntArray
    """(modules,)"""
    first: IntArray
    """(strings + 1,) first module of each string."""
    string_node: IntArray
    """(strings,)"""
    string_resistance: FloatArray
    """(strings,) own leads. [Ω]"""
    parent: IntArray
    """(nodes,) each before its children; -1 for the pack's own end."""
    contact: FloatArray
    """(nodes,) to the parent. [Ω]"""
    start: FloatArray
    """(6, modules) capacity [C], resistance factor, charge, relaxation [V], temperature [K], on (1 or 0)."""

    @property
    def modules(self) -> int:
        """How many."""
        return int(self.start.shape[1])


def pack_of(
    supply: Supply,
    battery_module: BatteryModule,
    stacks: Sequence[Stack],
    *,
    common_lead: Ohm = 0.0,
) -> Branches:
    """Stacks of one kind of module in parallel, as the loop takes them.

    Args:
        supply: Tables of the module.
        battery_module: Its sheet: whether it may stand in series or in such number, and what the cold does.
        stacks: In any order.
        common_lead: Out and back, from where the stacks join to the drive. [Ω]

    Raises:
        InputError: If there is no module, more than the sheet permits in parallel or in series, a string is
            not whole, or a value is out of its range.

    Notes:
        Cold and age scale capacity and resistance as in `wattwright.pack.supply.lane_factors`; the capacity
        is that of the first temperature, also where the module warms later.
    """
    _check_stacks(battery_module, stacks)
    placed = [module for stack in stacks for module in stack.modules]
    parents, contacts, nodes, leads, firsts = [-1], [common_lead], [], [], [0]
    for stack in stacks:
        outlet = 0
        for position in range(0, len(stack.modules), stack.in_series):
            parents.append(outlet)
            contacts.append(stack.contact + (stack.lead if position == 0 else 0.0))
            outlet = len(parents) - 1
            nodes.append(outlet)
            leads.append(sum(module.lead for module in stack.modules[position : position + stack.in_series]))
            firsts.append(firsts[-1] + stack.in_series)
    return Branches(
        tables=_tables([supply]),
        time_constant=np.array([supply.relaxation_time]),
        activation_energy=np.array([battery_module.activation_energy]),
        kind=np.zeros(len(placed), dtype=np.int64),
        first=np.array(firsts, dtype=np.int64),
        string_node=np.array(nodes, dtype=np.int64),
        string_resistance=np.array(leads, dtype=np.float64),
        parent=np.array(parents, dtype=np.int64),
        contact=np.array(contacts, dtype=np.float64),
        start=_start(battery_module, placed),
    )


def parallel_sources(
    supplies: Sequence[Supply],
    *,
    charge: Sequence[Fraction],
    lead: Sequence[Ohm] | None = None,
    capacity_factor: Sequence[float] | None = None,
    resistance_factor: Sequence[float] | None = None,
    relaxation: Sequence[Volt] | None = None,
    temperature: Kelvin = USUAL_TEMPERATURE,
) -> Branches:
    """Sources of any kinds side by side on one bus, one supply each: two unlike cells, measured modules.

    Args:
        supplies: One for each branch; cold and age are not added.
        charge: Of each, 0 to 1.
        lead: Between each and the bus; none if not given. [Ω]
        capacity_factor: On each capacity; 1 if not given.
        resistance_factor: On both resistances of each; 1 if not given.
        relaxation: Drop across each RC pair. [V]
        temperature: Of all. [K]

    Raises:
        InputError: If there is no source or a charge is out of range.
    """
    count = len(supplies)
    if count == 0 or len(charge) != count:
        raise InputError("branches", len(charge), f"one charge for each of {count} sources, at least one")
    _check_share("charge_pct", charge)
    ones, none = np.ones(count), np.zeros(count)
    start = np.array(
        [
            [supply.capacity for supply in supplies]
            * np.asarray(ones if capacity_factor is None else capacity_factor),
            ones if resistance_factor is None else resistance_factor,
            charge,
            none if relaxation is None else relaxation,
            np.full(count, temperature),
            ones,
        ]
    )
    return Branches(
        tables=_tables(supplies),
        time_constant=np.array([supply.relaxation_time for supply in supplies]),
        activation_energy=np.zeros(count),
        kind=np.arange(count),
        first=np.arange(count + 1),
        string_node=np.zeros(count, dtype=np.int64),
        string_resistance=np.array(none if lead is None else lead, dtype=np.float64),
        parent=np.array([-1]),
        contact=np.zeros(1),
        start=np.ascontiguousarray(start, dtype=np.float64),
    )


def _tables(supplies: Sequence[Supply]) -> FloatArray:
    return np.ascontiguousarray(
        [
            np.stack([supply.open_circuit_voltage, supply.resistance, supply.relaxation_resistance], axis=-1)
            for supply in supplies
        ]
    )


def _start(battery_module: BatteryModule, placed: Sequence[PlacedModule]) -> FloatArray:
    temperature = np.array([module.temperature for module in placed])
    capacity, resistance = lane_factors(
        battery_module,
        temperature,
        capacity_left=np.array([module.capacity_left for module in placed]),
        resistance_risen=np.array([module.resistance_risen for module in placed]),
    )
    return np.array(
        [
            battery_module.capacity * capacity,
            resistance,
            [module.charge for module in placed],
            [module.relaxation for module in placed],
            temperature,
            [float(module.is_on) for module in placed],
        ]
    )


def _check_stacks(battery_module: BatteryModule, stacks: Sequence[Stack]) -> None:
    strings = 0
    for stack in stacks:
        if not 1 <= stack.in_series <= battery_module.maximum_series:
            raise InputError(
                "in_series",
                stack.in_series,
                f"from 1 to {battery_module.maximum_series}",
                f"The sheet of “{battery_module.title}” permits no more in series.",
            )
        if len(stack.modules) == 0 or len(stack.modules) % stack.in_series:
            raise InputError("modules", len(stack.modules), f"whole strings of {stack.in_series}")
        strings += len(stack.modules) // stack.in_series
        _check_share("charge_pct", [module.charge for module in stack.modules])
        for field, value in (("contact_mohm", stack.contact), ("lead_mohm", stack.lead)):
            if not value >= 0:
                raise InputError(field, 1000 * value, "0 mΩ or more")
    if not 1 <= strings <= battery_module.maximum_parallel:
        raise InputError(
            "modules",
            strings,
            f"from 1 to {battery_module.maximum_parallel} in parallel",
            f"The sheet of “{battery_module.title}” permits no more.",
        )


def _check_share(field: str, shares: Sequence[float]) -> None:
    for share in shares:
        if not 0.0 <= share <= 1.0:
            raise InputError(field, 100 * share, "from 0 to 100 %")
