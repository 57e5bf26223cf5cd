"""One lets go and the others follow: what a pack does at a load, and which current limit avoids it."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.branches import Branches
from wattwright.pack.guarding import Condition
from wattwright.pack.network import Ask, PackCourse, pack_course
from wattwright.pack.sharing import shared_current
from wattwright.units import Ampere, FloatArray

if TYPE_CHECKING:
    from wattwright.pack.heat import Surroundings

LIMIT_STEP: Final[Ampere] = 0.1
"""[A] to which a limit is found; controllers are set no finer."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CurrentLimit:
    """The highest current limit of the controller at which every module holds."""

    limit: Ampere
    """On whole tenths of an ampere; 0 where not even the least limit would do."""
    was_needed: bool
    """False where nothing lets go at the limit that was asked about."""
    course: PackCourse
    """At that limit; where there is none, at the limit that was asked about."""


def holding_limit(
    branches: Branches,
    time: FloatArray,
    load: FloatArray,
    highest: Ampere,
    *,
    conditions: Sequence[Condition],
    ask: Ask = Ask.POWER,
    surroundings: "Surroundings | None" = None,
) -> CurrentLimit:
    """How far the controller's current must be lowered so that no module lets go along a ride.

    Args:
        branches: The pack.
        time: (samples,) [s]
        load: (samples,) asked. [A] or [W]
        highest: The limit as it is set, where the search begins. [A]
        conditions: What makes a module let go.
        ask: What ``load`` is.
        surroundings: As in `wattwright.pack.network.pack_course`.

    Returns:
        The limit to 0.1 A, and the course at it.

    Raises:
        InputError: As `pack_course`.

    Notes:
        Bisection between whole tenths: at the limit found nothing lets go, one tenth above something does.
        That a lower limit is never worse is assumed between; where it is not (a lower current drains the
        pack as deep but longer), the limit found holds all the same, but a higher one may hold too.
    """

    def run(tenths: int) -> PackCourse:
        return pack_course(
            branches, time, load, ask=ask, conditions=conditions, surroundings=surroundings,
            current_limit=tenths * LIMIT_STEP,
        )  # fmt: skip

    top = math.floor(highest / LIMIT_STEP + 1e-9)
    if top < 1:
        raise InputError("battery_current_limit_a", highest, f"{LIMIT_STEP} A or more")
    asked = run(top)
    if not asked.let_go():
        return CurrentLimit(limit=top * LIMIT_STEP, was_needed=False, course=asked)
    tenths, course = highest_holding(1, top, run, lambda found: not found.let_go())
    return CurrentLimit(limit=tenths * LIMIT_STEP, was_needed=True, course=course or asked)


def highest_holding(
    least: int, failing: int, run: Callable[[int], PackCourse], holds: Callable[[PackCourse], bool]
) -> tuple[int, PackCourse | None]:
    """The highest whole number below ``failing`` that holds; 0 and None where ``least`` does not."""
    best = run(least)
    if not holds(best):
        return 0, None
    low, high = least, failing
    while high - low > 1:
        middle = (low + high) // 2
        tried = run(middle)
        if holds(tried):
            low, best = middle, tried
        else:
            high = middle
    return low, best


def cascade_safe_count(
    peak_current: Ampere,
    duration: float,
    bearable: Callable[[float], Ampere],
    *,
    spread: float = 0.0,
) -> int:
    """Fewest modules of which one may let go while the rest still carry the peak.

    Args:
        peak_current: Of the whole pack. [A]
        duration: How long it lasts. [s]
        bearable: What one module bears for a time, as `wattwright.pack.protection.bearable_current`.
        spread: By which share the most loaded of unequal modules carries more than the mean, see
            `uneven_share`.

    Raises:
        InputError: If the current is negative, the spread is, or a module bears nothing.

    Notes:
        (n − 1) I_bearable ≥ I (1 + spread): one of n that is off lifts the others by n/(n − 1). Common
        practice, no source.

    Examples:
        Three modules of 10 A on 30 A do not survive the loss of one; four do.

        >>> cascade_safe_count(30.0, 3600.0, lambda _: 10.0)
        4
    """
    if peak_current < 0:
        raise InputError("current_a", peak_current, "0 A or more")
    if spread < 0:
        raise InputError("spread_pct", 100 * spread, "0 % or more")
    each = bearable(duration)
    if not each > 0:
        raise InputError("bearable_a", each, "more than 0 A")
    return max(2, 1 + math.ceil(peak_current * (1.0 + spread) / each - 1e-9))


