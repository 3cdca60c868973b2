"""What is in the way of one batch: the least that would have to be there in addition, of one cause or of two.

The same chain of steps as in `insertion`, but what is missing may be exceeded at a price: how many places, for how
many slots. One cause at a time is set free; the cheapest way then shows where and by how much.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import numpy.typing as npt

from costing.plan.bit_sets import each
from costing.plan.capacity import AWAY, COOL, Capacity, Claim
from costing.plan.chains import Chain, Option, Step
from costing.plan.problem import HANDS

Costs = npt.NDArray[np.float64]
NOW, HOURS = "now", "hours"
_NEVER = np.inf
_TAKEN = 1e7
"""What a place costs that is taken and not set free: more than all that can be short together."""


@dataclass(frozen=True, slots=True)
class Reason:
    """What is in the way.

    Parameters
    ----------
    cause : str
        A resource, `HOURS` where nobody is there, or `NOW` where it is too late to begin.
    step : str
        The step that it stops.
    begin : int
        From when on there is too little, or when the step would have to begin [min].
    end : int
        Until when [min].
    needed : int
        Places or hands; 0 for `NOW`.
    free : int
        Places or hands that are free.
    """

    cause: str
    step: str
    begin: int
    end: int
    needed: int
    free: int


@dataclass(frozen=True, slots=True)
class _Way:
    cost: float
    boundaries: tuple[int, ...]
    options: tuple[int, ...]


class Explainer:
    """Looks for what is in the way of one batch.

    Parameters
    ----------
    capacity : Capacity
        What is free.
    chain : Chain
        The steps.
    leaves : int
        The slots at which it may leave.
    low : int
        The first slot at which it may begin.
    """

    def __init__(self, capacity: Capacity, chain: Chain, leaves: int, low: int) -> None:
        self.capacity, self.chain, self.low = capacity, chain, low
        self._leaves = list(each(leaves))
        slots = capacity.slots
        bits = np.frombuffer((capacity.attended).to_bytes(slots // 8 + 1, "little"), np.uint8)
        self._there = np.unpackbits(bits, bitorder="little")[: slots + 1].astype(bool)

    def reasons(self) -> tuple[Reason, ...]:
        """Return one reason, or two that are in the way together; nothing where it is neither."""
        causes = self._causes()
        for count in (1, 2):
            ways = [(way, freed) for freed in combinations(causes, count) if (way := self._cheapest(freed))]
            if ways:
                way, freed = min(ways, key=lambda found: found[0].cost)
                return tuple(reason for cause in freed if (reason := self._reason(way, cause)))
        return ()

    def _causes(self) -> list[str]:
        rows = dict.fromkeys(row for step in self.chain.steps for option in step.options for row, _, _ in option)
        return [*dict.fromkeys(self.capacity.names[row] for row in rows), HOURS, NOW]

    def _cheapest(self, freed: tuple[str, ...]) -> _Way | None:
        best: _Way | None = None
        for leaves in self._tried() if self.chain.fresh is not None else [self._leaves]:
            way = self._way(leaves, freed) if leaves else None
            if way is not None and way.cost > 0 and (best is None or way.cost < best.cost):
                best = way
        return best

    def _tried(self) -> list[list[int]]:
        """Return a few times of leaving, each a search of its own because the batch has to be fresh then."""
        few = self._leaves
        if len(few) > 12:
            few = few[:: max(1, len(few) // 11)] + few[-1:]
        return [[leaves] for leaves in few]

    def _way(self, leaves: list[int], freed: tuple[str, ...]) -> _Way | None:
        slots = self.capacity.slots
        values: list[Costs] = [np.full(slots + 1, _NEVER)]
        values[0][leaves] = 0.0
        sums = [[self._sums(option, freed) for option in step.options] for step in self.chain.steps]
        for at in reversed(range(len(self.chain.steps))):
            step = self.chain.steps[at]
            here = np.full(slots + 1, _NEVER)
            for summed in sums[at]:
                np.minimum(here, _stayed(values[0] + summed, step.least, step.longest) - summed, out=here)
            values.insert(0, here + self._begin_costs(step, freed))
            self._keep_fresh(values[0], at, leaves[-1])
        values[0][: self.low] += np.arange(self.low, 0, -1) if NOW in freed else _NEVER
        begin = int(values[0].argmin())
        if values[0][begin] >= _TAKEN / 2:
            return None
        return self._followed(values, sums, begin, freed)

    def _followed(self, values: list[Costs], sums: list[list[Costs]], begin: int, freed: tuple[str, ...]) -> _Way:
        boundaries, options = [begin], []
        for at, step in enumerate(self.chain.steps):
            here = boundaries[-1]
            ends = np.arange(here + step.least, min(here + step.longest, self.capacity.slots) + 1)
            costs = [values[at + 1][ends] + summed[ends] - summed[here] for summed in sums[at]]
            chosen = min(range(len(costs)), key=lambda one: float(costs[one].min()))
            options.append(chosen)
            boundaries.append(int(ends[len(ends) - 1 - int(costs[chosen][::-1].argmin())]))
        return _Way(float(values[0][begin]), tuple(boundaries), tuple(options))

    def _keep_fresh(self, values: Costs, at: int, leaves: int) -> None:
        fresh = self.chain.fresh
        if fresh is not None and fresh[0] == at:
            values[: max(0, leaves - fresh[1])] = _NEVER

    def _begin_costs(self, step: Step, freed: tuple[str, ...]) -> Costs | float:
        if not step.attended:
            return 0.0
        costs = np.where(self._there, 0.0, 1.0 if HOURS in freed else _NEVER)
        if NOW in freed:
            costs[: self.low] = 0.0
        return costs

    def _sums(self, option: Option, freed: tuple[str, ...]) -> Costs:
        costs = np.zeros(self.capacity.slots)
        for claim in option:
            costs += self._claim_costs(claim, freed)
        if NOW in freed:
            costs[: self.low] = 0.0
        return np.concatenate(([0.0], np.cumsum(costs)))

    def _claim_costs(self, claim: Claim, freed: tuple[str, ...]) -> Costs:
        name = self.capacity.names[claim[0]]
        short = self._short(claim).astype(np.float64)
        if name == HANDS:
            shut = ~self.capacity.open
            costs = np.where(short > 0, short if HANDS in freed else _TAKEN, 0.0)
            return np.where(shut & (short > 0), short if HOURS in freed else _TAKEN, costs)
        return short if name in freed else np.where(short > 0, _TAKEN, 0.0)

    def _short(self, claim: Claim) -> npt.NDArray[np.int32]:
        row, amount, temperature = claim
        short = np.maximum(0, amount - self.capacity.rows[row])
        if temperature == AWAY:
            return np.where(self.capacity.there[row], short, 0).astype(np.int32)
        tolerance = self.capacity.tolerances[row]
        if tolerance is not None and temperature != COOL:
            for other, times in self.capacity.heats[row].items():
                if abs(other - temperature) > tolerance:
                    short = np.maximum(short, np.where(times > 0, amount, 0))
        return short.astype(np.int32)

    def _reason(self, way: _Way, cause: str) -> Reason | None:
        grid = self.capacity.grid
        if cause == NOW:
            begin = way.boundaries[0]
            return Reason(NOW, self.chain.elements[0].name, begin * grid, self.low * grid, 0, 0)
        for at, step in enumerate(self.chain.steps):
            begin, end = way.boundaries[at], way.boundaries[at + 1]
            name = self.chain.elements[at].name
            for claim in step.options[way.options[at]]:
                found = self._short_here(claim, begin, end, cause)
                if found is not None:
                    return Reason(cause, name, found[0] * grid, found[1] * grid, claim[1], found[2])
            if cause == HOURS and step.attended and not self._there[begin]:
                return Reason(HOURS, name, begin * grid, begin * grid, 1, 0)
        return None

    def _short_here(self, claim: Claim, begin: int, end: int, cause: str) -> tuple[int, int, int] | None:
        """Return the whole time for which there is too little around a step, and the least that is free in it."""
        name = self.capacity.names[claim[0]]
        if name != (HANDS if cause == HOURS else cause):
            return None
        short = self._short(claim)
        if name == HANDS:
            short = np.where(self.capacity.open != (cause == HOURS), short, 0).astype(np.int32)
        inside = np.flatnonzero(short[begin:end])
        if not len(inside):
            return None
        first = behind = begin + int(inside[0])
        if cause == HOURS:
            return first, begin + int(inside[-1]) + 1, 0
        while first > 0 and short[first - 1]:
            first -= 1
        while behind < len(short) and short[behind]:
            behind += 1
        return first, behind, claim[1] - int(short[first:behind].max())


def _stayed(costs: Costs, least: int, longest: int) -> Costs:
    """Return for each slot the least cost from `least` to `longest` slots later, by doubling."""
    slots = len(costs)
    if longest < least:
        return np.full(slots, _NEVER)
    width, done, best = longest - least + 1, 1, costs
    while done < width:
        step = min(done, width - done)
        best = np.minimum(best, _earlier(best, step))
        done += step
    return _earlier(best, least)


def _earlier(costs: Costs, slots: int) -> Costs:
    if slots == 0:
        return costs
    found = np.full(len(costs), _NEVER)
    if slots < len(costs):
        found[:-slots] = costs[slots:]
    return found
