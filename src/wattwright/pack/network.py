"""The pack in time: unequal modules solved together for a current or a power, and what lets go."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from wattwright.errors import InputError
from wattwright.pack.branches import Branches
from wattwright.pack.guarding import Condition, box_of, conditions_array
from wattwright.units import Ampere, FloatArray, Fraction, Joule, Metre, Second

if TYPE_CHECKING:
    from wattwright.pack.heat import Surroundings
    from wattwright.pack.network_kernel import Demand, Net

EVENT_ROOM: Final = 256
"""Events written down at most; further ones are counted."""


class Ask(Enum):
    """What is demanded of the pack along time."""

    CURRENT = "current"
    POWER = "power"


class Happening(Enum):
    """What an event is."""

    LET_GO = "let go"
    CAME_BACK = "came back"
    COLLAPSE = "voltage collapsed"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Event:
    """Something happened to a module, or to the pack."""

    happening: Happening
    time: Second
    module: int | None
    """By place, 0 first; None for the pack."""
    cause: Condition | None
    """What was broken where a module let go."""
    current_before: Ampere
    """Of that module."""
    load: Ampere
    """Of the pack just before; the power asked [W] at a collapse or a coming back under a power."""
    currents_after: FloatArray
    """(modules,) what each then carries. [A]"""
    distance: Metre | None = None
    """Along the ride, where the caller gave one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PackCourse:
    """How a pack fared. Modules stand in the second index, samples in the first."""

    time: FloatArray
    """(samples,)"""
    voltage: FloatArray
    """(samples,) at the pack's end; 0 where no module is on."""
    drawn: FloatArray
    """(samples,) of the whole pack, positive when discharging."""
    served: npt.NDArray[np.bool_]
    """(samples,) whether the load could be given; where not, nothing is."""
    current: FloatArray
    """(samples, modules)"""
    charge: FloatArray
    """(samples, modules)"""
    module_voltage: FloatArray
    """(samples, modules) at each module's own contacts."""
    temperature: FloatArray
    """(samples, modules)"""
    events: tuple[Event, ...]
    event_count: int
    """All of them, also those beyond the room for writing down."""
    charge_left: Fraction
    """Of the capacities together, at the end."""

    def energy(self) -> Joule:
        """Given at the pack's end; trapezoid. [J]."""
        return float(np.trapezoid(self.voltage * self.drawn, self.time))

    def let_go(self) -> tuple[Event, ...]:
        """Only the events in which a module let go."""
        return tuple(event for event in self.events if event.happening is Happening.LET_GO)


