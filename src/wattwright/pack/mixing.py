"""Unequal modules in parallel: what a set of them carries and gives before the first trips or is empty."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.open_circuit import voltage_at
from wattwright.pack.sharing import shared_current
from wattwright.units import Ampere, Coulomb, FloatArray, Fraction, Ohm, Volt

LAST_FIFTH: Fraction = 0.2
"""Of the charge: where it is decided who is empty first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One module as it is today."""

    serial: str
    capacity: Coulomb
    resistance: Ohm
    """At 25 °C."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """What a job asks of the set."""

    current: Ampere
    """Drawn on the average while riding, from the whole set."""
    highest_current: Ampere
    """What the drive's limit asks of the whole set."""
    bearable_current: Ampere
    """What one module gives for good without letting go."""
    slope: Volt
    """How steeply a module's rest voltage falls near empty, over the whole charge."""


def end_slope(open_circuit: FloatArray) -> Volt:
    """Fall of a module's rest voltage over the last fifth of its charge, as over a whole charge.

    Args:
        open_circuit: (points,) of the module, charge 0 first. [V]

    Examples:
        >>> round(end_slope(np.array([30.0, 36.0, 42.0])), 6)
        12.0
    """
    ends = voltage_at(np.array([0.0, LAST_FIFTH]), open_circuit)
    return float(ends[1] - ends[0]) / LAST_FIFTH


def carried(modules: Sequence[Candidate], bearable_current: Ampere) -> Ampere:
    """The current a set carries until its first module is asked for more than it bears.

    Notes:
        Before the charges have drifted apart the current divides as 1/R, so the least resistance carries
        most: I = I_bearable · (Σ 1/R)/(max 1/R). n equal modules carry n times one's.

    Examples:
        >>> values = {"a": 0.1, "b": 0.2}
        >>> pair = [Candidate(serial=name, capacity=7200.0, resistance=ohm) for name, ohm in values.items()]
        >>> round(carried(pair, 10.0), 6)
        15.0
    """
    conductance = np.array([1.0 / each.resistance for each in modules])
    return float(bearable_current * conductance.sum() / conductance.max())


def usable_charge(modules: Sequence[Candidate], demand: Demand) -> Coulomb:
    """Charge a set gives at a steady current until its first module is empty.

    Args:
        modules: All charged full together.
        demand: Its current and the slope of the rest voltage count here.

    Notes:
        In parallel all terminals share one voltage. Once the start has died away all modules' charges fall
        alike, so that each gives current as its capacity, Iⱼ = Cⱼ I/W with W = Σ C, and
        U(zⱼ) = V + Rⱼ Iⱼ: a module of larger Rⱼ Cⱼ stands higher by (I/W) (Rⱼ Cⱼ − min R C)/U'. When the
        one of least R C is empty that much is left in the others:

            usable = W − (I/U') Σ Cⱼ (Rⱼ Cⱼ − min R C) / W

        Equal products R C lose nothing, however unequal the capacities. How near this comes to a
        step-by-step discharge: docs/models/matching.md.
    """
    capacity = np.array([each.capacity for each in modules])
    lag = np.array([each.resistance * each.capacity for each in modules])
    whole = float(capacity.sum())
    left = demand.current / demand.slope * float(np.dot(capacity, lag - lag.min())) / whole
    return max(whole - left, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Yield:
    """What a mixed set really gave in a step-by-step discharge."""

    given: Coulomb
    """Until its first module was empty."""
    whole: Coulomb
    """Sum of the capacities."""
    first_empty: str
    """Serial."""
    highest_share: Fraction
    """Largest part of the current that one module carried, over an even share."""
    busiest: str
    """Serial of the module that carried it."""

    @property
    def share(self) -> Fraction:
        """Given over the sum."""
        return self.given / self.whole


def until_first_empty(
    modules: Sequence[Candidate], open_circuit: FloatArray, current: Ampere, *, steps: int = 2000
) -> Yield:
    """Discharge a set from full at a steady current until its first module is empty.

    Args:
        modules: All full at the start.
        open_circuit: (points,) rest voltage of one module, charge 0 first. [V]
        current: From the whole set, above 0. [A]
        steps: In which the sum of the capacities would be drawn.

    Raises:
        InputError: If there is no module, or the current is not above 0.

    Notes:
        At each step the branches share by Kirchhoff's laws (sharing.py); resistances do not vary with
        charge, and the RC pair is left out.
    """
    if not modules:
        raise InputError("modules", 0, "at least one")
    if not current > 0:
        raise InputError("current_a", current, "more than 0 A")
    capacity = np.array([each.capacity for each in modules])
    resistance = np.array([each.resistance for each in modules])
    charge, step = np.ones(len(modules)), float(capacity.sum()) / steps
    given, busiest, highest = 0.0, 0, 0.0
    while True:
        _, shares = shared_current(voltage_at(charge, open_circuit), resistance, current)
        if shares.max() > highest:
            busiest, highest = int(shares.argmax()), float(shares.max())
        drawn = shares / current * step / capacity
        left = float(np.min(np.where(drawn > 0, charge / np.where(drawn > 0, drawn, 1.0), np.inf)))
        if left <= 1.0:
            given += left * step
            break
        charge = np.minimum(charge - drawn, 1.0)
        given += step
    first = int(np.argmin(charge - left * drawn))
    return Yield(
        given=given,
        whole=float(capacity.sum()),
        first_empty=modules[first].serial,
        highest_share=highest * len(modules) / current,
        busiest=modules[busiest].serial,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Retiring:
    """What a set would be without one of its modules."""

    serial: str
    usable: Coulomb
    """Of the others."""
    carried: Ampere
    """By the others."""


def without_each(modules: Sequence[Candidate], demand: Demand) -> tuple[Retiring, ...]:
    """The set without each of its modules in turn, the one that is missed least first.

    Raises:
        InputError: If there are fewer than two modules.

    Notes:
        Least missed: the others still carry the demanded current, then give the most charge.
    """
    if len(modules) < 2:
        raise InputError("modules", len(modules), "at least two to retire one of")
    found = []
    for out in modules:
        others = [each for each in modules if each.serial != out.serial]
        found.append(
            Retiring(
                serial=out.serial,
                usable=usable_charge(others, demand),
                carried=carried(others, demand.bearable_current),
            )
        )
    return tuple(
        sorted(found, key=lambda each: (each.carried < demand.highest_current, -each.usable, each.serial))
    )
