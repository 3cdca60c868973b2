"""What is in the way of an inquiry: batches are placed one after another until one fits nowhere."""

from __future__ import annotations

from costing.plan.bit_sets import each, last, span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, chain_of
from costing.plan.explaining import Explainer, Reason
from costing.plan.insertion import begins_before, occupy, traced
from costing.plan.problem import Batch, Component, Order, Problem
from costing.plan.questions import Question

_MOST_TIMES = 300


def obstacles(problem: Problem, asked: str, *, movable: bool) -> tuple[Reason, ...]:
    """Return what is in the way of an order, as far as one or two causes say it; nothing where all fits one by one.

    Parameters
    ----------
    problem : Problem
        What is promised.
    asked : str
        Code of the order.
    movable : bool
        Whether only what can never be moved is in the way; otherwise all that is planned.
    """
    order = next(one for one in problem.orders if one.code == asked)
    capacity = Question(problem, asked, movable=movable).taken_first()
    return _Obstacles(problem, capacity, order).found()


class _Obstacles:
    def __init__(self, problem: Problem, capacity: Capacity, order: Order) -> None:
        self.capacity, self.order = capacity, order
        self.components: dict[str, Component] = {one.code: one for one in problem.components}
        self.low = -(-problem.kitchen.now // problem.kitchen.grid)
        self.leaves = 0
        for begin, end in order.windows:
            self.leaves |= span(-(-begin // capacity.grid), end // capacity.grid + 1)
        self.leaves &= capacity.everything

    def found(self) -> tuple[Reason, ...]:
        if not self.leaves:
            return ()
        for batch in self.order.batches:
            reasons = self._of(batch)
            if reasons:
                return reasons
        return ()

    def _of(self, batch: Batch) -> tuple[Reason, ...]:
        chain = chain_of(batch.making, self.capacity)
        times = self._place(chain, self.leaves)
        if times is None:
            return Explainer(self.capacity, chain, self.leaves, self.low).reasons()
        return self._of_needs(chain, times)

    def _of_needs(self, chain: Chain, times: tuple[int, ...]) -> tuple[Reason, ...]:
        for need in chain.needs:
            component = self.components.get(need.component)
            if component is None or component.planned is not None:
                continue
            own = chain_of(component.sizes[0].making, self.capacity)
            used = 1 << times[need.element]
            placed = self._place(own, used)
            reasons = (
                Explainer(self.capacity, own, used, self.low).reasons()
                if placed is None
                else self._of_needs(own, placed)
            )
            if reasons:
                return reasons
        return ()

    def _place(self, chain: Chain, leaves: int) -> tuple[int, ...] | None:
        times = list(each(leaves))
        for time in reversed(times[:: max(1, len(times) // _MOST_TIMES)]):
            begins = begins_before(self.capacity, chain, time, time, self.low)
            if begins is not None:
                boundaries, options = traced(self.capacity, chain, begins, last(begins[0]), time)
                occupy(self.capacity, chain, boundaries, options)
                return boundaries
        return None
