"""The same problem for a constraint solver, written apart from the engine: is there a plan, how late may it begin?"""

from __future__ import annotations

import warnings
from itertools import combinations, pairwise
from typing import Any

from costing.plan.problem import Batch, Component, Element, Problem, Resource

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from ortools.sat.python import cp_model


class Solver:
    """One question to the solver.

    Times are slots; everything in these problems lies on the grid.
    """

    def __init__(self, problem: Problem, asked: str, *, movable: bool) -> None:
        self.problem, self.asked = problem, asked
        self.grid = problem.kitchen.grid
        self.slots = problem.kitchen.end // self.grid
        self.model: Any = cp_model.CpModel()
        self.times: dict[str, list[Any]] = {}
        self.stays: dict[tuple[str, int], list[tuple[Any, int, float | None]]] = {}
        self.away: dict[tuple[str, int], list[tuple[Any, int, float | None]]] = {}
        self.resources = {one.code: one for one in problem.kitchen.resources}
        units: list[Batch | Component] = [batch for order in problem.orders for batch in order.batches]
        units += problem.components
        self.makings = {one.code: one.sizes[0].making if isinstance(one, Component) else one.making for one in units}
        for one in units:
            frozen = one.planned is not None and (one.fixed or not movable or one.planned[0] < problem.kitchen.now)
            self._add(one.code, one.planned if frozen else None)
        for order in problem.orders:
            ends = [self.times[batch.code][-1] - batch.after // self.grid for batch in order.batches]
            for one, other in pairwise(ends):
                self.model.add(one == other)
            windows = [[begin // self.grid, end // self.grid] for begin, end in order.windows]
            self.model.add_linear_expression_in_domain(ends[0], cp_model.Domain.from_intervals(windows))
        self._needs()
        for resource in problem.kitchen.resources:
            self._capacity(resource)

    def _add(self, code: str, planned: tuple[int, ...] | None) -> None:
        making = self.makings[code]
        there = [[begin // self.grid, end // self.grid] for begin, end in self.problem.kitchen.attended]
        times = [self.model.new_int_var(0, self.slots, "") for _ in range(len(making.elements) + 1)]
        self.times[code] = times
        if planned is not None:
            for time, minute in zip(times, planned, strict=True):
                self.model.add(time == minute // self.grid)
        else:
            self.model.add(times[0] >= self.problem.kitchen.now // self.grid)
        for element, (begin, end) in zip(making.elements, pairwise(times), strict=True):
            length = self.model.new_int_var(element.least // self.grid, element.longest // self.grid, "")
            self.model.add(end - begin == length)
            if element.attended:
                self.model.add_linear_expression_in_domain(begin, cp_model.Domain.from_intervals(there))
            self._use(element, begin, length, end)
        if making.shelf_life is not None:
            life = making.shelf_life
            self.model.add(times[-1] - times[life.element + 1] <= life.minutes // self.grid)

    def _use(self, element: Element, begin: Any, length: Any, end: Any) -> None:
        for use in element.uses:
            resource = self.resources[use.resource]
            count = resource.count if resource.divided else 1
            chosen = [self.model.new_bool_var("") for _ in range(count)]
            self.model.add_exactly_one(chosen[use.among :])
            for here in chosen[: use.among]:
                self.model.add(here == 0)
            for unit, here in enumerate(chosen):
                interval = self.model.new_optional_interval_var(begin, length, end, here, "")
                stays = self.away if use.while_there else self.stays
                stays.setdefault((use.resource, unit), []).append((interval, use.amount, element.temperature))

    def _needs(self) -> None:
        for component in self.problem.components:
            times = self.times[component.code]
            uses = [
                self.times[code][need.element]
                for code, making in self.makings.items()
                for need in making.needs
                if need.component == component.code
            ]
            self.model.add_max_equality(times[-1], uses)
            least = component.sizes[0].making.elements[-1].least // self.grid
            for use in uses:
                self.model.add(use >= times[-2] + least)

    def _capacity(self, resource: Resource) -> None:
        for unit in range(resource.count if resource.divided else 1):
            stays = self.stays.get((resource.code, unit), [])
            free = [self._there(resource, unit, slot * self.grid) for slot in range(self.slots)]
            most = max(free)
            blocked = [
                (self.model.new_fixed_size_interval_var(slot, 1, ""), most - amount)
                for slot, amount in enumerate(free)
                if amount < most
            ]
            intervals = [interval for interval, *_ in stays] + [interval for interval, _ in blocked]
            demands = [amount for _, amount, _ in stays] + [amount for _, amount in blocked]
            self.model.add_cumulative(intervals, demands, most)
            away = self.away.get((resource.code, unit), [])
            if away:
                # While there is none of it, who is away is missing nowhere.
                more = sum(amount for _, amount, _ in (*stays, *away))
                there = [
                    (self.model.new_fixed_size_interval_var(slot, 1, ""), more + most - amount)
                    for slot, amount in enumerate(free)
                    if amount > 0
                ]
                both = [*((one, amount) for one, amount, _ in (*stays, *away)), *there]
                self.model.add_cumulative([one for one, _ in both], [amount for _, amount in both], more + most)
            if resource.tolerance is not None:
                for (one, _, warm), (other, _, hot) in combinations(stays, 2):
                    if warm is not None and hot is not None and abs(warm - hot) > resource.tolerance:
                        self.model.add_no_overlap([one, other])

    @staticmethod
    def _there(resource: Resource, unit: int, minute: int) -> int:
        if resource.levels is not None:
            return sum(one.amount for one in resource.levels if one.begin <= minute < one.end)
        gone = sum(one.amount for one in resource.out if one.begin <= minute < one.end)
        if resource.divided:
            return 0 if unit >= resource.count - gone else resource.places
        return max(0, resource.places * (resource.count - gone))

    def has_plan(self) -> bool:
        """Return whether there is one."""
        status = self._solve()
        assert status in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
        return status != cp_model.INFEASIBLE

    def latest_start(self) -> int | None:
        """Return the latest begin of what is asked about [min], or None."""
        low = self.model.new_int_var(0, self.slots, "")
        batches = [batch.code for order in self.problem.orders if order.code == self.asked for batch in order.batches]
        for code in (*batches, *(component.code for component in self.problem.components)):
            self.model.add(low <= self.times[code][0])
        self.model.maximize(low)
        solver = cp_model.CpSolver()
        return int(solver.value(low)) * self.grid if self._solve(solver) == cp_model.OPTIMAL else None

    def _solve(self, solver: Any = None) -> Any:
        solver = solver or cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = 20
        return solver.solve(self.model)
