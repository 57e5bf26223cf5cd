"""The pack's loop over time, compiled; what it computes is derived in docs/models/network.md.

Strings of modules hang on the nodes of a tree of contacts and leads. Node 0 is the pack's own end; each node
comes after its parent, so one pass from the last node to the first reduces the tree to one source behind one
resistance, and one pass back gives every current. How modules let go and come back stands in
``protection_kernel.py``.

Few wide arrays with named rows instead of many narrow ones: compiled calls pay for every array they pass.
"""

# ruff: noqa: C901, PLR0912, PLR0915, PLR0917 -- compiled code takes its arrays by place, in long loops

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from numba import njit, prange

from wattwright.pack import protection_kernel as guard
from wattwright.pack.protection_kernel import (
    CAUSE,
    CHARGE,
    CURRENT,
    DROP,
    FACTOR,
    NEXT_CURRENT,
    NEXT_VOLTAGE,
    NO_CURRENT,
    ON,
    SHORTEST_STEP,
    STATE_ROWS,
    TEMPERATURE,
    VOLTAGE,
)
from wattwright.units import GAS_CONSTANT, Ampere, FloatArray

IntArray = npt.NDArray[np.int64]

PASSES = 4
"""At most, to make tables and currents agree within a step; one does unless the load jumps."""
CHARGE_AGREES = 1e-4
"""Between charge guessed and found, where they lie in one row of the table nothing is lost at all."""

# Rows of a lane's state besides those the protection needs.
HALF_PER_CHARGE, LOSS, NEXT_CHARGE, NEXT_DROP, SOURCE, INNER, FAST = range(STATE_ROWS, STATE_ROWS + 7)
ALL_ROWS = STATE_ROWS + 7
GIVEN_ROWS = 6
"""Of a start: capacity, resistance factor, charge, relaxation, temperature, on."""

# Columns of the tables: rest voltage, series resistance, relaxation resistance.
REST, SERIES, RELAXATION = 0, 1, 2
# Rows of ``Net.family`` and ``Net.body``; columns of the strings' and the nodes' scratch paper.
TIME_CONSTANT, ACTIVATION = 0, 1
HEAT_CAPACITY, EXPOSURE, ABSORBED = 0, 1, 2
STRING_SOURCE, STRING_CONDUCTANCE = 0, 1
NODE_CURRENT, NODE_CONDUCTANCE, NODE_VOLTAGE, DAMPED = 0, 1, 2, 3
KEPT, LAG = 0, 1

# Columns of a lane's summary.
LOWEST_VOLTAGE, PEAK_CURRENT, END_CHARGE, FIRST_OFF, FIRST_COLLAPSE, LET_GO, HOTTEST = range(7)
SUMMARY_COLUMNS = 7


class Net(NamedTuple):
    """What does not change along a run. [SI]."""

    tables: FloatArray
    """(kinds, points, 3) rest voltage, series and relaxation resistance of a module."""
    family: FloatArray
    """(2, kinds) time constant, activation energy."""
    kind: IntArray
    """(modules,)"""
    first: IntArray
    """(strings + 1,) first module of each string; those of a string stand together."""
    string_node: IntArray
    """(strings,)"""
    string_resistance: FloatArray
    """(strings,) leads of its own."""
    parent: IntArray
    """(nodes,) each before its children; -1 for node 0."""
    contact: FloatArray
    """(nodes,) to the parent; node 0's to the pack's end; 0 or more."""
    condition: FloatArray
    """(6, conditions), see ``protection_kernel``."""
    box: FloatArray
    """(6,) within which no condition of any kind is broken."""
    body: FloatArray
    """(3, modules) heat capacity (0 holds the temperatures), share of the cooling, sun absorbed."""


class Demand(NamedTuple):
    """What is asked of the pack along time, and the air around it."""

    time: FloatArray
    """(samples,)"""
    load: FloatArray
    """(samples,) [A] or [W]"""
    is_power: bool
    current_limit: Ampere
    air: FloatArray
    """(samples,) [K]"""
    cooling: FloatArray
    """(samples,) of one fully exposed module. [W/K]"""


