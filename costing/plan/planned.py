"""The plan so far, as a plan: what orders and single components say of themselves."""

from __future__ import annotations

from costing.plan.problem import Making, Placed, Plan, Problem, Taking
from costing.plan.units import with_units


def makings(problem: Problem) -> dict[str, Making]:
    """Return how each batch is made, and each single component.

    Parameters
    ----------
    problem : Problem
        What is promised.
    """
    found = {batch.code: batch.making for order in problem.orders for batch in order.batches}
    return found | {one.code: one.sizes[0].making for one in problem.components if one.single}


def takings_of(problem: Problem) -> dict[str, tuple[Taking, ...]]:
    """Return who takes from each single component.

    Parameters
    ----------
    problem : Problem
        What is promised.
    """
    found: dict[str, list[Taking]] = {one.code: [] for one in problem.components}
    for code, making in makings(problem).items():
        for position, need in enumerate(making.needs):
            found[need.component].append(Taking(code, position, need.amount))
    return {code: tuple(takings) for code, takings in found.items()}


def plan_so_far(problem: Problem) -> Plan:
    """Return where everything is that is planned.

    Parameters
    ----------
    problem : Problem
        What is promised.
    """
    made, takings = makings(problem), takings_of(problem)
    places = [
        Placed(batch.code, batch.planned, ())
        for order in problem.orders
        for batch in order.batches
        if batch.planned is not None
    ]
    single = [one for one in problem.components if one.planned is not None]
    known = {place.code for place in places} | {one.code for one in single}
    for one in single:
        mine = tuple(taking for taking in takings[one.code] if taking.batch in known)
        places.append(Placed(one.code, one.planned or (), (), one.code, 0, mine))
    elements = {place.code: made[place.code].elements for place in places}
    return Plan(tuple(with_units(problem.kitchen, places, elements)))
