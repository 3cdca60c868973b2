"""A whole plan anew for one inquiry: everything that may move does, and what need not have moved goes back."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from costing.plan.placing import Placing
from costing.plan.problem import Plan, Problem
from costing.plan.repair import Enough, Repair, never


class Rearranging:
    """A search that can be gone on with.

    Parameters
    ----------
    problem : Problem
        What is promised, with the inquiry.
    plan : Plan
        The plan so far, without the inquiry.
    fixed : collection of str
        Batches that stay where they are.
    movable : collection of str
        Loads that may be elsewhere.
    seed : int
        Of the random choices.
    """

    def __init__(
        self, problem: Problem, plan: Plan, fixed: Collection[str], movable: Collection[str], seed: int
    ) -> None:
        self._before = {place.code: place.boundaries for place in plan.placed if not place.component}
        self._placing = Placing(problem)
        self._placing.load(plan, fixed)
        self._new = [code for code in self._placing.loads if code not in self._before]
        self._repair = Repair(self._placing, seed, [*self._new, *sorted(movable)])
        self._begun = False

    def go_on(self, iterations: int, enough: Enough = never) -> Plan | None:
        """Return a plan in which everything has its place, or None for now.

        Parameters
        ----------
        iterations : int
            How often to take loads out at most.
        enough : callable
            Whether to end earlier.
        """
        if not self._begun:
            self._begun = True
            self._repair.first_plan()
        if self._repair.repair(iterations, enough):
            return None
        self._put_back()
        return self._placing.plan()

    def at_another_time(self, times: Sequence[int]) -> Plan | None:
        """Return the plan found, with the inquiry leaving at one of other times, if it has room then; or None.

        Parameters
        ----------
        times : sequence of int
            When it may leave [slot].
        """
        placing, found = self._placing, None
        mark = placing.mark()
        for code in self._new:
            placing.take_out(code)
        free = placing.mark()
        for time in times:
            if found is None and all(placing.put(code, time) for code in self._new):
                found = placing.plan()
            placing.back_to(free)
        placing.back_to(mark)
        return found

    def _put_back(self) -> None:
        """Let each load that is elsewhere be where it was, if that is free."""
        placing, grid = self._placing, self._placing.capacity.grid
        for code, minutes in sorted(self._before.items()):
            boundaries = tuple(-(-minute // grid) for minute in minutes)
            if placing.places[code].boundaries == boundaries:
                continue
            mark = placing.mark()
            placing.take_out(code)
            if not placing.put_as(code, boundaries):
                placing.back_to(mark)
        placing.settle()
