"""Sums of sure use: what is used between two times in every plan, against what there is. More needed than there is
proves that not everything can be planned, whatever is moved.

References
----------
J. Erschler, P. Lopez, "Energy-based approach for task scheduling under time and resources constraints", 2nd
International Workshop on Project Management and Scheduling, Compiègne (1990): the energy of a task in an interval is
the least of what it uses there when it is as early and as late as it can be. From memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from costing.plan.bit_sets import first, last
from costing.plan.capacity import AWAY, Capacity
from costing.plan.chains import Chain, Step
from costing.plan.problem import VEHICLE

Times = npt.NDArray[np.int64]
Group = tuple[str, int]
"""A resource, and the first of its alike that count."""
_MOST_TIMES = 60


@dataclass(frozen=True, slots=True)
class SureUse:
    """More needed between two times than there is.

    Parameters
    ----------
    resource : str
        Of what.
    begin : int
        [min].
    end : int
        [min].
    needed : int
        Places or hands times minutes.
    available : int
        Places or hands times minutes.
    """

    resource: str
    begin: int
    end: int
    needed: int
    available: int


@dataclass(frozen=True, slots=True)
class Possible:
    """A batch, and where each of its boundaries may be when it is alone in the kitchen.

    Parameters
    ----------
    chain : Chain
        Its steps.
    slots : tuple of int
        For each boundary, the set of slots.
    """

    chain: Chain
    slots: tuple[int, ...]


class SureUses:
    """Sums of sure use over batches that are promised, ready for more to be added.

    Parameters
    ----------
    capacity : Capacity
        What is free beside what cannot be moved.
    batches : sequence of Possible
        All that is promised and can be moved.
    """

    def __init__(self, capacity: Capacity, batches: Sequence[Possible]) -> None:
        self._capacity = capacity
        self._uses = {group: _array(batches, group, capacity) for group in _groups(capacity)}
        self._free: dict[Group, Times] = {}
        for group in self._uses:
            rows = _rows(group, capacity)
            free = np.sum([np.maximum(capacity.rows[row], 0) for row in rows], axis=0, dtype=np.int64)
            self._free[group] = np.concatenate(([0], np.cumsum(free)))

    def too_much(self, more: Sequence[Possible] | None = None) -> SureUse | None:
        """Return the shortest time in which more is needed in every plan than there is, or None.

        Parameters
        ----------
        more : sequence of Possible or None
            What is asked for besides; then only what it uses itself is looked at.
        """
        found: list[SureUse] = []
        for group, promised in self._uses.items():
            own = _array(more or (), group, self._capacity)
            uses = np.concatenate((promised, own))
            if not len(uses) or (more is not None and not len(own)):
                continue
            near = uses
            if more is not None:
                # What cannot be at the same time as the new steps was enough without them.
                low, high = int(own[:, 0].min()), int((own[:, 1] + own[:, 2]).max())
                near = uses[(uses[:, 0] < high) & (uses[:, 1] + uses[:, 2] > low)]
            sure = _in_row(self._capacity, group[0], near, self._free[group])
            if sure is not None:
                found.append(sure)
        return min(found, key=lambda sure: (sure.end - sure.begin, sure.available - sure.needed), default=None)


def _groups(capacity: Capacity) -> Iterator[Group]:
    """Yield each resource, and the last of the vehicles: what needs one of these has no use of the others."""
    for code, rows in capacity.units.items():
        yield from ((code, among) for among in range(len(rows) if code == VEHICLE else 1))


def _rows(group: Group, capacity: Capacity) -> tuple[int, ...]:
    return capacity.units[group[0]][group[1] :]


def _array(batches: Sequence[Possible], group: Group, capacity: Capacity) -> Times:
    uses = [use for batch in batches for use in _uses(batch, group, capacity)]
    return np.array(uses, dtype=np.int64).reshape(-1, 4)


def _uses(batch: Possible, group: Group, capacity: Capacity) -> Iterator[tuple[int, int, int, int]]:
    """Yield earliest begin, latest begin, least slots and places of each run of steps that uses a resource."""
    steps = batch.chain.steps
    rows = _rows(group, capacity)
    at = 0
    while at < len(steps):
        amount = _amount(steps[at], rows)
        behind = at + 1
        while amount and behind < len(steps) and _amount(steps[behind], rows) == amount:
            behind += 1
        if amount:
            # Stays that can be drawn out end no earlier than the boundary behind them can be.
            earliest, latest = first(batch.slots[at]), last(batch.slots[at])
            least = sum(step.least for step in steps[at:behind])
            yield earliest, latest, max(least, first(batch.slots[behind]) - latest), amount
        at = behind


def _amount(step: Step, rows: tuple[int, ...]) -> int:
    # Of what counts only at times, nothing is sure. The first option is in the first of the alike that will do.
    return sum(amount for row, amount, heat in step.options[0] if row in rows and heat != AWAY)


def _in_row(capacity: Capacity, code: str, uses: Times, free: Times) -> SureUse | None:
    earliest, latest, least, _ = uses.T
    # Times between which whole steps have to be done are understood most easily; others are looked at if these fail.
    found = _between(uses, free, _few(np.unique(earliest)), _few(np.unique(latest + least)))
    if found is None:
        begins = _few(np.unique(np.concatenate((earliest, latest))))
        found = _between(uses, free, begins, _few(np.unique(np.concatenate((earliest + least, latest + least)))))
    if found is None:
        return None
    begin, end, needed, there = (number * capacity.grid for number in found)
    return SureUse(code, begin, end, needed, there)


def _between(uses: Times, free: Times, begins: Times, ends: Times) -> tuple[int, int, int, int] | None:
    """Return begin, end, needed and available of the shortest time in which more is needed than there is."""
    earliest, latest, least, amount = uses.T
    ends = ends[ends < len(free)]
    best: tuple[int, int, int, int, int] | None = None
    for begin in begins:
        behind = ends[ends > begin]
        if not len(behind):
            continue
        # As early as it can be, and as late: the least of both is used in every plan.
        early = np.minimum(earliest[:, None] + least[:, None], behind) - np.maximum(earliest[:, None], begin)
        late = np.minimum(latest[:, None] + least[:, None], behind) - np.maximum(latest[:, None], begin)
        sure = np.clip(np.minimum(early, late), 0, None)
        needed = (sure * amount[:, None]).sum(axis=0)
        there = free[behind] - free[begin]
        for at in np.flatnonzero(needed > there)[:1]:
            one = (int(behind[at] - begin), int(there[at] - needed[at]), int(begin), int(behind[at]), int(needed[at]))
            best = one if best is None else min(best, one)
    if best is None:
        return None
    _, less, begin, end, needed = best
    return begin, end, needed, needed + less


def _few(times: Times) -> Times:
    return times if len(times) <= _MOST_TIMES else times[:: -(-len(times) // _MOST_TIMES)]
