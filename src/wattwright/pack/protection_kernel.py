"""How modules let go and come back within the pack's loop over time, compiled.

A condition is a signal of the module, a limit, and how long it may be beyond it. What a module promises is
kept exactly: a step in which a time runs out is cut there (``soonest``), currents being straight within it.
"""

# ruff: noqa: PLR0917 -- compiled code takes its arrays by place, in long loops

import math

import numpy as np
from numba import njit

from wattwright.units import FloatArray

SHORTEST_STEP = 1e-9
"""[s] so that a protection exactly at its limit cannot hold the clock."""
NO_CURRENT = 1e-3
"""[A] below which a module neither charges nor discharges, and [A] or [W] below which a load is none."""
HYSTERESIS = 5.0
"""[K] a module must be back within its limits before it comes back; common practice, no source."""

# Rows of a lane's state.
FACTOR, CHARGE, DROP, TEMPERATURE, ON, CURRENT, VOLTAGE, AWAY, CAUSE, NEXT_CURRENT, NEXT_VOLTAGE = range(11)
STATE_ROWS = 11
# Rows of the conditions.
SIGNAL, SIGN, LIMIT, DURATION, WAY, REST = range(6)
# Signals a condition looks at: current, voltage, temperature while discharging, while charging.
OF_CURRENT, OF_VOLTAGE, OF_TEMPERATURE_OUT, OF_TEMPERATURE_IN = range(4)
# Ways back.
BY_ITSELF, AFTER_REST, BY_CHARGER, BY_TEMPERATURE, BY_LOAD = range(5)
# What stands where the cause would in an event that is no letting go.
CAME_BACK, COLLAPSE = -2.0, -3.0
# Columns of an event.
EVENT_TIME, EVENT_MODULE, EVENT_CAUSE, EVENT_BEFORE, EVENT_LOAD, EVENT_HIGHEST_AFTER = range(6)
EVENT_COLUMNS = 6
# The box within which nothing is broken: current, voltage, temperature, each lowest and highest.
LEAST_CURRENT, MOST_CURRENT, LEAST_VOLTAGE, MOST_VOLTAGE, COLDEST, HOTTEST = range(6)


@njit(cache=True, error_model="numpy")
def _is_calm(box: FloatArray, current: float, voltage: float, temperature: float) -> bool:
    return bool(
        box[LEAST_CURRENT] <= current <= box[MOST_CURRENT]
        and box[LEAST_VOLTAGE] <= voltage <= box[MOST_VOLTAGE]
        and box[COLDEST] <= temperature <= box[HOTTEST]
    )


@njit(cache=True, error_model="numpy")
def all_calm(box: FloatArray, state: FloatArray) -> bool:
    """Whether the step just solved leaves every module on and within all limits."""
    for m in range(state.shape[0]):
        if state[m, ON] == 0.0 or not _is_calm(
            box, state[m, NEXT_CURRENT], state[m, NEXT_VOLTAGE], state[m, TEMPERATURE]
        ):
            return False
    return True


@njit(cache=True, error_model="numpy")
def _excess(condition: FloatArray, c: int, current: float, voltage: float, temperature: float) -> float:
    """By how much a module is beyond a condition's limit; 0 or below within it."""
    signal, sign, limit = condition[SIGNAL, c], condition[SIGN, c], condition[LIMIT, c]
    if signal == OF_CURRENT:
        return float(sign * current - limit)
    if signal == OF_VOLTAGE:
        return float(sign * (voltage - limit))
    running = current > NO_CURRENT if signal == OF_TEMPERATURE_OUT else current < -NO_CURRENT
    return float(sign * (temperature - limit)) if running else -1.0


@njit(cache=True, error_model="numpy")
def _moment(step: float, before: float, after: float, timer: float, duration: float) -> float:
    """When within the step a condition has been broken for as long as it may; infinite if not."""
    if before > 0.0:
        end = step if after > 0.0 else step * before / (before - after)
        moment = max(duration - timer, 0.0)
        return moment if moment <= end else math.inf
    if after > 0.0:
        moment = step * -before / (after - before) + duration
        return moment if moment <= step else math.inf
    return math.inf


@njit(cache=True, error_model="numpy")
def soonest(
    condition: FloatArray, box: FloatArray, state: FloatArray, timer: FloatArray, step: float
) -> float:
    """When the first module would let go within the step just solved; infinite if none does. [s]."""
    first = math.inf
    for m in range(state.shape[0]):
        heat = state[m, TEMPERATURE]
        if state[m, ON] == 0.0 or (
            _is_calm(box, state[m, NEXT_CURRENT], state[m, NEXT_VOLTAGE], heat)
            and _is_calm(box, state[m, CURRENT], state[m, VOLTAGE], heat)
        ):
            continue
        for c in range(condition.shape[1]):
            before = _excess(condition, c, state[m, CURRENT], state[m, VOLTAGE], heat)
            after = _excess(condition, c, state[m, NEXT_CURRENT], state[m, NEXT_VOLTAGE], heat)
            if before > 0.0 or after > 0.0:
                first = min(first, _moment(step, before, after, timer[c, m], condition[DURATION, c]))
    return first


