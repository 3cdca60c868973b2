"""Where batches are while a plan is made, with everything that is done undone again when it fails."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from costing.plan.bit_sets import span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, chain_of
from costing.plan.insertion import occupy
from costing.plan.problem import Batch, Component, Need, Placed, Plan, Problem, Taking
from costing.plan.sized import Sizes


@dataclass(frozen=True, slots=True)
class Place:
    """Where a batch is, in slots.

    Parameters
    ----------
    code : str
        The batch.
    chain : Chain
        Its steps.
    boundaries : tuple of int
        Slots.
    options : tuple of int
        The choice for each step.
    component : str
        Of which component it is a batch; empty for a load.
    size : int
        Position among the component's sizes.
    takings : tuple of Taking
        Who takes from it.
    suppliers : tuple of str
        For each need, the batch that serves it.
    """

    code: str
    chain: Chain
    boundaries: tuple[int, ...]
    options: tuple[int, ...]
    component: str = ""
    size: int = 0
    takings: tuple[Taking, ...] = ()
    suppliers: tuple[str, ...] = ()

    @property
    def amount(self) -> int:
        """How much is taken from it."""
        return sum(taking.amount for taking in self.takings)


class Places:
    """A plan in the making: what is where, and how it is taken out again.

    Parameters
    ----------
    problem : Problem
        What is promised.
    alike : Places or None
        Another plan of the same kitchen, whose batches may be the same: their steps are worked out once.
    """

    def __init__(self, problem: Problem, alike: Places | None = None) -> None:
        self.problem = problem
        self.capacity = Capacity(problem.kitchen)
        self.low = -(-problem.kitchen.now // problem.kitchen.grid)
        self.loads: dict[str, Chain] = {}
        self.batches: dict[str, Batch] = {}
        self.order_of: dict[str, str] = {}
        self.members: dict[str, list[str]] = {}
        self.after: dict[str, int] = {}
        self.begun: dict[str, dict[int, int]] = {}
        self.windows: dict[str, int] = {}
        self.places: dict[str, Place] = {}
        self.made: dict[str, tuple[str, ...]] = {}
        self.fixed: set[str] = set()
        self.sizes: dict[str, Sizes] = {}
        self.apart: dict[str, int] = {}
        self.single: set[str] = set()
        self._log: list[tuple[dict[str, Any], str, Any]] = []
        self._written: dict[str, tuple[Place, Placed]] = {}
        self.count = 0
        for component in problem.components:
            self.sizes[component.code] = self._sizes(component, alike)
            self.made[component.code] = ()
            if component.apart is not None:
                self.apart[component.code] = component.apart // self.capacity.grid
            if component.single:
                self.single.add(component.code)
        for order in problem.orders:
            slots = 0
            for begin, end in order.windows:
                slots |= span(-(-begin // self.capacity.grid), end // self.capacity.grid + 1)
            self.windows[order.code] = slots & self.capacity.everything
            for batch in order.batches:
                self.loads[batch.code] = self._chain(batch, alike)
                self.batches[batch.code] = batch
                self.order_of[batch.code] = order.code
                self.members.setdefault(order.code, []).append(batch.code)
                self.after[batch.code] = batch.after // self.capacity.grid
                if batch.begun is not None:
                    self.begun[batch.code] = {batch.begun[0]: 1 << max(0, batch.begun[1] // self.capacity.grid)}

    def _sizes(self, component: Component, alike: Places | None) -> Sizes:
        known = None if alike is None else alike.sizes.get(component.code)
        return known if known is not None and known.component is component else Sizes(component, self.capacity)

    def _chain(self, batch: Batch, alike: Places | None) -> Chain:
        known = None if alike is None else alike.batches.get(batch.code)
        if alike is not None and known is not None and known.making is batch.making:
            return alike.loads[batch.code]
        return chain_of(batch.making, self.capacity)

    def mark(self) -> tuple[int, int]:
        """Return a mark of what was done so far, for `back_to`."""
        return self.capacity.mark(), len(self._log)

    def back_to(self, mark: tuple[int, int]) -> None:
        """Undo everything since a mark.

        Parameters
        ----------
        mark : tuple of (int, int)
            What `mark` returned.
        """
        self.capacity.back_to(mark[0])
        while len(self._log) > mark[1]:
            table, key, before = self._log.pop()
            if before is None:
                table.pop(key, None)
            else:
                table[key] = before

    def settle(self) -> None:
        """Let everything done so far stand: it cannot be undone any more."""
        self.capacity.settle()
        self._log.clear()

    def change(self, table: dict[str, Any], key: str, value: Any) -> None:
        """Change a table so that it can be undone.

        Parameters
        ----------
        table : dict of str to object
            `places` or `made`.
        key : str
            Its key.
        value : object
            The new value; None takes it out.
        """
        self._log.append((table, key, table.get(key)))
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value

    def leaves(self, order: str) -> int | None:
        """Return when an order leaves by what is placed of it [slot].

        Parameters
        ----------
        order : str
            Its code.
        """
        for code in self.members.get(order, ()):
            if code in self.places:
                return self.places[code].boundaries[-1] - self.after[code]
        return None

    def ends(self, code: str) -> int:
        """Return when the last step of a load may end [set of slots].

        Parameters
        ----------
        code : str
            The load.
        """
        return (self.windows[self.order_of[code]] << self.after[code]) & self.capacity.everything

    def taken_load(self, code: str) -> Need | None:
        """Return what an order takes of a load that may serve several; None where the load is the order's own.

        Parameters
        ----------
        code : str
            A load of the problem.
        """
        return self.load_taken(self.batches[code])

    def load_taken(self, batch: Batch) -> Need | None:
        """Return the same of a batch that may be another problem's.

        Parameters
        ----------
        batch : Batch
            A load of an order.
        """
        needs = batch.making.needs
        return needs[0] if needs and needs[0].component in self.apart else None

    def steps_of(self, code: str) -> Chain:
        """Return how a load of an order is made: of what may serve several orders, as if it were for this one alone.

        Parameters
        ----------
        code : str
            A load of the problem.
        """
        taken = self.taken_load(code)
        at = None if taken is None else self.sizes[taken.component].place(taken.amount)
        return self.loads[code] if taken is None or at is None else self.sizes[taken.component][at].chain

    def load_of(self, code: str) -> Place:
        """Return where a load of an order is made, which may serve others too.

        Parameters
        ----------
        code : str
            A load that is placed.
        """
        place = self.places[code]
        return place if self.taken_load(code) is None else self.places[place.suppliers[0]]

    def sharing(self, code: str) -> tuple[str, ...]:
        """Return the loads that are made as one with a load, itself among them.

        Parameters
        ----------
        code : str
            A load that is placed.
        """
        load = self.load_of(code)
        return tuple(one.batch for one in load.takings) if load.component else (code,)

    def take_out(self, code: str) -> None:
        """Take a batch out, and what was made for it alone.

        Parameters
        ----------
        code : str
            The batch.
        """
        place = self.places[code]
        occupy(self.capacity, place.chain, place.boundaries, place.options, -1)
        self.change(self.places, code, None)
        if place.component:
            left = tuple(other for other in self.made[place.component] if other != code)
            self.change(self.made, place.component, left)
        for number, supplier in enumerate(place.suppliers):
            self._release(supplier, code, number)

    def _release(self, supplier: str, taker: str, number: int) -> None:
        place = self.places.get(supplier)
        if place is None:
            return
        left = tuple(one for one in place.takings if (one.batch, one.need) != (taker, number))
        if not left and supplier not in self.fixed:
            self.take_out(supplier)
            return
        self.end_at(place, left, max((self.time(one) for one in left), default=place.boundaries[-1]))

    def time(self, taking: Taking) -> int:
        """Return when something is taken [slot].

        Parameters
        ----------
        taking : Taking
            By whom.
        """
        taker = self.places[taking.batch]
        return taker.boundaries[taker.chain.needs[taking.need].element]

    def end_at(self, place: Place, takings: tuple[Taking, ...], end: int) -> None:
        """Let a component's last stay end earlier or later.

        Parameters
        ----------
        place : Place
            Its batch.
        takings : tuple of Taking
            Who takes from it then.
        end : int
            The slot of the last use.
        """
        before = place.boundaries[-1]
        for row, amount, temperature in place.chain.steps[-1].options[place.options[-1]]:
            if end > before:
                self.capacity.take(row, before, end, amount, temperature)
            else:
                self.capacity.take(row, end, before, -amount, temperature)
        self.change(self.places, place.code, replace(place, boundaries=(*place.boundaries[:-1], end), takings=takings))

    def load(self, plan: Plan, fixed: Iterable[str] = ()) -> None:
        """Put a plan in as it is.

        Parameters
        ----------
        plan : Plan
            The plan; its boundaries lie on the grid, or what they take is rounded outward.
        fixed : iterable of str
            Codes of batches that stay where they are.
        """
        grid = self.capacity.grid
        for placed in plan.placed:
            component = placed.component
            chain = self.sizes[component][placed.size].chain if component else self.loads[placed.code]
            boundaries = tuple(-(-minute // grid) for minute in placed.boundaries)
            options = tuple(step.units.index(units) for step, units in zip(chain.steps, placed.units, strict=True))
            self.places[placed.code] = Place(
                placed.code, chain, boundaries, options, component, placed.size, placed.takings
            )
            occupy(self.capacity, chain, boundaries, options)
            if component:
                self.made[component] = (*self.made[component], placed.code)
        serves = {(taking.batch, taking.need): other.code for other in self.places.values() for taking in other.takings}
        for code, place in list(self.places.items()):
            if place.chain.needs:
                suppliers = tuple(serves.get((code, need), "") for need in range(len(place.chain.needs)))
                self.places[code] = replace(place, suppliers=suppliers)
        self.fixed |= set(fixed)
        self.count = max((_number(placed.code) for placed in plan.placed if placed.component), default=0)
        self.settle()

    def plan(self) -> Plan:
        """Return the plan as it is now; what is where it was is the same object."""
        grid = self.capacity.grid
        placed = []
        for code, place in sorted(self.places.items()):
            known = self._written.get(code)
            if known is None or known[0] is not place:
                known = self._written[code] = (place, _placed(place, grid))
            placed.append(known[1])
        return Plan(tuple(placed))

    def unplaced(self) -> list[str]:
        """Return the loads that are not placed, in the order of the problem."""
        return [code for code in self.loads if code not in self.places]


def _placed(place: Place, grid: int) -> Placed:
    return Placed(
        place.code,
        tuple(slot * grid for slot in place.boundaries),
        tuple(step.units[option] for step, option in zip(place.chain.steps, place.options, strict=True)),
        place.component,
        place.size,
        place.takings,
    )


def _number(code: str) -> int:
    """Return the number in the name of a component's batch; 0 where it has none."""
    number = code.rpartition("~")[2]
    return int(number) if number.isdecimal() else 0
