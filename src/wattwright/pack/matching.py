"""The best-matched k of n modules for a job, found exactly: branch and bound, with its proof."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from wattwright.errors import InputError
from wattwright.pack.mixing import Candidate, Demand, carried, usable_charge
from wattwright.units import Ampere, Coulomb, FloatArray

HAIR = 1e-9
"""A gain smaller than this share is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchedSet:
    """The set no other beats."""

    modules: tuple[Candidate, ...]
    """By serial."""
    usable: Coulomb
    """Charge given at the demanded current until the first is empty."""
    carried: Ampere
    """Until the first is asked for more than it bears."""
    carries_demand: bool
    """Whether that is the demanded highest current; if no set does, this is the one that carries most."""
    looked_at: int
    """Branches of the search; every other set was excluded by its bound."""


def best_set(candidates: Sequence[Candidate], count: int, demand: Demand) -> MatchedSet:
    """The set of ``count`` modules that gives most charge among those that carry the demanded current.

    Args:
        candidates: Modules of one kind, each serial once, any order.
        count: How many of them, 1 or more.
        demand: Of the job.

    Returns:
        The set that gives most charge until its first module is empty (`mixing.usable_charge`) among all sets
        that carry ``highest_current`` without asking more of any module than it bears (`mixing.carried`).
        Where no set carries it, the set that carries most.

    Raises:
        InputError: If there are fewer candidates than asked for, a serial stands twice, or a value is not
            above 0.

    Notes:
        Proof. Let m be the set's member of least x = RC, and W ≤ W_max the sum of its capacities, W_max
        taking the k − 1 largest of those with x ≥ x_m. Then with c = I/U'

            usable = W − c Σ Cⱼ(xⱼ − x_m)/W ≤ Σ vⱼ,   vⱼ = Cⱼ [1 − c (xⱼ − x_m)/W_max],

        and a sum of k values is at most that of the k largest. The current asks Σ g ≥ ρ g_p, g = 1/R, p the
        member of largest g, ρ the demanded over the bearable current; for any λ ≥ 0 so Σ vⱼ ≤ Σ (vⱼ + λ gⱼ)
        − λ ρ g_p. Pairs (m, p) are gone through by falling bound, and within a pair branches by falling
        vⱼ + λ gⱼ; a branch whose bound does not exceed the best set found cannot hold a better one.

        Where nothing carries the current: for a given p, Σ g is largest with the next k − 1 smaller ones, so
        the best is a window of the modules sorted by resistance, and all n − k + 1 windows are tried.
    """
    ordered = _checked(candidates, count, demand)
    search = _Search(modules=ordered, count=count, demand=demand)
    for window in _windows(ordered, count):
        search.offer(window)
    if search.best is None:
        most = max(_windows(ordered, count), key=lambda few: carried(few, demand.bearable_current))
        return _answer(most, demand, 0)
    for lowest in search.by_falling_bound():
        search.through(lowest)
    return _answer(search.best, demand, search.looked_at)


def _answer(modules: Sequence[Candidate], demand: Demand, looked_at: int) -> MatchedSet:
    current = carried(modules, demand.bearable_current)
    return MatchedSet(
        modules=tuple(sorted(modules, key=lambda each: each.serial)),
        usable=usable_charge(modules, demand),
        carried=current,
        carries_demand=current >= demand.highest_current * (1 - HAIR),
        looked_at=looked_at,
    )


def _checked(candidates: Sequence[Candidate], count: int, demand: Demand) -> list[Candidate]:
    """The candidates by rising RC, checked."""
    if not 1 <= count <= len(candidates):
        raise InputError("count", count, f"from 1 to {len(candidates)}, the modules there are to choose from")
    if len({each.serial for each in candidates}) < len(candidates):
        raise InputError("serial", "twice", "one of a kind")
    for each in candidates:
        if not (each.capacity > 0 and each.resistance > 0):
            raise InputError(each.serial, (each.capacity, each.resistance), "capacity and resistance above 0")
    if not (demand.slope > 0 and demand.bearable_current > 0 and demand.current >= 0):
        raise InputError("demand", demand, "currents and slope above 0")
    return sorted(candidates, key=lambda each: (each.resistance * each.capacity, each.serial))


def _windows(modules: Sequence[Candidate], count: int) -> list[list[Candidate]]:
    """Neighbours by resistance."""
    row = sorted(modules, key=lambda each: (each.resistance, each.serial))
    return [row[start : start + count] for start in range(len(row) - count + 1)]