@njit(cache=True, error_model="numpy")
def run_clocks(
    condition: FloatArray, box: FloatArray, state: FloatArray, timer: FloatArray, step: float
) -> bool:
    """Let the clocks of broken conditions run over the step just solved; those no longer broken start anew.

    Returns whether any module is off or beyond a limit.
    """
    is_troubled = False
    for m in range(state.shape[0]):
        heat = state[m, TEMPERATURE]
        if state[m, ON] == 0.0 or _is_calm(box, state[m, NEXT_CURRENT], state[m, NEXT_VOLTAGE], heat):
            for c in range(condition.shape[1]):
                timer[c, m] = 0.0
            is_troubled = is_troubled or state[m, ON] == 0.0
            continue
        is_troubled = True
        for c in range(condition.shape[1]):
            before = _excess(condition, c, state[m, CURRENT], state[m, VOLTAGE], heat)
            after = _excess(condition, c, state[m, NEXT_CURRENT], state[m, NEXT_VOLTAGE], heat)
            if after <= 0.0:
                timer[c, m] = 0.0
            elif before > 0.0:
                timer[c, m] += step
            else:
                timer[c, m] = step * after / (after - before)
    return is_troubled


@njit(cache=True, error_model="numpy")
def let_go(
    condition: FloatArray,
    state: FloatArray,
    timer: FloatArray,
    begin: float,
    now: float,
    drawn: float,
    events: FloatArray,
    count: int,
) -> int:
    """Open every module whose time is over; returns the count of events with theirs.

    ``begin`` is where the present sample's step begins: of it, only what comes after ``now`` is time away.
    """
    for m in range(state.shape[0]):
        if state[m, ON] == 0.0:
            continue
        for c in range(condition.shape[1]):
            heat = state[m, TEMPERATURE]
            is_beyond = _excess(condition, c, state[m, CURRENT], state[m, VOLTAGE], heat) > 0.0
            if is_beyond and timer[c, m] >= condition[DURATION, c] - 2.0 * SHORTEST_STEP:
                if count < len(events):
                    note(events[count], now, m, float(c), state[m, CURRENT], drawn)
                count += 1
                state[m, ON], state[m, CAUSE], state[m, AWAY] = 0.0, float(c), begin - now
                break
    for m in range(state.shape[0]):
        if state[m, ON] == 0.0:
            state[m, CURRENT] = 0.0
    return count


@njit(cache=True, error_model="numpy")
def come_back(
    condition: FloatArray,
    state: FloatArray,
    now: float,
    step: float,
    load: float,
    events: FloatArray,
    count: int,
) -> int:
    """Close every module whose way back is done; returns the count of events with theirs."""
    for m in range(state.shape[0]):
        c = int(state[m, CAUSE])
        if state[m, ON] > 0.0 or c < 0:
            continue
        way = condition[WAY, c]
        is_waiting = True
        if way == AFTER_REST:
            is_waiting = abs(load) < NO_CURRENT
        elif way == BY_CHARGER:
            is_waiting = load < 0.0
        elif way == BY_LOAD:
            is_waiting = load > 0.0
        elif way == BY_TEMPERATURE:
            is_waiting = condition[SIGN, c] * (state[m, TEMPERATURE] - condition[LIMIT, c]) < -HYSTERESIS
        state[m, AWAY] = state[m, AWAY] + step if is_waiting else 0.0
        if is_waiting and state[m, AWAY] >= condition[REST, c]:
            state[m, ON], state[m, CAUSE] = 1.0, -1.0
            if count < len(events):
                note(events[count], now, m, CAME_BACK, 0.0, load)
            count += 1
    return count


@njit(cache=True, error_model="numpy")
def note(row: FloatArray, now: float, module: int, cause: float, before: float, drawn: float) -> None:
    """Write one event down."""
    row[EVENT_TIME], row[EVENT_MODULE], row[EVENT_CAUSE] = now, module, cause
    row[EVENT_BEFORE], row[EVENT_LOAD] = before, drawn


@njit(cache=True, error_model="numpy")
def note_after(state: FloatArray, events: FloatArray, after: FloatArray, first: int, count: int) -> None:
    """What every module carries once the events from ``first`` on have happened."""
    for row in range(first, min(count, len(events))):
        events[row, EVENT_HIGHEST_AFTER] = np.max(np.abs(state[:, CURRENT]))
        after[row] = state[:, CURRENT]