class Kept(NamedTuple):
    """What is written down along the run; arrays without rows where nothing is."""

    modules: FloatArray
    """(4, samples, modules) current, charge, voltage, temperature."""
    pack: FloatArray
    """(samples, 3) voltage at the pack's end, its current, and 1 where it could give the load."""
    events: FloatArray
    """(room, EVENT_COLUMNS)"""
    after: FloatArray
    """(room, modules) currents after each event."""


@njit(cache=True, error_model="numpy")
def _set_pace(family: FloatArray, pace: FloatArray, step: float) -> None:
    """What a step leaves of each kind's relaxation, and (1 - kept) τ/Δt."""
    for kind in range(pace.shape[0]):
        share = step / family[TIME_CONSTANT, kind]
        kept = math.exp(-share)
        pace[kind, KEPT] = kept
        pace[kind, LAG] = (1.0 - kept) / share if share > 0.0 else 1.0


@njit(cache=True, error_model="numpy")
def _gather(
    tables: FloatArray,
    kinds: IntArray,
    first: IntArray,
    string_node: IntArray,
    string_resistance: FloatArray,
    pace: FloatArray,
    state: FloatArray,
    strings: FloatArray,
    nodes: FloatArray,
    step: float,
) -> None:
    """Each module at the end of the step as a source behind a resistance, added up to strings and nodes."""
    last = tables.shape[1] - 1
    for node in range(nodes.shape[0]):
        nodes[node, NODE_CURRENT] = 0.0
        nodes[node, NODE_CONDUCTANCE] = 0.0
    for s in range(strings.shape[0]):
        total, resistance, is_live = 0.0, string_resistance[s], True
        for m in range(first[s], first[s + 1]):
            kind = kinds[m]
            per_ampere = step * state[m, HALF_PER_CHARGE]
            guess, before, factor = state[m, NEXT_CURRENT], state[m, CURRENT], state[m, FACTOR]
            z = state[m, CHARGE] - per_ampere * (before + guess)
            at = min(max(z, 0.0), 1.0) * last
            row = min(int(at), last - 1)
            part = at - row
            change = tables[kind, row + 1, REST] - tables[kind, row, REST]
            stiffness = change * last * per_ampere if 0.0 <= z <= 1.0 else 0.0
            r0 = tables[kind, row, SERIES]
            r0 = (r0 + part * (tables[kind, row + 1, SERIES] - r0)) * factor
            r1 = tables[kind, row, RELAXATION]
            r1 = (r1 + part * (tables[kind, row + 1, RELAXATION] - r1)) * factor
            kept, lag = pace[kind, KEPT], pace[kind, LAG]
            fixed = kept * state[m, DROP] + r1 * before * (lag - kept)
            fast = r1 * (1.0 - lag)
            source = tables[kind, row, REST] + part * change + stiffness * guess - fixed
            inner = r0 + fast + stiffness
            state[m, SOURCE], state[m, INNER] = source, inner
            state[m, NEXT_DROP], state[m, FAST] = fixed, fast
            total += source
            resistance += inner
            if state[m, ON] == 0.0:
                is_live = False
        conductance = 1.0 / resistance if is_live else 0.0
        strings[s, STRING_SOURCE], strings[s, STRING_CONDUCTANCE] = total, conductance
        nodes[string_node[s], NODE_CONDUCTANCE] += conductance
        nodes[string_node[s], NODE_CURRENT] += total * conductance


@njit(cache=True, error_model="numpy")
def _reduce(parent: IntArray, contact: FloatArray, nodes: FloatArray) -> None:
    """Norton equivalents of the tree, each seen from below its node's contact; node 0 then is the pack."""
    for back in range(nodes.shape[0] - 1):
        node = nodes.shape[0] - 1 - back
        damped = 1.0 / (1.0 + contact[node] * nodes[node, NODE_CONDUCTANCE])
        nodes[node, DAMPED] = damped
        nodes[parent[node], NODE_CONDUCTANCE] += nodes[node, NODE_CONDUCTANCE] * damped
        nodes[parent[node], NODE_CURRENT] += nodes[node, NODE_CURRENT] * damped


