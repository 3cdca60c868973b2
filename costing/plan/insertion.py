"""One batch among what is planned: where each of its boundaries may be, exactly, and one choice of them.

`begins_before` goes backward from when the batch leaves (or is used), `begins_after` forward from now. A chain of steps
is solved exactly, because each boundary depends on its neighbors alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from costing.plan.bit_sets import drawn_out_after, drawn_out_before, first, last, span
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain, Option, Step, starts_of

Choice = Callable[[int], int]
"""A set of slots that is not empty to one of them."""
Musts = Mapping[int, int]
"""Position of a step to the set of slots at which it may begin."""
ANYWHERE: Musts = {}


def begins_before(
    capacity: Capacity, chain: Chain, first_use: int, last_use: int, low: int, musts: Musts = ANYWHERE
) -> list[int] | None:
    """Return for each step when it may begin so that the rest fits, or None when nothing fits.

    Parameters
    ----------
    capacity : Capacity
        What is free.
    chain : Chain
        The steps.
    first_use : int
        Slot at which the last stay must have lasted its least.
    last_use : int
        Slot at which the last stay ends.
    low : int
        No step begins before this slot.
    musts : mapping of int to int
        For some steps, the slots at which they may begin.
    """
    steps = chain.steps
    allowed = span(low, last_use + 1)
    found = [0] * len(steps)
    at = len(steps) - 1
    here = _last_stay(capacity, steps[at], first_use, last_use)
    while True:
        here &= allowed
        if steps[at].attended:
            here &= capacity.attended
        if at in musts:
            here &= musts[at]
        if chain.fresh is not None and chain.fresh[0] == at:
            here &= ~span(0, last_use - chain.fresh[1])
        if not here:
            return None
        found[at] = here
        if at == 0:
            return found
        at -= 1
        here = _before(capacity, steps[at], here)


def _last_stay(capacity: Capacity, step: Step, first_use: int, last_use: int) -> int:
    found = 0
    for option in step.options:
        low = last_use - step.longest
        for claim in option:
            taken = ~capacity.runs(*claim).free & span(max(0, low), last_use)
            if taken:
                low = max(low, last(taken) + 1)
        found |= span(max(0, low), first_use - step.least + 1)
    return found


def _before(capacity: Capacity, step: Step, ends: int) -> int:
    found = 0
    for option in step.options:
        starts = starts_of(capacity, option)
        here = (ends >> step.least) & starts(step.least)
        found |= drawn_out_before(here, step.longest - step.least, starts) if step.longest >= step.least else 0
    return found


def _after(capacity: Capacity, step: Step, begins: int) -> int:
    found = 0
    for option in step.options:
        starts = starts_of(capacity, option)
        here = (begins & starts(step.least)) << step.least
        found |= drawn_out_after(here, step.longest - step.least, starts) if step.longest >= step.least else 0
    return found & capacity.everything


def begins_after(capacity: Capacity, chain: Chain, low: int, musts: Musts = ANYWHERE) -> list[int]:
    """Return for each step when it may begin so that what is before it fits, and at last when the batch may end.

    A batch's shelf life is left out; whoever goes back from an end looks at it.

    Parameters
    ----------
    capacity : Capacity
        What is free.
    chain : Chain
        The steps.
    low : int
        No step begins before this slot.
    musts : mapping of int to int
        For some steps, the slots at which they may begin.
    """
    here = capacity.everything & ~span(0, low)
    found = []
    for at, step in enumerate(chain.steps):
        if step.attended:
            here &= capacity.attended
        if at in musts:
            here &= musts[at]
        found.append(here)
        here = _after(capacity, step, here) if here else 0
    found.append(here)
    return found


def traced(
    capacity: Capacity, chain: Chain, begins: list[int], begin: int, last_use: int, choose: Choice = last
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Return boundaries and the choice of option for each step, from a begin on.

    Parameters
    ----------
    capacity : Capacity
        What is free.
    chain : Chain
        The steps.
    begins : list of int
        What `begins_before` returned.
    begin : int
        One of the slots at which the first step may begin.
    last_use : int
        Slot at which the last stay ends.
    choose : callable of int to int
        Which of the slots a boundary may be at.
    """
    boundaries, options = [begin], []
    for at, step in enumerate(chain.steps):
        ends = begins[at + 1] if at + 1 < len(chain.steps) else 1 << last_use
        here = boundaries[-1]
        if len(step.options) == 1:
            chosen, able = 0, ends & _reach(capacity, step, step.options[0], here)
        else:
            reached = [ends & _reach(capacity, step, option, here) for option in step.options]
            chosen = max(range(len(reached)), key=lambda one: (reached[one], -one))
            able = reached[chosen]
        options.append(chosen)
        boundaries.append(choose(able))
    return tuple(boundaries), tuple(options)


def _reach(capacity: Capacity, step: Step, option: Option, here: int) -> int:
    most = step.longest
    for claim in option:
        most = min(most, first(~(capacity.runs(*claim).free >> here)))
    return span(here + step.least, here + most + 1)


def occupy(
    capacity: Capacity, chain: Chain, boundaries: tuple[int, ...], options: tuple[int, ...], sign: int = 1
) -> None:
    """Take what a batch takes.

    Parameters
    ----------
    capacity : Capacity
        What is free; it is changed.
    chain : Chain
        The steps.
    boundaries : tuple of int
        Their slots.
    options : tuple of int
        The choice for each step.
    sign : int
        -1 gives it back.
    """
    for at, step in enumerate(chain.steps):
        for row, amount, temperature in step.options[options[at]]:
            capacity.take(row, boundaries[at], boundaries[at + 1], amount * sign, temperature)
