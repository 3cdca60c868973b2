"""Few batches at once, exactly: every choice of who goes before whom, until none breaks a rule or none is left.

Boundaries are variables with sets of slots. Stays, shelf lives, needs, a common time of leaving and "this before that"
are constraints under which the latest of each variable, taken together, is a solution (and the earliest of each too).
So each node of the search asks only which capacity that solution breaks, and branches on the steps that break it: one
of them ends before another begins, or they go together at another time, when there is more. What is exhausted is
proved.

References
----------
M. Bartusch, R. H. Möhring, F. J. Radermacher, "Scheduling project networks with resource constraints and time
windows", Annals of Operations Research 16 (1988): branching on forbidden sets. From memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from costing.plan.bit_sets import Starts, first, last, span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, starts_of
from costing.plan.conflicts import Conflict, StepUse, conflict_in
from costing.plan.variables import Before, Model, Solved

Domains = list[int]
LATEST, EARLIEST = "latest", "earliest"
_FEW = 20


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a search came to.

    Parameters
    ----------
    solved : Solved or None
        The best solution found.
    exhausted : bool
        Whether nothing better is left: without a solution, that there is none.
    """

    solved: Solved | None
    exhausted: bool


@dataclass(slots=True)
class _Node:
    domains: Domains
    before: tuple[Before, ...]
    touched: set[int]
    units: dict[tuple[int, int], int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Within:
    """One variable is in a set."""

    variable: int
    slots: int


class Search:
    """A search over one model.

    Parameters
    ----------
    capacity : Capacity
        What is free beside what does not change.
    model : Model
        The batches to place.
    side : str
        `LATEST` or `EARLIEST`: from which end solutions are made.
    """

    def __init__(self, capacity: Capacity, model: Model, side: str = LATEST) -> None:
        self.capacity, self.model, self.side = capacity, model, side
        self._pick: Callable[[int], int] = last if side == LATEST else first
        self._starts: dict[tuple[tuple[int, int, float], ...], Starts] = {}
        self._items: list[list[int]] = [[] for _ in model.starts]
        self._rules: list[list[Before]] = [[] for _ in model.starts]
        for one, item in enumerate(model.items):
            for variable in item.variables:
                self._items[variable].append(one)
        for rule in model.before:
            self._rules[rule.early].append(rule)
            self._rules[rule.late].append(rule)

    def run(self, nodes: int, *, optimize: bool = False) -> Outcome:
        """Search.

        Parameters
        ----------
        nodes : int
            How many nodes to look at, as long as the batches are few.
        optimize : bool
            Whether to go on for the latest start (or the earliest time at which all is ready) after the first
            solution.
        """
        best: Solved | None = None
        waiting = [self._root()]
        # More batches make each node dearer.
        nodes = nodes * _FEW // max(_FEW, len(self.model.items))
        while waiting and nodes > 0:
            nodes -= 1
            node = waiting.pop()
            self._cut(node, best)
            if not self._propagated(node):
                continue
            found = self._judged(node)
            if isinstance(found, Solved):
                best = found
                if not optimize:
                    return Outcome(best, False)
            else:
                waiting.extend(reversed(self._branches(node, found)))
        return Outcome(best, not waiting)

    def _root(self) -> _Node:
        return _Node(self.model.domains(self.capacity), (), set(range(len(self.model.starts))))

    def narrowed(self) -> Domains | None:
        """Return where each boundary may be while batches are not in each other's way; None where one fits nowhere."""
        node = self._root()
        return node.domains if self._propagated(node) else None

    def _cut(self, node: _Node, best: Solved | None) -> None:
        """Leave only what is better than the best so far."""
        if best is None:
            return
        better = span(0, best.value) if self.side == EARLIEST else ~span(0, best.value + 1)
        for variable in self.model.watched(self.side):
            node.domains[variable] &= better
            node.touched.add(variable)

    def _propagated(self, node: _Node) -> bool:
        """Narrow all variables until nothing changes; return whether each can still be somewhere."""
        touched, waiting = node.touched, set[int]()
        while touched or waiting:
            while touched:
                variable = touched.pop()
                if not node.domains[variable]:
                    return False
                waiting.update(self._items[variable])
                self._order(node, variable)
            if not waiting:
                break
            # The chains' own order, so that a search is the same in every process.
            one = min(waiting)
            waiting.remove(one)
            for variable in self._arcs(node, one):
                if not node.domains[variable]:
                    return False
                # Through itself a chain has nothing more to narrow; others share when it leaves.
                waiting.update(other for other in self._items[variable] if other != one)
                self._order(node, variable)
        return True

    def _order(self, node: _Node, variable: int) -> None:
        """Narrow by what comes before or after a variable."""
        for rule in (*self._rules[variable], *node.before):
            if variable in (rule.early, rule.late):
                node.touched.update(_ordered(node.domains, rule))

    def _arcs(self, node: _Node, one: int) -> list[int]:
        """Narrow a batch's boundaries back and forth; return which changed."""
        item, domains = self.model.items[one], node.domains
        variables = item.variables
        changed = []
        for at in reversed(range(len(item.chain.steps))):
            reached = self._through(item.chain, at, domains[variables[at + 1]], node.units.get((one, at)), back=True)
            if _narrowed(domains, variables[at], reached):
                changed.append(variables[at])
        for at in range(len(item.chain.steps)):
            reached = self._through(item.chain, at, domains[variables[at]], node.units.get((one, at)), back=False)
            if _narrowed(domains, variables[at + 1], reached):
                changed.append(variables[at + 1])
        return changed

    def _through(self, chain: Chain, at: int, slots: int, unit: int | None, *, back: bool) -> int:
        step = chain.steps[at]
        if step.longest < step.least:
            return 0
        found = 0
        for option in step.options if unit is None else (step.options[unit],):
            starts = self._starts.get(option)
            if starts is None:
                starts = self._starts[option] = _remembered(starts_of(self.capacity, option))
            found |= _stayed(slots, step.least, step.longest, starts, back=back)
        return found & self.capacity.everything

    def _judged(self, node: _Node) -> Solved | Conflict:
        values = [self._pick(domain) for domain in node.domains]
        ends = self.model.ends(values)
        uses: list[StepUse] = []
        for one, item in enumerate(self.model.items):
            for at, step in enumerate(item.chain.steps):
                begin = values[item.variables[at]]
                end = ends[one] if at + 1 == len(item.chain.steps) else values[item.variables[at + 1]]
                if end > begin and any(step.options):
                    uses.append(StepUse(one, at, begin, end, step.options, node.units.get((one, at))))
        found = conflict_in(self.capacity, uses, late=self.side == LATEST)
        if isinstance(found, Conflict):
            return found
        return self.model.solved(values, ends, found, self.side)

    def _branches(self, node: _Node, conflict: Conflict) -> list[_Node]:
        if conflict.choose is not None:
            one, at = conflict.choose
            count = len(self.model.items[one].chain.steps[at].options)
            own = self.model.items[one].variables
            return [
                _Node(list(node.domains), node.before, {own[0]}, {**node.units, (one, at): unit})
                for unit in range(count)
            ]
        branches: list[tuple[int, Before | _Within]] = []
        for mine in conflict.steps:
            step = self.model.items[mine.item].chain.steps[mine.at]
            if step.least == 0:
                own = self._variables(mine)
                branches.append((mine.end - mine.begin, Before(own[1], own[0], 0)))
            for other in conflict.steps:
                if other is not mine:
                    ends, begins = self._variables(mine)[1], self._variables(other)[0]
                    branches.append((mine.end - other.begin, Before(ends, begins, 0)))
            if conflict.short is not None:
                # Or all go together, but not while there is too little.
                begins, ends = self._variables(mine)
                low, high = conflict.short
                branches.append((mine.end - low, _Within(ends, span(0, low + 1))))
                branches.append((high - mine.begin, _Within(begins, self.capacity.everything & ~span(0, high))))
        branches.sort(key=lambda branch: branch[0])
        return [_with(node, rule) for _, rule in branches]

    def _variables(self, use: StepUse) -> tuple[int, int]:
        variables = self.model.items[use.item].variables
        return variables[use.at], variables[use.at + 1]


def _with(node: _Node, rule: Before | _Within) -> _Node:
    domains = list(node.domains)
    if isinstance(rule, Before):
        return _Node(domains, (*node.before, rule), {rule.early, rule.late}, dict(node.units))
    domains[rule.variable] &= rule.slots
    return _Node(domains, node.before, {rule.variable}, dict(node.units))


def _remembered(starts: Starts) -> Starts:
    known: dict[int, int] = {}

    def found(length: int) -> int:
        if length not in known:
            known[length] = starts(length)
        return known[length]

    return found


def _stayed(slots: int, least: int, longest: int, starts: Starts, *, back: bool) -> int:
    slots = (slots >> least) & starts(least) if back else (slots & starts(least)) << least
    done, most = 0, longest - least
    while done < most and slots:
        step = min(done + 1, most - done)
        slots |= (slots >> step) & starts(step) if back else (slots & starts(step)) << step
        done += step
    return slots


def _narrowed(domains: Domains, variable: int, reached: int) -> bool:
    smaller = domains[variable] & reached
    if smaller == domains[variable]:
        return False
    domains[variable] = smaller
    return True


def _ordered(domains: Domains, rule: Before) -> list[int]:
    """Narrow by "this, and so many slots, before that"; return which variables changed."""
    changed = []
    early, late = domains[rule.early], domains[rule.late]
    if early and late and (low := first(early) + rule.slots) > first(late):
        domains[rule.late] = late = late & ~span(0, low)
        changed.append(rule.late)
    if early and late and (high := last(late) - rule.slots) < last(early):
        domains[rule.early] = early & span(0, high + 1)
        changed.append(rule.early)
    return changed
