"""What is in the way of a load beside a plan in the making: of its own steps, else of what these take."""

from __future__ import annotations

from costing.plan.bit_sets import last
from costing.plan.capacity import Capacity
from costing.plan.chains import Chain
from costing.plan.explaining import Explainer, Reason
from costing.plan.insertion import begins_before
from costing.plan.places import Places


def reasons_of(placing: Places, chain: Chain, leaves: int, capacity: Capacity | None = None) -> tuple[Reason, ...]:
    """Return one reason, or two that are in the way together; nothing where it is neither.

    Parameters
    ----------
    placing : Places
        The plan in the making, whose components the load takes from.
    chain : Chain
        The steps of the load.
    leaves : int
        The slots at which it may leave.
    capacity : Capacity or None
        What is free; the plan's own when left out.
    """
    free = capacity or placing.capacity
    found = Explainer(free, chain, leaves, placing.low).reasons()
    if found or not leaves:
        return found
    time = last(leaves)
    begins = begins_before(free, chain, time, time, placing.low)
    for need in chain.needs if begins is not None else ():
        used = begins[need.element] if begins is not None else 0
        at = placing.sizes[need.component].place(need.amount)
        own = None if at is None else placing.sizes[need.component][at].chain
        found = () if own is None else reasons_of(placing, own, used, free)
        if found:
            return found
    return ()