@njit(cache=True, error_model="numpy")
def _shared(
    first: IntArray,
    string_node: IntArray,
    parent: IntArray,
    contact: FloatArray,
    state: FloatArray,
    strings: FloatArray,
    nodes: FloatArray,
    step: float,
) -> float:
    """Currents of all modules from node 0's voltage; returns by how much a guessed charge was wrong."""
    for node in range(1, nodes.shape[0]):
        above = nodes[parent[node], NODE_VOLTAGE]
        own = above + contact[node] * nodes[node, NODE_CURRENT]
        nodes[node, NODE_VOLTAGE] = own * nodes[node, DAMPED]
    worst = 0.0
    for s in range(strings.shape[0]):
        drive = strings[s, STRING_SOURCE] - nodes[string_node[s], NODE_VOLTAGE]
        found = drive * strings[s, STRING_CONDUCTANCE]
        for m in range(first[s], first[s + 1]):
            wrong = abs(found - state[m, NEXT_CURRENT]) * step * state[m, HALF_PER_CHARGE]
            worst = max(worst, wrong)
            state[m, NEXT_CURRENT] = found
    return worst


@njit(cache=True, error_model="numpy")
def _drawn(
    source: float,
    resistance: float,
    load: float,
    is_power: bool,  # noqa: FBT001 -- compiled code takes its arguments by place
    highest: float,
) -> tuple[float, bool]:
    """Current for the load, and whether the source can give it; a drive that cannot be fed lets go: 0 A."""
    current = load
    if is_power:
        under = source * source - 4.0 * resistance * load
        if under < 0.0:
            if highest == math.inf or source - resistance * highest <= 0.0:
                return 0.0, False
            return highest, True
        current = 2.0 * load / (source + math.sqrt(under))
    current = min(current, highest)
    if source - resistance * current <= 0.0:
        return 0.0, False
    return current, True


@njit(cache=True, error_model="numpy")
def _solved(
    tables: FloatArray,
    kinds: IntArray,
    first: IntArray,
    string_node: IntArray,
    string_resistance: FloatArray,
    parent: IntArray,
    contact: FloatArray,
    is_power: bool,  # noqa: FBT001 -- as above
    highest: float,
    state: FloatArray,
    strings: FloatArray,
    nodes: FloatArray,
    pace: FloatArray,
    step: float,
    load: float,
) -> tuple[float, float, bool]:
    """Solve one step into the ``NEXT_`` columns: the pack's voltage, its current, and whether it could."""
    terminal, drawn, able = 0.0, 0.0, True
    for m in range(state.shape[0]):
        state[m, NEXT_CURRENT] = state[m, CURRENT]
    for _ in range(PASSES):
        _gather(
            tables, kinds, first, string_node, string_resistance, pace, state, strings, nodes, step,
        )  # fmt: skip
        _reduce(parent, contact, nodes)
        conductance = nodes[0, NODE_CONDUCTANCE]
        if conductance > 0.0:
            behind = 1.0 / conductance
            source = nodes[0, NODE_CURRENT] * behind
            behind += contact[0]
            drawn, able = _drawn(source, behind, load, is_power, highest)
            terminal = source - behind * drawn
        else:
            drawn, able, terminal = 0.0, abs(load) < NO_CURRENT, 0.0
        nodes[0, NODE_VOLTAGE] = terminal + contact[0] * drawn
        worst = _shared(first, string_node, parent, contact, state, strings, nodes, step)
        if worst < CHARGE_AGREES:
            break
    for m in range(state.shape[0]):
        current = state[m, NEXT_CURRENT]
        used = step * state[m, HALF_PER_CHARGE] * (state[m, CURRENT] + current)
        state[m, NEXT_CHARGE] = state[m, CHARGE] - used
        state[m, NEXT_DROP] += state[m, FAST] * current
        state[m, NEXT_VOLTAGE] = state[m, SOURCE] - state[m, INNER] * current
    return terminal, drawn, able


