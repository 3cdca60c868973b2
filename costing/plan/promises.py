"""The quick check of an inquiry against many windows: four verdicts, each yes a plan that the checker passed.

For each window: insertion beside the plan as it is (with component batches of its own, then joining those that are
there), a proof that it can never be, few promised loads elsewhere inside their windows, then all that may be, in turn
for each window; a plan found for one window is tried for the others. What is left is not decided; only a proof is a no.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from random import Random

from costing.plan.bit_sets import first, last, span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, chain_of
from costing.plan.explaining import Reason
from costing.plan.fast_checking import FastChecker
from costing.plan.insertion import begins_after, begins_before, occupy
from costing.plan.needs_explained import reasons_of
from costing.plan.placing import Placing, leaving_times
from costing.plan.problem import Batch, Order, Plan, Problem, Span
from costing.plan.proofs import Possible, SureUses
from costing.plan.rearranging import Rearranging
from costing.plan.repair import near
from costing.plan.verdicts import AS_PLANNED, BY_REARRANGING, IMPOSSIBLE, UNDECIDED, Answer

_TIMES = 4
_TRIES = 8
_OUT = (2, 3)
_FEW_OUT, _ITERATIONS, _PROVED_AFTER = 1, 50, 3
Enough = Callable[[], bool]


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a check goes.

    Parameters
    ----------
    tries : int
        How often to look again for each window; from the second time on, loads are taken out many times.
    seed : int
        Of the random choices.
    enough : callable or None
        Whether to end earlier: a clock, or somebody who waits.
    """

    tries: int = _TRIES
    seed: int = 1
    enough: Enough | None = None

    def over(self) -> bool:
        """Return whether it has to end."""
        return self.enough is not None and self.enough()


@dataclass(frozen=True, slots=True)
class _Asked:
    """Orders that differ in their window, where their loads could be, what is found, and searches that go on."""

    orders: Sequence[Order]
    own: Sequence[Sequence[Possible]]
    found: list[Answer | None]
    placing: Placing
    random: Random
    searches: dict[int, Rearranging] = field(default_factory=dict)

    def open(self) -> list[int]:
        """Return the places of the windows that are not decided."""
        return [at for at, one in enumerate(self.found) if one is None]


