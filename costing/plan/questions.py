"""A problem as an exact search: what stays where it is, what is placed anew, and the plan a solution is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from costing.plan.bit_sets import span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, Step, chain_of
from costing.plan.exact import LATEST, Outcome, Search
from costing.plan.planned import makings, takings_of
from costing.plan.problem import Batch, Component, Order, Placed, Plan, Problem
from costing.plan.proofs import Possible, SureUse, SureUses
from costing.plan.variables import ModelMaker, Solved


@dataclass(frozen=True, slots=True)
class Found:
    """What a search for a plan came to.

    Parameters
    ----------
    plan : Plan or None
        A plan in which everything is placed.
    value : int
        The earliest start of what is asked about, or when the last of it is ready [min].
    exhausted : bool
        Whether nothing better is left: without a plan, that there is none.
    """

    plan: Plan | None
    value: int
    exhausted: bool


class Question:
    """One exact search over a problem.

    Parameters
    ----------
    problem : Problem
        What is promised.
    asked : str
        Code of the order that is asked about.
    movable : bool
        Whether what is planned may be planned anew inside its windows.
    high : int or None
        Nothing that is placed anew ends later [min]; the end of the problem when left out.
    """

    def __init__(self, problem: Problem, asked: str, *, movable: bool, high: int | None = None) -> None:
        self.problem, self.asked = problem, asked
        kitchen = problem.kitchen
        self.capacity = Capacity(kitchen)
        self._grid = kitchen.grid
        self._made, self._takings = makings(problem), takings_of(problem)
        self._planned = _planned(problem)
        self._frozen = frozen(problem, movable=movable)
        self._begins = {code: self._planned[code] for code in self._frozen if self._is_taken_anew(code)}
        self._pinned: list[tuple[str, int, Step, int, int]] = []
        for code in sorted(self._frozen - self._begins.keys()):
            self._take(code)
        low = -(-kitchen.now // kitchen.grid)
        top = self.capacity.slots if high is None else min(self.capacity.slots, high // kitchen.grid)
        self._maker = ModelMaker(low, top)
        self._variables: dict[str, tuple[int, ...]] = {}
        self._fill()

    def run(self, side: str = LATEST, *, nodes: int, optimize: bool = False) -> Found:
        """Search.

        Parameters
        ----------
        side : str
            From which end solutions are made.
        nodes : int
            How many nodes to look at.
        optimize : bool
            Whether to look for the best.
        """
        outcome: Outcome = Search(self.capacity, self._maker.model(), side).run(nodes, optimize=optimize)
        solved = outcome.solved
        if solved is None:
            return Found(None, 0, outcome.exhausted)
        return Found(self._plan(solved), solved.value * self._grid, outcome.exhausted)

    def sure_use(self) -> SureUse | None:
        """Return the time in which more is needed in every plan than there is, or None."""
        model = self._maker.model()
        domains = Search(self.capacity, model).narrowed()
        if domains is None:
            return None
        batches = [Possible(item.chain, tuple(domains[one] for one in item.variables)) for item in model.items]
        return SureUses(self.capacity, batches).too_much()

    def fits_alone(self) -> bool:
        """Return whether each batch fits somewhere while none is in another's way."""
        return Search(self.capacity, self._maker.model()).narrowed() is not None

    def taken_first(self) -> Capacity:
        """Return what is free, with the first choice made where the choice among alike resources is open."""
        for _, _, step, first, behind in self._pinned:
            able = [
                option
                for option in step.options
                if all(self.capacity.runs(*claim)(behind - first) >> first & 1 for claim in option)
            ]
            for row, amount, temperature in (able or step.options)[0]:
                self.capacity.take(row, first, behind, amount, temperature)
        self._pinned.clear()
        return self.capacity

    def _is_taken_anew(self, code: str) -> bool:
        """Return whether something that is placed anew takes from a component that stays."""
        return any(taking.batch not in self._frozen for taking in self._takings.get(code, ()))

    def _take(self, code: str) -> None:
        """Take what a batch takes that stays; of a step with alike resources the choice is left open."""
        chain = chain_of(self._made[code], self.capacity)
        for at, (step, (begin, end)) in enumerate(zip(chain.steps, pairwise(self._planned[code]), strict=True)):
            first, behind = begin // self._grid, -(-end // self._grid)
            if len(step.options) > 1 and behind > first:
                self._pinned.append((code, at, step, first, behind))
                continue
            for row, amount, temperature in step.options[0]:
                self.capacity.take(row, first, behind, amount, temperature)

    def _fill(self) -> None:
        maker = self._maker
        for code, at, step, first, behind in self._pinned:
            alone = replace(step, least=behind - first, longest=behind - first, attended=False)
            begin, end = maker.variable(1 << first), maker.variable(1 << behind)
            maker.add(f"{code}@{at}", Chain((alone,), (), None, ()), (begin, end))
        for order in self.problem.orders:
            self._add_order(order)
        for component in _last_first(self.problem):
            if component not in self._frozen or component in self._begins:
                self._add_component(component)

    def _add_order(self, order: Order) -> None:
        new = [batch for batch in order.batches if batch.code not in self._frozen]
        if not new:
            return
        leaves = self._maker.variable(self._leaving(order))
        before: tuple[int, ...] = ()
        for at, batch in enumerate(new):
            chain = chain_of(batch.making, self.capacity)
            variables = self._maker.batch(batch.code, chain, leaves, asked=order.code == self.asked)
            self._variables[batch.code] = variables
            twin = at > 0 and new[at - 1].making == batch.making
            if twin and all(len(step.options) == 1 for step in chain.steps):
                # Of two that are alike, one may always be first in everything: only this order is looked at.
                for early, late in zip(before[:-1], variables[:-1], strict=True):
                    self._maker.before(early, late)
            before = variables

    def _leaving(self, order: Order) -> int:
        ends = {batch.planned[-1] for batch in order.batches if batch.code in self._frozen and batch.planned}
        if ends:
            return 1 << -(-max(ends) // self._grid)
        found = 0
        for begin, end in order.windows:
            found |= span(-(-begin // self._grid), end // self._grid + 1)
        return found & self.capacity.everything

    def _add_component(self, code: str) -> None:
        maker = self._maker
        chain = chain_of(self._made[code], self.capacity)
        uses, used = [], []
        for taking in self._takings[code]:
            element = self._made[taking.batch].needs[taking.need].element
            if taking.batch in self._variables:
                uses.append(self._variables[taking.batch][element])
            elif taking.batch in self._planned:
                used.append(-(-self._planned[taking.batch][element] // self._grid))
        leaves = maker.variable(self.capacity.everything)
        asked = all(taking.batch in self._asked() for taking in self._takings[code])
        variables = maker.batch(code, chain, leaves, asked=asked, uses=tuple(uses), used=tuple(used))
        self._variables[code] = variables
        if code in self._begins:
            for variable, minute in zip(variables[:-1], self._begins[code], strict=False):
                maker.pin(variable, -(-minute // self._grid))

    def _asked(self) -> set[str]:
        found = {batch.code for order in self.problem.orders if order.code == self.asked for batch in order.batches}
        for code in _last_first(self.problem):
            if all(taking.batch in found for taking in self._takings[code]):
                found.add(code)
        return found

    def _plan(self, solved: Solved) -> Plan:
        components = {component.code for component in self.problem.components}
        placed = []
        for code, making in self._made.items():
            new = code in solved.boundaries
            if not new and code not in self._planned:
                continue
            chain = chain_of(making, self.capacity)
            chosen = [
                solved.options[code][at] if new else self._pin(solved, code, at) for at in range(len(chain.steps))
            ]
            units = tuple(step.units[option] for step, option in zip(chain.steps, chosen, strict=True))
            times = tuple(slot * self._grid for slot in solved.boundaries[code]) if new else self._planned[code]
            component = code if code in components else ""
            placed.append(Placed(code, times, units, component, 0, self._takings.get(code, ())))
        return Plan(tuple(placed))

    @staticmethod
    def _pin(solved: Solved, code: str, at: int) -> int:
        return solved.options.get(f"{code}@{at}", (0,))[0]


def _planned(problem: Problem) -> dict[str, tuple[int, ...]]:
    found = {batch.code: batch.planned for order in problem.orders for batch in order.batches}
    found |= {one.code: one.planned for one in problem.components}
    return {code: times for code, times in found.items() if times is not None}


def frozen(problem: Problem, *, movable: bool) -> set[str]:
    """Return what stays: everything planned where nothing may be elsewhere, else what is fixed or begun.

    Parameters
    ----------
    problem : Problem
        What is promised.
    movable : bool
        Whether what is planned may be planned anew inside its windows.
    """
    now = problem.kitchen.now
    units: list[Batch | Component] = [batch for order in problem.orders for batch in order.batches]
    units += problem.components
    return {one.code for one in units if one.planned is not None and (one.fixed or not movable or one.planned[0] < now)}


def _last_first(problem: Problem) -> Iterable[str]:
    """Return the components so that whatever takes one comes before it."""
    left = {one.code: {need.component for need in one.sizes[0].making.needs} for one in problem.components}
    found: list[str] = []
    while left:
        taken = {code for needs in left.values() for code in needs}
        free = [code for code in left if code not in taken]
        found += free
        for code in free:
            del left[code]
    return found