@njit(cache=True, error_model="numpy")
def _warm(
    tables: FloatArray,
    kinds: IntArray,
    family: FloatArray,
    body: FloatArray,
    state: FloatArray,
    air: float,
    cooling: float,
    step: float,
) -> None:
    """Temperatures and resistances after the step just solved; loss as I² R₀ + v₁²/R₁."""
    last = tables.shape[1] - 1
    for m in range(len(kinds)):
        kind = kinds[m]
        row = int(min(max(state[m, NEXT_CHARGE], 0.0), 1.0) * last + 0.5)
        r0 = tables[kind, row, SERIES] * state[m, FACTOR]
        r1 = tables[kind, row, RELAXATION] * state[m, FACTOR]
        lost = state[m, NEXT_CURRENT] ** 2 * r0
        if r1 > 0.0:
            lost += state[m, NEXT_DROP] ** 2 / r1
        given = 0.5 * (state[m, LOSS] + lost) + body[ABSORBED, m]
        state[m, LOSS] = lost
        before = state[m, TEMPERATURE]
        away = cooling * body[EXPOSURE, m]
        if away > 0.0:
            goal = air + given / away
            now = goal + (before - goal) * math.exp(-step * away / body[HEAT_CAPACITY, m])
        else:
            now = before + step * given / body[HEAT_CAPACITY, m]
        state[m, TEMPERATURE] = now
        state[m, FACTOR] *= math.exp(family[ACTIVATION, kind] / GAS_CONSTANT * (1.0 / now - 1.0 / before))


@njit(cache=True, error_model="numpy")
def _accept(state: FloatArray) -> None:
    """Make the step just solved the present."""
    for m in range(state.shape[0]):
        state[m, CURRENT] = state[m, NEXT_CURRENT]
        state[m, CHARGE] = state[m, NEXT_CHARGE]
        state[m, DROP] = state[m, NEXT_DROP]
        state[m, VOLTAGE] = state[m, NEXT_VOLTAGE]


@njit(cache=True, error_model="numpy")
def _sum_up(state: FloatArray, terminal: float, summary: FloatArray) -> None:
    if terminal > 0.0:
        summary[LOWEST_VOLTAGE] = min(summary[LOWEST_VOLTAGE], terminal)
    for m in range(state.shape[0]):
        summary[PEAK_CURRENT] = max(summary[PEAK_CURRENT], abs(state[m, CURRENT]))
        summary[HOTTEST] = max(summary[HOTTEST], state[m, TEMPERATURE])


