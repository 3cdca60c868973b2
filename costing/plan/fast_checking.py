"""The same question as in `checking`, quick enough to be asked before every yes: does a plan keep every rule?

What is taken is added up as differences at begins and ends, once for each resource. Plans on the grid alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from costing.plan.capacity import level_row, there_row
from costing.plan.problem import Batch, Component, Making, Order, Placed, Plan, Problem

Slots = npt.NDArray[np.int64]
_Stay = tuple[int, int, int, int]
"""Row, first slot, the slot behind the last, places."""
_NOTHING = Plan()


@dataclass(frozen=True, slots=True)
class _Taken:
    """What a batch takes, at any time or only while there is any, shape (stays, 4), and what is warm of it."""

    place: Placed
    making: Making
    always: Slots
    away: Slots
    warm: tuple[tuple[int, float, int, int], ...]


def _array(stays: list[_Stay]) -> Slots:
    return np.array(stays, np.int64).reshape(-1, 4)


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
        units = [(one, unit) for one in kitchen.resources for unit in range(one.count if one.divided else 1)]
        self._rows = {(one.code, unit): row for row, (one, unit) in enumerate(units)}
        self._tolerances = [one.tolerance for one, _ in units]
        self._levels = np.array([level_row(one, unit, kitchen.grid, self.slots) for one, unit in units], np.int64)
        self._any = np.array([there_row(one, kitchen.grid, self.slots) for one, _ in units])
        self._known: dict[str, _Taken] = {}
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
        taken: list[_Taken] = []
        for place in plan.placed:
            making = self._making(place, batches)
            one = None if making is None else self._looked_at(place, making)
            if one is None:
                return False
            taken.append(one)
        return self._needs_hold(plan, places, {one.place.code: one.making for one in taken}) and self._room_holds(taken)

    def _looked_at(self, place: Placed, making: Making) -> _Taken | None:
        """Return what a batch takes if it keeps its own rules; what is where it was is looked at once."""
        known = self._known.get(place.code)
        if known is not None and (known.place is place or known.place == place) and known.making is making:
            return known
        found = self._taken(place, making) if self._batch_holds(place, making) else None
        if found is not None:
            self._known[place.code] = found
        return found

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

    def _room_holds(self, taken: Sequence[_Taken]) -> bool:
        everything = self._summed([one.always for one in taken] + [one.away for one in taken])
        always = everything - self._summed([one.away for one in taken])
        if bool((np.where(self._any, everything, always) > self._levels).any()):
            return False
        warm: dict[int, dict[float, Slots]] = {}
        for row, temperature, begin, end in (stay for one in taken for stay in one.warm):
            heats = warm.setdefault(row, {})
            if temperature not in heats:
                heats[temperature] = np.zeros(self.slots + 1, np.int64)
            _add(heats[temperature], begin, end, 1)
        return all(self._temperatures_hold(self._tolerances[row] or 0, heats) for row, heats in warm.items())

    def _summed(self, stays: list[Slots]) -> Slots:
        """Return what is taken of each row in each slot."""
        changes = np.zeros((len(self._rows), self.slots + 1), np.int64)
        row, begin, end, amount = np.concatenate((_array([]), *stays)).T
        np.add.at(changes, (row, begin), amount)
        np.subtract.at(changes, (row, end), amount)
        return np.cumsum(changes, axis=1)[:, :-1]

    def _taken(self, place: Placed, making: Making) -> _Taken | None:
        """Return what a batch takes; None where a step is in something that there is not, or that will not do."""
        grid = self.problem.kitchen.grid
        always, away, warm = list[_Stay](), list[_Stay](), list[tuple[int, float, int, int]]()
        for element, units, (begin, end) in zip(making.elements, place.units, pairwise(place.boundaries), strict=True):
            for use, unit in zip(element.uses, units, strict=True):
                row = self._rows.get((use.resource, unit))
                if row is None or unit < use.among:
                    return None
                slots = (begin // grid, -(-end // grid))
                (away if use.while_there else always).append((row, *slots, use.amount))
                if element.temperature is not None and self._tolerances[row] is not None:
                    warm.append((row, element.temperature, *slots))
        return _Taken(place, making, _array(always), _array(away), tuple(warm))

    @staticmethod
    def _temperatures_hold(tolerance: float, heats: dict[float, Slots]) -> bool:
        there = {heat: np.cumsum(changes) > 0 for heat, changes in heats.items()}
        return not any(
            heat < other and other - heat > tolerance and bool((there[heat] & there[other]).any())
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
