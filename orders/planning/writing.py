"""The kitchen's plan as JSON: what is to be made, when everything is where, loads by day, what has no place."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from costing.plan.cases import reason_to_json, sure_use_to_json
from costing.plan.problem import Component, Element, Making, Problem, Resource
from orders.planning.plans import DaysPlan, Over

Written = dict[str, Any]


def plan_written(found: DaysPlan) -> Written:
    """Return a plan of some days, with its problem."""
    clock = found.kitchen.days.clock
    return {
        "problem": _problem(found.kitchen.problem(), found),
        "plan": {
            place.code: {
                "boundaries": [clock.text(minute) for minute in place.boundaries],
                **({"component": place.component} if place.component else {}),
            }
            for place in found.plan.placed
        },
        "loads": _loads(found),
        "over": [_over(one, found) for one in found.over],
    }


def _problem(problem: Problem, found: DaysPlan) -> Written:
    clock = found.kitchen.days.clock
    return {
        "resources": {one.code: _resource(one, found) for one in problem.kitchen.resources},
        "orders": [
            {
                "order": order.code,
                "leaves": [[clock.text(begin), clock.text(end)] for begin, end in order.windows],
                "batches": [{"batch": one.code, **_making(one.making)} for one in order.batches],
            }
            for order in problem.orders
        ],
        "components": [_component(one, found) for one in problem.components],
    }


def _resource(one: Resource, found: DaysPlan) -> Written:
    clock = found.kitchen.days.clock
    levels = [[clock.text(each.begin), clock.text(each.end), each.amount] for each in one.levels or ()]
    out = [[clock.text(each.begin), clock.text(each.end), each.amount] for each in one.out]
    return {
        "places": one.places,
        "count": one.count,
        **({} if one.tolerance is None else {"tolerance": one.tolerance}),
        **({"levels": levels} if levels else {}),
        **({"out": out} if out else {}),
    }


def _component(one: Component, found: DaysPlan) -> Written:
    """Return a component in its sizes up to the largest that is in the plan."""
    made = (place.size + 1 for place in found.plan.placed if place.component == one.code)
    sizes = one.sizes[: max(made, default=0)]
    return {"component": one.code, "sizes": [{"most": size.most, **_making(size.making)} for size in sizes]}


def _making(making: Making) -> Written:
    needs = [{"step": each.element, "component": each.component, "amount": each.amount} for each in making.needs]
    return {"steps": [_step(each) for each in making.elements], **({"needs": needs} if needs else {})}


def _step(one: Element) -> Written:
    return {
        "name": one.name,
        "min": one.least,
        "max": one.longest,
        "uses": {use.resource: use.amount for use in one.uses},
        **({} if one.temperature is None else {"temperature": one.temperature}),
        **({"attended": True} if one.attended else {}),
    }


def _loads(found: DaysPlan) -> Written:
    """Return by day how many loads and batches begin what takes each resource."""
    days: dict[str, Counter[str]] = {}
    for day, resource in _begun(found):
        days.setdefault(day, Counter())[resource] += 1
    return {day: dict(sorted(counts.items())) for day, counts in sorted(days.items())}


def _begun(found: DaysPlan) -> Iterator[tuple[str, str]]:
    batches = {batch.code: batch.making for order in found.problem.orders for batch in order.batches}
    sizes = {one.code: one.sizes for one in found.problem.components}
    for place in found.plan.placed:
        making = sizes[place.component][place.size].making if place.component else batches[place.code]
        before: frozenset[str] = frozenset()
        for element, begin in zip(making.elements, place.boundaries, strict=False):
            here = frozenset(use.resource for use in element.uses)
            for resource in sorted(here - before):
                yield found.kitchen.days.clock.text(begin)[:10], resource
            before = here


def _over(one: Over, found: DaysPlan) -> Written:
    clock = found.kitchen.days.clock
    reasons = [reason_to_json(each, clock) for each in one.reasons]
    if one.sure_use is not None:
        reasons = [sure_use_to_json(one.sure_use, clock)]
    return {"order": one.order, "batch": one.batch, "proved": one.proved, "reasons": reasons}