@njit(cache=True, error_model="numpy")
def _ran(net: Net, demand: Demand, start: FloatArray, scale: float, kept: Kept, summary: FloatArray) -> int:
    """Run one lane; returns how many events there were (more than ``kept`` has room for are counted only).

    ``start`` is (6, modules): capacity, resistance factor, charge, relaxation, temperature, on.
    """
    # Taken out of their tuples once: inside the loop that would cost more than the arithmetic.
    tables, kinds, first, string_node = net.tables, net.kind, net.first, net.string_node
    string_resistance, parent, contact, family = net.string_resistance, net.parent, net.contact, net.family
    condition, box, body = net.condition, net.box, net.body
    time, asked, air, cooling = demand.time, demand.load, demand.air, demand.cooling
    is_power, highest = demand.is_power, demand.current_limit
    written, pack, events, after = kept.modules, kept.pack, kept.events, kept.after
    modules, conditions = len(kinds), condition.shape[1]
    state = np.zeros((modules, ALL_ROWS))
    strings = np.zeros((len(string_node), 2))
    nodes = np.zeros((len(parent), 4))
    pace = np.ones((family.shape[1], 2))
    timer = np.zeros((conditions, modules))
    for m in range(modules):
        state[m, HALF_PER_CHARGE] = 0.5 / start[0, m]
        state[m, FACTOR], state[m, CHARGE], state[m, DROP] = start[1, m], start[2, m], start[3, m]
        state[m, TEMPERATURE], state[m, ON], state[m, CAUSE] = start[4, m], start[5, m], -1.0
    summary[:] = 0.0
    summary[LOWEST_VOLTAGE] = summary[FIRST_OFF] = summary[FIRST_COLLAPSE] = math.inf
    is_warm = body[HEAT_CAPACITY, 0] > 0.0
    terminal, drawn, able, was_able = 0.0, 0.0, True, True
    count, known_step, is_calm, is_troubled = 0, -1.0, False, True
    for k in range(len(time)):
        begin, end = time[max(k - 1, 0)], time[k]
        load_first, load_last = asked[max(k - 1, 0)] * scale, asked[k] * scale
        now, is_begun = begin, k > 0
        while not is_begun or now < end:
            is_begun = True
            step, load, is_cut = end - now, load_last, False
            while True:
                if step != known_step:
                    _set_pace(family, pace, step)
                    known_step = step
                terminal, drawn, able = _solved(
                    tables, kinds, first, string_node, string_resistance, parent, contact, is_power,
                    highest, state, strings, nodes, pace, step, load,
                )  # fmt: skip
                is_calm = not is_troubled and guard.all_calm(box, state)
                if is_cut or is_calm:
                    break
                soonest = guard.soonest(condition, box, state, timer, step)
                if soonest >= step - SHORTEST_STEP:
                    break
                step, is_cut = max(soonest, SHORTEST_STEP), True
                load = load_first + (load_last - load_first) * (now + step - begin) / (end - begin)
            if not is_calm:
                is_troubled = guard.run_clocks(condition, box, state, timer, step)
            if is_warm:
                _warm(tables, kinds, family, body, state, air[k], cooling[k], step)
            _accept(state)
            now = now + step if is_cut else end
            held = count
            if not is_calm:
                count = guard.let_go(condition, state, timer, begin, now, drawn, events, count)
            if count > held:
                summary[LET_GO] += count - held
                summary[FIRST_OFF] = min(summary[FIRST_OFF], now)
                _set_pace(family, pace, 0.0)
                known_step = 0.0
                terminal, drawn, able = _solved(
                    tables, kinds, first, string_node, string_resistance, parent, contact, is_power,
                    highest, state, strings, nodes, pace, 0.0, load,
                )  # fmt: skip
                _accept(state)
                is_troubled = True
                guard.note_after(state, events, after, held, count)
        held = count
        if is_troubled:
            count = guard.come_back(condition, state, end, end - begin, load_last, events, count)
        if count > held:
            _set_pace(family, pace, 0.0)
            known_step = 0.0
            terminal, drawn, able = _solved(
                tables, kinds, first, string_node, string_resistance, parent, contact, is_power, highest,
                state, strings, nodes, pace, 0.0, load_last,
            )  # fmt: skip
            _accept(state)
        if not able and was_able:
            if count < len(events):
                guard.note(events[count], end, -1, guard.COLLAPSE, 0.0, load_last)
            count += 1
            summary[FIRST_COLLAPSE] = min(summary[FIRST_COLLAPSE], end)
        was_able = able
        if count > held:
            guard.note_after(state, events, after, held, count)
        _sum_up(state, terminal, summary)
        if len(pack) > 0:
            pack[k, 0], pack[k, 1], pack[k, 2] = terminal, drawn, 1.0 if able else 0.0
            for m in range(modules):
                written[0, k, m], written[1, k, m] = state[m, CURRENT], state[m, CHARGE]
                written[2, k, m], written[3, k, m] = state[m, VOLTAGE], state[m, TEMPERATURE]
    summary[END_CHARGE] = np.sum(state[:, CHARGE] * start[0]) / np.sum(start[0])
    return count


@njit(cache=True)
def run_one(net: Net, demand: Demand, start: FloatArray, kept: Kept, summary: FloatArray) -> int:
    """One pack with everything kept; returns how many events there were."""
    return _ran(net, demand, start, 1.0, kept, summary)


@njit(cache=True, parallel=True)
def run_many(net: Net, demand: Demand, start: FloatArray, scale: FloatArray, summary: FloatArray) -> None:
    """Many packs of one build; ``start`` and ``summary`` have the lanes first. Only summaries are kept."""
    for lane in prange(start.shape[0]):
        none = np.empty((0, start.shape[2]))
        nothing = Kept(
            np.empty((4, 0, start.shape[2])), np.empty((0, 3)), np.empty((0, guard.EVENT_COLUMNS)), none
        )
        _ran(net, demand, start[lane], scale[lane], nothing, summary[lane])
