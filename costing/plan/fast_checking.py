"""The same question as in `checking`, quick enough to be asked before every yes: does a plan keep every rule?

What is taken is added up as differences at begins and ends, once for each resource. Plans on the grid alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from costing.plan.capacity import level_row, there_row
from costing.plan.problem import Batch, Component, Making, Order, Placed, Plan, Problem

Slots = npt.NDArray[np.int64]
_Stay = tuple[tuple[str, int], float | None, int, int, int, bool]


_NOTHING = Plan()


class FastChecker:
    """Checks plans of one kitchen.

    Parameters
    ----------
    problem : Problem
        What there is, and what is promised.
    before : Plan
        The plan so far: what is in it may have begun before now, if it begins as it did.
    """

    def __init__(self, problem: Problem, before: Plan = _NOTHING) -> None:
        kitchen = problem.kitchen
        self.problem = problem
        self.slots = kitchen.end // kitchen.grid
        self._resources = {one.code: one for one in kitchen.resources}
        self._levels: dict[tuple[str, int], Slots] = {}
        self._any = {one.code: there_row(one, kitchen.grid, self.slots) for one in kitchen.resources}
        for one in kitchen.resources:
            for unit in range(one.count if one.divided else 1):
                self._levels[one.code, unit] = level_row(one, unit, kitchen.grid, self.slots).astype(np.int64)
        there = np.zeros(kitchen.end + 1, bool)
        for begin, end in kitchen.attended:
            there[max(0, begin) : end + 1] = True
        self._there = there
        self._begun = {place.code: place.boundaries[:-1] for place in before.placed}
        self._components: dict[str, Component] = {one.code: one for one in problem.components}

    def holds(self, plan: Plan, orders: Iterable[Order] | None = None) -> bool:
        """Return whether a plan keeps every rule.

        Parameters
        ----------
        plan : Plan
            Where everything is.
        orders : iterable of Order or None
            What has to be in it; the problem's own when left out.
        """
        orders = self.problem.orders if orders is None else tuple(orders)
        places = plan.by_code()
        batches = {batch.code: batch for order in orders for batch in order.batches}
        if len(places) < len(plan.placed) or not all(_leave_together(order, places) for order in orders):
            return False
        makings: dict[str, Making] = {}
        for place in plan.placed:
            making = self._making(place, batches)
            if making is None or not self._batch_holds(place, making):
                return False
            makings[place.code] = making
        return self._needs_hold(plan, places, makings) and self._room_holds(plan, makings)

    def _making(self, place: Placed, batches: dict[str, Batch]) -> Making | None:
        unit = self._components.get(place.component) if place.component else batches.get(place.code)
        if unit is None:
            return None
        if unit.fixed and not _stays(place, unit):
            return None
        begun = self._begun.get(place.code, unit.planned[:-1] if unit.planned else None)
        if place.boundaries[0] < self.problem.kitchen.now and begun != place.boundaries[:-1]:
            return None
        return unit.sizes[place.size].making if isinstance(unit, Component) else unit.making

    def _batch_holds(self, place: Placed, making: Making) -> bool:
        times = place.boundaries
        if len(times) != len(making.elements) + 1 or times[-1] > self.problem.kitchen.end:
            return False
        for element, (begin, end) in zip(making.elements, pairwise(times), strict=True):
            if not element.least <= end - begin <= element.longest or (element.attended and not self._there[begin]):
                return False
        for element, units in zip(making.elements, place.units, strict=True):
            if any(unit < use.among for use, unit in zip(element.uses, units, strict=True)):
                return False
        life = making.shelf_life
        return life is None or times[-1] - times[life.element + 1] <= life.minutes

    def _needs_hold(self, plan: Plan, places: dict[str, Placed], makings: dict[str, Making]) -> bool:
        served: set[tuple[str, int]] = set()
        for place in plan.placed:
            if not place.component:
                continue
            ready = place.boundaries[-2] + makings[place.code].elements[-1].least
            end = amount = 0
            for taking in place.takings:
                taker = places.get(taking.batch)
                if taker is None or (taking.batch, taking.need) in served:
                    return False
                served.add((taking.batch, taking.need))
                need = makings[taking.batch].needs[taking.need]
                time = taker.boundaries[need.element]
                if time < ready or (need.component, need.amount) != (place.component, taking.amount):
                    return False
                end, amount = max(end, time), amount + taking.amount
            if end != place.boundaries[-1] or amount > self._components[place.component].sizes[place.size].most:
                return False
        return len(served) == sum(len(making.needs) for making in makings.values())

    def _room_holds(self, plan: Plan, makings: dict[str, Making]) -> bool:
        taken: dict[tuple[str, int], Slots] = {}
        warm: dict[tuple[str, int], dict[float, Slots]] = {}
        away: dict[tuple[str, int], Slots] = {}
        for key, temperature, begin, end, amount, while_there in self._stays(plan, makings):
            if key not in taken:
                taken[key] = np.zeros(self.slots + 1, np.int64)
            if while_there:
                _add(away.setdefault(key, np.zeros(self.slots + 1, np.int64)), begin, end, amount)
            _add(taken[key], begin, end, amount)
            if temperature is not None and self._resources[key[0]].tolerance is not None:
                heats = warm.setdefault(key, {})
                if temperature not in heats:
                    heats[temperature] = np.zeros(self.slots + 1, np.int64)
                _add(heats[temperature], begin, end, 1)
        for key, changes in taken.items():
            if key not in self._levels or not self._is_enough(key, changes, away.get(key)):
                return False
        return all(self._temperatures_hold(key[0], heats) for key, heats in warm.items())

    def _is_enough(self, key: tuple[str, int], changes: Slots, away: Slots | None) -> bool:
        used, levels = np.cumsum(changes)[:-1], self._levels[key]
        if away is None:
            return not bool((used > levels).any())
        always = used - np.cumsum(away)[:-1]
        return not bool((np.where(self._any[key[0]], used, always) > levels).any())

    def _stays(self, plan: Plan, makings: dict[str, Making]) -> Iterator[_Stay]:
        grid = self.problem.kitchen.grid
        for place in plan.placed:
            slots = [(begin // grid, -(-end // grid)) for begin, end in pairwise(place.boundaries)]
            for element, units, (begin, end) in zip(makings[place.code].elements, place.units, slots, strict=True):
                for use, unit in zip(element.uses, units, strict=True):
                    yield (use.resource, unit), element.temperature, begin, end, use.amount, use.while_there

    def _temperatures_hold(self, resource: str, heats: dict[float, Slots]) -> bool:
        tolerance = self._resources[resource].tolerance
        there = {heat: np.cumsum(changes) > 0 for heat, changes in heats.items()}
        return not any(
            heat < other and other - heat > (tolerance or 0) and bool((there[heat] & there[other]).any())
            for heat in there
            for other in there
        )


def _stays(place: Placed, unit: Batch | Component) -> bool:
    """Return whether something is where it is planned; a component's last stay may end otherwise."""
    if unit.planned is None or not place.component:
        return place.boundaries == unit.planned
    return place.boundaries[:-1] == unit.planned[:-1]


def _leave_together(order: Order, places: dict[str, Placed]) -> bool:
    ends = ((batch, places.get(batch.code)) for batch in order.batches)
    times = {-1 if place is None else place.boundaries[-1] - batch.after for batch, place in ends}
    return len(times) == 1 and any(begin <= time <= end for time in times for begin, end in order.windows)


def _add(changes: Slots, begin: int, end: int, amount: int) -> None:
    changes[begin] += amount
    changes[end] -= amount