@dataclass(slots=True)
class _Search:
    """The search's state: what is searched, the best set so far, and how much was looked at."""

    modules: list[Candidate]
    """By rising RC."""
    count: int
    demand: Demand
    best: list[Candidate] | None = None
    usable: float = -np.inf
    looked_at: int = 0
    _capacity: FloatArray = field(init=False)
    _lag: FloatArray = field(init=False)
    _conductance: FloatArray = field(init=False)
    _ratio: float = field(init=False)

    def __post_init__(self) -> None:
        self._capacity = np.array([each.capacity for each in self.modules])
        self._conductance = np.array([1.0 / each.resistance for each in self.modules])
        self._lag = self._capacity / self._conductance
        self._ratio = self.demand.highest_current / self.demand.bearable_current

    def offer(self, modules: list[Candidate]) -> None:
        """Keep a set if it carries the current and gives more than the best so far."""
        usable = usable_charge(modules, self.demand)
        if usable <= self._to_beat:
            return
        if carried(modules, self.demand.bearable_current) >= self.demand.highest_current * (1 - HAIR):
            self.best, self.usable = modules, usable

    @property
    def _to_beat(self) -> float:
        return self.usable + HAIR * abs(self.usable) if self.best is not None else -np.inf

    def by_falling_bound(self) -> list[int]:
        """Members of least RC, those first whose sets may give most."""
        last = len(self.modules) - self.count
        return sorted(range(last + 1), key=lambda lowest: -self._bound(self._values(lowest), lowest))

    def through(self, lowest: int) -> None:
        """Every set in which this member has the least RC."""
        values = self._values(lowest)
        if self._bound(values, lowest) <= self._to_beat:
            return
        allowed = np.arange(lowest, len(self.modules))
        if self.count == 1:
            self.offer([self.modules[lowest]])
            return
        for highest in allowed[np.argsort(-self._conductance[allowed], kind="stable")]:
            self._with_both(values, lowest, int(highest))

    def _values(self, lowest: int) -> FloatArray:
        """What each module adds to the bound, (modules,); −∞ before the lowest."""
        later = np.sort(self._capacity[lowest + 1 :])[::-1][: self.count - 1]
        most = self._capacity[lowest] + later.sum()
        behind = self.demand.current / self.demand.slope * (self._lag - self._lag[lowest]) / most
        values = self._capacity * (1.0 - behind)
        values[:lowest] = -np.inf
        return np.asarray(values)

    def _bound(self, values: FloatArray, lowest: int) -> float:
        """Most that any set with this lowest member can give."""
        others = np.sort(values[lowest + 1 :])[::-1][: self.count - 1]
        return float(values[lowest] + others.sum())

    def _with_both(self, values: FloatArray, lowest: int, highest: int) -> None:
        """Every set with this lowest RC and this largest conductance."""
        top = self._conductance[highest]
        if self._conductance[lowest] > top:
            return
        fixed = [lowest] if lowest == highest else [lowest, highest]
        free = np.arange(lowest + 1, len(self.modules))
        free = free[(self._conductance[free] <= top) & (free != highest)]
        wanted = self.count - len(fixed)
        need = self._ratio * top * (1 - HAIR) - self._conductance[fixed].sum()
        if len(free) < wanted:
            return
        base = float(values[fixed].sum())
        if base + _largest(values[free], wanted) <= self._to_beat:
            return
        if _largest(self._conductance[free], wanted) < need:
            return
        price = self._price(values[free], self._conductance[free], wanted, need)
        worth = values[free] + price * self._conductance[free]
        order = free[np.argsort(-worth, kind="stable")]
        branch = _Branch(
            search=self,
            order=order.tolist(),
            worth=np.concatenate([[0.0], np.cumsum(np.sort(worth)[::-1])]).tolist(),
            conductance=self._conductance[order].tolist(),
            richest=_largest_each(self._conductance[free], wanted),
            fixed=[self.modules[index] for index in fixed],
        )
        branch.descend(0, wanted, base - price * max(need, 0.0), need, [])

    def _price(self, values: FloatArray, conductance: FloatArray, wanted: int, need: float) -> float:
        """λ at which the bound is least; 0 where the current does not bind. The bound holds for any."""
        if need <= 0 or wanted == 0:
            return 0.0

        def short(price: float) -> bool:
            chosen = np.argpartition(-(values + price * conductance), wanted - 1)[:wanted]
            return bool(conductance[chosen].sum() < need)

        if not short(0.0):
            return 0.0
        low, high = 0.0, float(np.ptp(values) + 1.0) / max(float(np.ptp(conductance)), 1e-12)
        for _ in range(30):
            middle = (low + high) / 2
            low, high = (middle, high) if short(middle) else (low, middle)
        return high


@dataclass(frozen=True, slots=True, kw_only=True)
class _Branch:
    """One pair's tree: free modules by falling worth."""

    search: _Search
    order: list[int]
    worth: list[float]
    """Running sums: ``worth[i + r] − worth[i]`` bounds any r of those from i on."""
    conductance: list[float]
    richest: list[float]
    """Most conductance that r of the free modules have, by r."""
    fixed: list[Candidate]

    def descend(self, start: int, wanted: int, bound: float, need: float, taken: list[int]) -> None:
        """Take ``wanted`` more from ``start`` on; ``bound`` is what is taken, less λ times the need."""
        self.search.looked_at += 1
        if wanted == 0:
            if need <= 0:
                self.search.offer([*self.fixed, *(self.search.modules[index] for index in taken)])
            return
        if self.richest[wanted] < need:
            return
        for place in range(start, len(self.order) - wanted + 1):
            if bound + self.worth[place + wanted] - self.worth[place] <= self.search._to_beat:  # noqa: SLF001
                return
            self.descend(
                place + 1,
                wanted - 1,
                bound + self.worth[place + 1] - self.worth[place],
                need - self.conductance[place],
                [*taken, self.order[place]],
            )


def _largest(values: FloatArray, count: int) -> float:
    return float(np.partition(values, len(values) - count)[len(values) - count :].sum()) if count else 0.0


def _largest_each(values: FloatArray, most: int) -> list[float]:
    """Sum of the r largest, r = 0 … most."""
    return [0.0, *np.cumsum(np.sort(values)[::-1][:most]).tolist()]
