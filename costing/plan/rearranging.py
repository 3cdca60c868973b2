"""A whole plan anew for one inquiry: everything that may move does, and what need not have moved goes back."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from costing.plan.places import Place, Places
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
    alike : Places or None
        Another plan of the same kitchen.
    """

    def __init__(
        self,
        problem: Problem,
        plan: Plan,
        fixed: Collection[str],
        movable: Collection[str],
        seed: int,
        alike: Places | None = None,
    ) -> None:
        self._placing = Placing(problem, alike)
        self._placing.load(plan, fixed)
        places = self._placing.places
        self._before = {code: places[code] for code in self._placing.loads if code in places}
        self._loads = {one.code: one for one in places.values() if one.component in self._placing.apart}
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
        """Let each load that is elsewhere be where it was, if that is free: one for several orders with all of them."""
        placing = self._placing
        for _, load in sorted(self._loads.items()):
            self._put_load_back(load)
        for code, before in sorted(self._before.items()):
            if placing.places[code].boundaries == before.boundaries or placing.taken_load(code) is not None:
                continue
            mark = placing.mark()
            placing.take_out(code)
            if not placing.put_as(code, before.boundaries):
                placing.back_to(mark)
        placing.settle()

    def _put_load_back(self, load: Place) -> None:
        placing = self._placing
        codes = [one.batch for one in load.takings]
        if all(self._is_as_before(code, load) for code in codes):
            return
        mark = placing.mark()
        for code in codes:
            placing.take_out(code)
        musts = {at: 1 << slot for at, slot in enumerate(load.boundaries[:-1])}
        leaving = {code: self._before[code].boundaries[-1] for code in codes}
        # What was made with it meanwhile keeps its own load, of which the name may be the same.
        named = replace(load, code=load.code if load.code not in placing.places else placing.name(load.component))
        if not placing.put_load(named, musts, leaving):
            placing.back_to(mark)

    def _is_as_before(self, code: str, load: Place) -> bool:
        """Return whether a load that an order takes from is where it was, for the same orders."""
        now, before = self._placing.load_of(code), self._before[code]
        there = self._placing.places[code].boundaries == before.boundaries
        return there and now.boundaries[:-1] == load.boundaries[:-1] and now.takings == load.takings