def pack_course(
    branches: Branches,
    time: FloatArray,
    load: FloatArray,
    *,
    ask: Ask = Ask.CURRENT,
    conditions: Sequence[Condition] = (),
    current_limit: Ampere = math.inf,
    surroundings: "Surroundings | None" = None,
    distance: FloatArray | None = None,
) -> PackCourse:
    """Voltage, currents, charges and events of a pack along a demand.

    Args:
        branches: The pack, see `wattwright.pack.branches.pack_of`.
        time: (samples,) not falling. [s]
        load: (samples,) of the whole pack, positive when discharging; straight between samples. [A] or [W]
        ask: What ``load`` is.
        conditions: What makes a module let go, see `wattwright.pack.guarding.conditions_of`; none is
            guarded if empty.
        current_limit: Of the controller; caps what is drawn, not what is charged. [A]
        surroundings: Air, cooling and sun; temperatures are held where not given.
        distance: (samples,) along a ride, to say where an event happened. [m]

    Raises:
        InputError: If arrays differ in length, are empty or not finite, or time falls.

    Notes:
        Kirchhoff's laws on a tree of contacts, each module a first-order Thevenin circuit [1]_; the end of
        each step is solved implicitly (see docs/models/network.md). A power that no current gives is a
        collapse: it is recorded, and the load lets go until it can be given again.

    References:
        .. [1] Barletta et al., Energies 15 (2022) 8411 (as cited by PyBaMM's Thevenin model).
    """
    demand = _demand(time, load, ask, current_limit, surroundings)
    net = net_of(branches, conditions, surroundings)
    from wattwright.pack.network_kernel import SUMMARY_COLUMNS, Kept, run_one  # noqa: PLC0415 -- compiler

    samples, modules = len(demand.time), branches.modules
    kept = Kept(
        np.empty((4, samples, modules)),
        np.empty((samples, 3)),
        np.zeros((EVENT_ROOM, 6)),
        np.zeros((EVENT_ROOM, modules)),
    )
    summary = np.empty(SUMMARY_COLUMNS)
    count = run_one(net, demand, np.ascontiguousarray(branches.start), kept, summary)
    return PackCourse(
        time=demand.time,
        voltage=kept.pack[:, 0],
        drawn=kept.pack[:, 1],
        served=kept.pack[:, 2] > 0,
        current=kept.modules[0],
        charge=kept.modules[1],
        module_voltage=kept.modules[2],
        temperature=kept.modules[3],
        events=_events(kept.events[:count], kept.after, conditions, demand.time, distance),
        event_count=count,
        charge_left=float(summary[2]),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ManyPacks:
    """What became of many packs; every array has shape (lanes,)."""

    lowest_voltage: FloatArray
    peak_module_current: FloatArray
    charge_left: FloatArray
    first_let_go: FloatArray
    """When the first module let go; infinite where none did. [s]"""
    first_collapse: FloatArray
    """[s]; infinite where there was none."""
    let_go: FloatArray
    """How often a module let go."""
    hottest: FloatArray
    """[K]"""


def many_packs(
    branches: Branches,
    start: FloatArray,
    time: FloatArray,
    load: FloatArray,
    *,
    scale: FloatArray | None = None,
    ask: Ask = Ask.CURRENT,
    conditions: Sequence[Condition] = (),
    current_limit: Ampere = math.inf,
    surroundings: "Surroundings | None" = None,
) -> ManyPacks:
    """The same build with other modules in it, many times over; compiled, on all cores.

    Args:
        branches: The build; its own start is not used.
        start: (lanes, 6, modules) as `Branches.start`.
        time: As in `pack_course`, shared by all lanes.
        load: As in `pack_course`.
        scale: (lanes,) factor on the load; 1 if not given.
        ask: What ``load`` is.
        conditions: As in `pack_course`.
        current_limit: As in `pack_course`.
        surroundings: As in `pack_course`.

    Raises:
        InputError: As `pack_course`, or if the shapes do not fit.
    """
    if start.ndim != 3 or start.shape[1:] != branches.start.shape:
        raise InputError("start", start.shape, f"(lanes, {branches.start.shape[0]}, {branches.modules})")
    lanes = len(start)
    demand = _demand(time, load, ask, current_limit, surroundings)
    net = net_of(branches, conditions, surroundings)
    from wattwright.pack.network_kernel import SUMMARY_COLUMNS, run_many  # noqa: PLC0415 -- compiler

    summary = np.empty((lanes, SUMMARY_COLUMNS))
    run_many(net, demand, np.ascontiguousarray(start), np.ones(lanes) if scale is None else scale, summary)
    lowest, peak, left, first_off, collapse, let_go, hottest = summary.T
    return ManyPacks(
        lowest_voltage=lowest,
        peak_module_current=peak,
        charge_left=left,
        first_let_go=first_off,
        first_collapse=collapse,
        let_go=let_go,
        hottest=hottest,
    )


def net_of(branches: Branches, conditions: Sequence[Condition], surroundings: "Surroundings | None") -> "Net":
    """The pack as the compiled loop takes it."""
    from wattwright.pack.network_kernel import Net  # noqa: PLC0415 -- compiler

    body = np.zeros((3, branches.modules))
    if surroundings is not None:
        body[0], body[1], body[2] = (
            surroundings.heat_capacity,
            surroundings.exposure,
            surroundings.absorbed,
        )
    return Net(
        branches.tables,
        np.array([branches.time_constant, branches.activation_energy]),
        branches.kind,
        branches.first,
        branches.string_node,
        branches.string_resistance,
        branches.parent,
        branches.contact,
        conditions_array(conditions),
        box_of(conditions),
        body,
    )


def _demand(
    time: FloatArray,
    load: FloatArray,
    ask: Ask,
    current_limit: Ampere,
    surroundings: "Surroundings | None",
) -> "Demand":
    from wattwright.pack.network_kernel import Demand  # noqa: PLC0415 -- compiler

    time, load = (np.ascontiguousarray(values, dtype=np.float64) for values in (time, load))
    field = "power_w" if ask is Ask.POWER else "current_a"
    if time.ndim != 1 or time.shape != load.shape or len(time) == 0:
        raise InputError(field, load.shape, f"one value for each of {time.size} times, at least one")
    if not (np.all(np.isfinite(time)) and np.all(np.isfinite(load))):
        raise InputError(field, "not finite", "finite times and loads")
    if np.any(np.diff(time) < 0):
        raise InputError("time_s", float(np.diff(time).min()), "never falling")
    if not current_limit > 0:
        raise InputError("battery_current_limit_a", current_limit, "more than 0 A")
    air, cooling = _air(surroundings, len(time))
    return Demand(time, load, ask is Ask.POWER, float(current_limit), air, cooling)


def _air(surroundings: "Surroundings | None", samples: int) -> tuple[FloatArray, FloatArray]:
    if surroundings is None:
        return np.zeros(samples), np.zeros(samples)
    air = np.ascontiguousarray(np.broadcast_to(surroundings.air, (samples,)), dtype=np.float64)
    return air, np.ascontiguousarray(np.broadcast_to(surroundings.cooling, (samples,)), dtype=np.float64)


def _events(
    rows: FloatArray,
    after: FloatArray,
    conditions: Sequence[Condition],
    time: FloatArray,
    distance: FloatArray | None,
) -> tuple[Event, ...]:
    found = []
    for row, currents in zip(rows, after, strict=False):
        moment, module, cause, before, load, _ = row.tolist()
        what = {-2: Happening.CAME_BACK, -3: Happening.COLLAPSE}.get(int(cause), Happening.LET_GO)
        found.append(
            Event(
                happening=what,
                time=moment,
                module=int(module) if module >= 0 else None,
                cause=conditions[int(cause)] if what is Happening.LET_GO else None,
                current_before=before,
                load=load,
                currents_after=currents.copy(),
                distance=None if distance is None else float(np.interp(moment, time, distance)),
            )
        )
    return tuple(found)


def highest_of_the_others(event: Event) -> Ampere:
    """Most any module carries once the event has happened. [A]."""
    return float(np.abs(event.currents_after).max())