class PromiseCheck:
    """Checks inquiries against one plan.

    Parameters
    ----------
    problem : Problem
        What is promised.
    plan : Plan
        The plan, in which all of it has its place.
    movable : frozenset of str or None
        Loads that may be elsewhere inside their windows; all that are not fixed when left out.
    stays : iterable of str
        Loads that stay where they are in the plan, with what is made for them: they are begun.
    """

    def __init__(
        self, problem: Problem, plan: Plan, movable: frozenset[str] | None = None, stays: Iterable[str] = ()
    ) -> None:
        self.problem, self.plan = problem, plan
        batches = [batch for order in problem.orders for batch in order.batches]
        fixed = {batch.code for batch in batches if batch.fixed} | {one.code for one in problem.components if one.fixed}
        begun = {place.code for place in plan.placed if place.boundaries[0] < problem.kitchen.now}
        driven = {batch.code for order in problem.orders for batch in order.batches if self._is_set(order, batch)}
        begun |= made_for(plan, stays)
        for_several = {one.code for one in problem.components if one.apart is not None}
        fixed |= begun | (driven & {place.code for place in plan.placed})
        self.fixed = frozenset(fixed | made_with(plan, fixed, for_several))
        self.movable = (frozenset(batch.code for batch in batches) if movable is None else movable) - self.fixed
        self._movable = sorted(self.movable)
        self._checker = FastChecker(problem, plan)
        self.empty = Capacity(problem.kitchen)
        self._blank = Placing(problem)
        placed = (one for one in plan.placed if one.component and one.component not in for_several)
        self._begun = {place.component for place in placed if place.code in self.fixed}
        self.low = -(-problem.kitchen.now // problem.kitchen.grid)
        self._take_fixed()
        loads = [(order, one) for order in problem.orders for one in order.batches if one.code not in self.fixed]
        # Of loads that are not full one could be made for several orders, whatever the plan does: one is sure.
        self._kinds = {one.kind for _, one in loads if one.kind}
        kinds = {one.kind: one.code for _, one in reversed(loads)}
        promised = [self._possible(order, one) for order, one in loads if not one.kind or kinds[one.kind] == one.code]
        self._sure = SureUses(self.empty, promised)

    def _take_fixed(self) -> None:
        """Take what is used whatever is moved; a component's last stay may still end earlier, and a drive too."""
        placing = Placing(self.problem, self._blank)
        placing.load(self.plan, self.fixed)
        for code in sorted(self.fixed & placing.places.keys()):
            place = placing.places[code]
            boundaries = place.boundaries
            if place.component or self._blank.after[code]:
                boundaries = (*boundaries[:-1], min(boundaries[-1], boundaries[-2] + place.chain.steps[-1].least))
            occupy(self.empty, place.chain, boundaries, place.options)

    def _is_set(self, order: Order, batch: Batch) -> bool:
        """Return whether it is a drive of an order that leaves at one time only, with one vehicle: nothing moves it."""
        alike = {one.code for one in self.problem.kitchen.resources if one.divided and one.count > 1}
        choice = any(use.resource in alike for element in batch.making.elements for use in element.uses)
        at_one_time = len(order.windows) == 1 and order.windows[0][0] == order.windows[0][1]
        return batch.after > 0 and at_one_time and not choice

    def _possible(self, order: Order, batch: Batch) -> Possible:
        """Return where each boundary of a load may be in an empty kitchen."""
        chain = chain_of(batch.making, self.empty)
        slots, musts = _ends(order, batch, self.empty), self._musts(chain)
        after = begins_after(self.empty, chain, self.low, musts)
        ends = after[-1] & slots
        if not ends:
            return Possible(chain, tuple(after))
        found = [0] * len(chain.steps)
        for time in (first(ends), last(ends)):
            begins = begins_before(self.empty, chain, time, time, self.low, musts)
            if begins is None:
                return Possible(chain, tuple(after))
            found = [one | more for one, more in zip(found, begins, strict=True)]
        # Between the first and the last time of leaving each boundary lies between what both allow.
        hulls = [
            span(first(one), last(one) + 1) & here for one, here in zip(found, after[:-1], strict=True) if one and here
        ]
        return Possible(chain, (*hulls, ends)) if len(hulls) == len(found) else Possible(chain, tuple(after))

    def _musts(self, chain: Chain) -> dict[int, int]:
        """Return when what a load takes could be made in an empty kitchen; nothing where some of it may be there."""
        return {} if self._begun else self._blank.musts(chain)

    def check(self, inquiry: Order, windows: Sequence[Span], limits: Limits | None = None) -> list[Answer]:
        """Return a verdict for each window.

        Parameters
        ----------
        inquiry : Order
            What is asked for; its own windows are not looked at.
        windows : sequence of (int, int)
            When it may leave [min].
        limits : Limits or None
            How far to go.
        """
        bounds = limits or Limits()
        orders = [replace(inquiry, windows=(window,)) for window in windows]
        placing = Placing(replace(self.problem, orders=(*self.problem.orders, *orders[:1])), self._blank)
        placing.load(self.plan, self.fixed)
        own = [[self._possible(order, batch) for batch in order.batches] for order in orders]
        found = [
            self._beside(placing, order) or self._never(order, possible)
            for order, possible in zip(orders, own, strict=True)
        ]
        asked = _Asked(orders, own, found, placing, Random(bounds.seed))  # noqa: S311 - a search, no secret
        # One try for each window in turn: what is hard keeps nothing from what is easy.
        for turn in range(bounds.tries):
            for at in asked.open():
                if found[at] is None and not bounds.over():
                    self._try(asked, at, turn, bounds)
            if turn == _PROVED_AFTER:
                self._prove(asked, bounds)
        if bounds.tries <= _PROVED_AFTER:
            self._prove(asked, bounds)
        return [one or Answer(UNDECIDED) for one in found]

    def _try(self, asked: _Asked, at: int, turn: int, limits: Limits) -> None:
        """Look for a place for one window: with few loads elsewhere at first, then with all that may be."""
        order, search = asked.orders[at], asked.searches.get(at)
        if turn < _FEW_OUT:
            asked.found[at] = self._anew(asked.placing, order, asked.random)
            return
        if search is None:
            problem = replace(self.problem, orders=(*self.problem.orders, order))
            search = asked.searches[at] = Rearranging(
                problem, self.plan, self.fixed, self._movable, limits.seed, asked.placing
            )
        plan = search.go_on(_ITERATIONS, limits.over)
        if plan is not None:
            asked.found[at] = self._yes(plan, order, BY_REARRANGING)
            self._at_other_times(asked.searches.pop(at), asked)

    def _at_other_times(self, search: Rearranging, asked: _Asked) -> None:
        """Look whether what was made free for one window has room for others."""
        for at in asked.open():
            order = asked.orders[at]
            plan = search.at_another_time(leaving_times(_slots(order, self.empty), _TIMES))
            if plan is not None:
                asked.found[at] = self._yes(plan, order, BY_REARRANGING)

    def _prove(self, asked: _Asked, limits: Limits) -> None:
        """Look at sums of sure use where nothing is decided."""
        for at in asked.open():
            if limits.over():
                return
            own = zip(asked.own[at], asked.orders[at].batches, strict=True)
            mine = [possible for possible, batch in own if batch.kind not in self._kinds]
            sure = self._sure.too_much(mine) if mine else None
            if sure is not None:
                asked.found[at] = Answer(IMPOSSIBLE, sure_use=sure)

    def _beside(self, placing: Placing, order: Order) -> Answer | None:
        """Return a yes beside the plan as it is, a no with its proof, or None."""
        mark = placing.mark()
        slots = _slots(order, self.empty)
        for join in (False, True):
            for time in leaving_times(slots, _TIMES):
                if self._put_all(placing, order, time, join):
                    answer = self._yes(placing.plan(), order, AS_PLANNED)
                    placing.back_to(mark)
                    if answer is not None:
                        return answer
                placing.back_to(mark)
        return None

    @staticmethod
    def _put_all(placing: Placing, order: Order, time: int, join: bool) -> bool:
        return all(placing.put(batch.code, time, join=join) for batch in order.batches)

    def _never(self, order: Order, own: Sequence[Possible]) -> Answer | None:
        """Return a no with what is in the way where a load of an order has no place in an empty kitchen."""
        for one, batch in zip(own, order.batches, strict=True):
            slots = _ends(order, batch, self.empty)
            if not one.slots[-1] & slots and not self._fits_larger(batch, slots):
                return Answer(IMPOSSIBLE, reasons=self._reasons(one.chain, slots))
        return None

    def _fits_larger(self, batch: Batch, slots: int) -> bool:
        """Return whether what fits nowhere by itself does in a larger load for several orders.

        Such a load may be the quicker one, as where its work is divided among more people.
        """
        taken = self._blank.load_taken(batch)
        if taken is None:
            return False
        sizes = self._blank.sizes[taken.component]
        larger = [sizes[at].chain for at in range(sizes.place(taken.amount) or 0, len(sizes))]
        # Of those that last as long the smallest needs the fewest places.
        least = {self._lasts(one): one for one in reversed(larger)}
        return any(begins_after(self.empty, one, self.low, self._musts(one))[-1] & slots for one in least.values())

    def _lasts(self, chain: Chain) -> tuple[tuple[int, int], ...]:
        """Return how long each step of a load lasts, and in which sizes what it takes is made."""
        sizes = self._blank.sizes
        needs = ((need.element, sizes[need.component].place(need.amount) or 0) for need in chain.needs)
        return (*((step.least, step.longest) for step in chain.steps), *needs)

    def _reasons(self, chain: Chain, leaves: int) -> tuple[Reason, ...]:
        """Return what is in the way of a load in an empty kitchen, or of what it takes."""
        return reasons_of(self._blank, chain, leaves, self.empty)

    def _yes(self, plan: Plan, order: Order, verdict: str) -> Answer | None:
        return Answer(verdict, plan) if self._checker.holds(plan, (*self.problem.orders, order)) else None

    def _anew(self, placing: Placing, order: Order, random: Random) -> Answer | None:
        """Take few promised loads out, put the inquiry in and them again."""
        slots = _slots(order, self.empty)
        mark = placing.mark()
        time = random.choice(leaving_times(slots, _TIMES) or [0])
        there = [code for code in self._movable if code in placing.places]
        out = self._together(placing, near(placing, there, time, random)[: random.choice(_OUT)])
        before = {code: placing.places[code].boundaries[-1] - placing.after[code] for code in out}
        for code in out:
            placing.take_out(code)
        random.shuffle(out)
        answer = None
        if self._put_all(placing, order, time, True) and all(self._again(placing, code, before) for code in out):
            answer = self._yes(placing.plan(), order, BY_REARRANGING)
        placing.back_to(mark)
        return answer

    def _together(self, placing: Placing, codes: Sequence[str]) -> list[str]:
        """Return loads with all that are made as one with them; none of those of which one stays."""
        groups = (placing.sharing(code) for code in codes)
        return list(dict.fromkeys(code for group in groups if self.movable.issuperset(group) for code in group))

    @staticmethod
    def _again(placing: Placing, code: str, before: dict[str, int]) -> bool:
        """Put a load in again, leaving with what is still there of its order, else when it left before."""
        leaves = placing.leaves(placing.order_of[code])
        return placing.put(code, before[code] if leaves is None else leaves)


def _slots(order: Order, capacity: Capacity) -> int:
    found = 0
    for begin, end in order.windows:
        found |= span(-(-begin // capacity.grid), end // capacity.grid + 1)
    return found & capacity.everything


def made_for(plan: Plan, codes: Iterable[str]) -> set[str]:
    """Return those of some batches that are in a plan, and all batches of components made for them.

    Parameters
    ----------
    plan : Plan
        Where everything is.
    codes : iterable of str
        Batches.
    """
    places, found = plan.by_code(), set[str]()
    waiting = [code for code in codes if code in places]
    while waiting:
        found.add(code := waiting.pop())
        taken = (one.code for one in plan.placed if any(taking.batch == code for taking in one.takings))
        waiting += [one for one in taken if one not in found]
    return found


def made_with(plan: Plan, codes: Iterable[str], loads: Collection[str]) -> set[str]:
    """Return the loads for several orders of which some are among these batches, and all that is taken of them.

    A load stays where it is if it stays for one of its orders.

    Parameters
    ----------
    plan : Plan
        Where everything is.
    codes : iterable of str
        Batches: such loads, or what is taken of them.
    loads : collection of str
        Codes of the components that are such loads.
    """
    there, found = set(codes), set[str]()
    for one in plan.placed:
        taken = {taking.batch for taking in one.takings}
        if one.component in loads and there & {one.code, *taken}:
            found |= {one.code, *taken}
    return found


def _ends(order: Order, batch: Batch, capacity: Capacity) -> int:
    """Return when the last step of a batch may end."""
    return (_slots(order, capacity) << batch.after // capacity.grid) & capacity.everything