def uneven_share(rest_voltage: FloatArray, resistance: FloatArray, load: Ampere) -> float:
    """By which share of the mean the most loaded of unequal branches carries more than it. [-].

    Args:
        rest_voltage: (branches,) [V]
        resistance: (branches,) leads included. [Ω]
        load: Of the pack, above 0. [A]

    Raises:
        InputError: As `wattwright.pack.sharing.shared_current`, or if the load is not above 0.

    Examples:
        >>> round(uneven_share(np.array([37.5, 37.0]), np.array([0.16, 0.24]), 20.0), 4)
        0.325
    """
    if not load > 0:
        raise InputError("current_a", load, "more than 0 A")
    _, currents = shared_current(rest_voltage, resistance, load)
    return float(currents.max() * len(currents) / load - 1.0)


def without(branches: Branches, module: int) -> Branches:
    """The same pack with one module off from the beginning.

    Raises:
        InputError: If there is no such module.
    """
    if not 0 <= module < branches.modules:
        raise InputError("module", module, f"from 0 to {branches.modules - 1}")
    start = branches.start.copy()
    start[5, module] = 0.0
    return replace(branches, start=start)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MixedYield:
    """What a mixed set gives, against what its modules give each by itself."""

    together: float
    """Charge given until the first module is at its lowest voltage under the load. [C]"""
    apart: float
    """Sum of what each gives alone at an equal share of the load. [C]"""

    @property
    def share(self) -> float:
        """Together over apart."""
        return self.together / self.apart


def mixed_yield(
    branches: Branches, current: Ampere, minimum_voltage: float, *, step: float = 10.0
) -> MixedYield:
    """Charge a pack of unequal modules gives at a steady current, down to a voltage at its end.

    Args:
        branches: The pack, as it is charged. Modules off are left off.
        current: Of the whole pack, above 0. [A]
        minimum_voltage: At the pack's end, where the drive or the modules let go. [V]
        step: Of the reckoning. [s]

    Raises:
        InputError: If the current or the step is not above 0.

    Notes:
        In parallel the set gives all down to one voltage; apart, each is emptied at its own share of the
        current (current over count). Together a weak module is spared by the stronger ones, so the ratio lies
        near 1; it falls where one module cannot follow (high resistance) or stands in a long string.
    """
    if not current > 0:
        raise InputError("current_a", current, "more than 0 A")
    if not step > 0:
        raise InputError("step_s", step, "more than 0 s")
    count = branches.modules
    together = _given(branches, current, minimum_voltage, step)
    apart = sum(
        _given(_alone(branches, module), current / count, minimum_voltage, step) for module in range(count)
    )
    return MixedYield(together=together, apart=apart)


def _alone(branches: Branches, module: int) -> Branches:
    start = branches.start.copy()
    start[5] = 0.0
    start[5, module] = branches.start[5, module]
    return replace(branches, start=start)


def _given(branches: Branches, current: Ampere, minimum_voltage: float, step: float) -> float:
    start = branches.start
    on = start[5] > 0
    if not on.any():
        return 0.0
    length = 1.2 * float((start[0] * on).sum()) / current
    time = np.arange(0.0, length + step, step)
    course = pack_course(branches, time, np.full(len(time), current))
    below = np.flatnonzero(course.voltage < minimum_voltage)
    if len(below) == 0:
        return float(current * time[-1])
    at = int(below[0])
    if at == 0:
        return 0.0
    before, after = course.voltage[at - 1], course.voltage[at]
    return float(current * (time[at - 1] + step * (before - minimum_voltage) / (before - after)))
