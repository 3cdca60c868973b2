"""Whether a plan keeps every rule: looked up slot by slot, with nothing taken from what makes plans.

It is slow and plain on purpose. A plan is only ever shown, or stored, when this finds nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from costing.plan.problem import Element, Making, Order, Placed, Plan, Problem, Resource, Size, SizeOnDemand

WINDOW, STAY, HOURS, TOO_MUCH, TEMPERATURE, NEED, SHELF_LIFE, ABSENT, FIXED, PAST = (
    "window",
    "stay",
    "hours",
    "too_much",
    "temperature",
    "need",
    "shelf_life",
    "absent",
    "fixed",
    "past",
)


NOTHING = Plan()


@dataclass(frozen=True, slots=True)
class Violation:
    """A rule that a plan breaks.

    Parameters
    ----------
    kind : str
        Which rule, one of the codes above.
    batch : str
        The batch, or one of those that are too much together.
    at : int
        When [min].
    resource : str
        Of what there is too little, or which component.
    needed : int
        Places, or minutes of a stay.
    free : int
        Places there are, or minutes there may be.
    """

    kind: str
    batch: str
    at: int
    resource: str = ""
    needed: int = 0
    free: int = 0


@dataclass(frozen=True, slots=True)
class _Stay:
    batch: str
    resource: str
    unit: int
    amount: int
    temperature: float | None
    begin: int
    end: int
    while_there: bool


def violations(problem: Problem, plan: Plan, before: Plan = NOTHING) -> list[Violation]:
    """Return every rule a plan breaks; nothing when it can be kept.

    Parameters
    ----------
    problem : Problem
        What there is, and what is promised.
    plan : Plan
        Where everything is.
    before : Plan
        The plan so far: what is in it may have begun before now, if it begins as it did.
    """
    found = [*_orders(problem, plan), *_components(problem, plan), *_past(problem, plan, before)]
    found.extend(_capacities(problem, plan))
    return found


def _orders(problem: Problem, plan: Plan) -> Iterator[Violation]:
    places = plan.by_code()
    for order in problem.orders:
        here = [places[batch.code] for batch in order.batches if batch.code in places]
        for batch in order.batches:
            if batch.code not in places:
                yield Violation(ABSENT, batch.code, 0)
                continue
            place = places[batch.code]
            if batch.fixed and place.boundaries != batch.planned:
                yield Violation(FIXED, batch.code, place.boundaries[0])
            yield from _batch(problem, plan, place, batch.making)
        yield from _leaving(order, here)


def _past(problem: Problem, plan: Plan, before: Plan) -> Iterator[Violation]:
    """What begins before now began in the plan so far, in the same way; its last stay alone may end otherwise."""
    begun = {place.code: place.boundaries[:-1] for place in before.placed}
    for order in problem.orders:
        begun |= {batch.code: batch.planned[:-1] for batch in order.batches if batch.planned is not None}
    begun |= {one.code: one.planned[:-1] for one in problem.components if one.planned is not None}
    for place in plan.placed:
        if place.boundaries[0] < problem.kitchen.now and begun.get(place.code) != place.boundaries[:-1]:
            yield Violation(PAST, place.code, place.boundaries[0])


def _leaving(order: Order, places: list[Placed]) -> Iterator[Violation]:
    after = {batch.code: batch.after for batch in order.batches}
    for place in places:
        leaves = place.boundaries[-1] - after[place.code]
        together = leaves == places[0].boundaries[-1] - after[places[0].code]
        if not together or not any(begin <= leaves <= end for begin, end in order.windows):
            yield Violation(WINDOW, place.code, leaves)


def _components(problem: Problem, plan: Plan) -> Iterator[Violation]:
    kinds = {component.code: component for component in problem.components}
    places = plan.by_code()
    for place in plan.placed:
        if not place.component:
            continue
        component = kinds[place.component]
        size = component.sizes[place.size]
        # What is fixed may serve one more: its last stay alone then ends later.
        if component.fixed and component.planned is not None and place.boundaries[:-1] != component.planned[:-1]:
            yield Violation(FIXED, place.code, place.boundaries[0])
        yield from _batch(problem, plan, place, size.making)
        yield from _taken(problem, places, place, size)


def _making(problem: Problem, place: Placed) -> Making:
    for component in problem.components:
        if component.code == place.component:
            return component.sizes[place.size].making
    return next(batch.making for order in problem.orders for batch in order.batches if batch.code == place.code)


def _taken(
    problem: Problem, places: dict[str, Placed], place: Placed, size: Size | SizeOnDemand
) -> Iterator[Violation]:
    """Everything is there when it is used, is not too old then, and the last stay ends with the last use."""
    ready = place.boundaries[-2] + size.making.elements[-1].least
    amount = sum(taking.amount for taking in place.takings)
    if amount > size.most:
        yield Violation(NEED, place.code, place.boundaries[0], place.component, amount, size.most)
    times = []
    for taking in place.takings:
        taker = places.get(taking.batch)
        if taker is None:
            yield Violation(NEED, place.code, place.boundaries[0], taking.batch)
            continue
        need = _making(problem, taker).needs[taking.need]
        time = taker.boundaries[need.element]
        times.append(time)
        if need.component != place.component or need.amount != taking.amount or time < ready:
            yield Violation(NEED, taking.batch, time, place.component, ready, time)
    if not times or place.boundaries[-1] != max(times):
        yield Violation(NEED, place.code, place.boundaries[-1], place.component)


def _batch(problem: Problem, plan: Plan, place: Placed, making: Making) -> Iterator[Violation]:
    times = place.boundaries
    if len(times) != len(making.elements) + 1:
        yield Violation(STAY, place.code, times[0])
        return
    for element, (begin, end) in zip(making.elements, pairwise(times), strict=True):
        if not element.least <= end - begin <= element.longest:
            yield Violation(STAY, place.code, begin, element.name, end - begin, element.longest)
        if element.attended and not any(first <= begin <= last for first, last in problem.kitchen.attended):
            yield Violation(HOURS, place.code, begin, element.name)
    yield from _wrong_units(place, making)
    life = making.shelf_life
    if life is not None and times[-1] - times[life.element + 1] > life.minutes:
        yield Violation(SHELF_LIFE, place.code, times[-1], "", times[-1] - times[life.element + 1], life.minutes)
    for position, need in enumerate(making.needs):
        suppliers = [
            other
            for other in plan.placed
            if other.component == need.component
            and any((taking.batch, taking.need) == (place.code, position) for taking in other.takings)
        ]
        if len(suppliers) != 1:
            yield Violation(NEED, place.code, times[need.element], need.component, 1, len(suppliers))


def _wrong_units(place: Placed, making: Making) -> Iterator[Violation]:
    """Yield where a step is in one that will not do, such as in a van that is not refrigerated."""
    for element, units, begin in zip(making.elements, place.units, place.boundaries, strict=False):
        for use, unit in zip(element.uses, units, strict=True):
            if unit < use.among:
                yield Violation(TOO_MUCH, place.code, begin, use.resource, use.amount)


def _stays(problem: Problem, plan: Plan) -> Iterator[_Stay]:
    for place in plan.placed:
        elements: tuple[Element, ...] = _making(problem, place).elements
        for element, units, (begin, end) in zip(elements, place.units, pairwise(place.boundaries), strict=True):
            for use, unit in zip(element.uses, units, strict=True):
                yield _Stay(
                    place.code, use.resource, unit, use.amount, element.temperature, begin, end, use.while_there
                )


def _capacities(problem: Problem, plan: Plan) -> Iterator[Violation]:
    """Walk through time, once for each resource, and look at what is there in each slot."""
    stays = list(_stays(problem, plan))
    resources = {resource.code: resource for resource in problem.kitchen.resources}
    for code, resource in resources.items():
        here = [stay for stay in stays if stay.resource == code]
        yield from _walk(problem, resource, here)


def _walk(problem: Problem, resource: Resource, stays: list[_Stay]) -> Iterator[Violation]:
    if not stays:
        return
    waiting, here = sorted(stays, key=lambda stay: (stay.begin, stay.end, stay.batch)), list[_Stay]()
    step, minute, broken = _step(problem, resource, stays), waiting[0].begin, False
    while waiting or here:
        while waiting and waiting[0].begin <= minute:
            here.append(waiting.pop(0))
        here = [stay for stay in here if stay.end > minute]
        if not here and waiting:
            minute = waiting[0].begin
            continue
        problems = list(_at(resource, here, minute))
        if not broken:
            yield from problems
        broken = bool(problems)
        minute += step


def _step(problem: Problem, resource: Resource, stays: list[_Stay]) -> int:
    grid = problem.kitchen.grid
    levels = (*(resource.levels or ()), *resource.out)
    times = [time for stay in stays for time in (stay.begin, stay.end)]
    times += [time for level in levels for time in (level.begin, level.end)]
    return grid if all(time % grid == 0 for time in times) else 1


def _at(resource: Resource, here: list[_Stay], minute: int) -> Iterator[Violation]:
    there = resource.places if resource.levels is None else 0
    for level in resource.levels or ():
        if level.begin <= minute < level.end:
            there += level.amount
    gone = sum(level.amount for level in resource.out if level.begin <= minute < level.end)
    if resource.divided:
        for unit in range(resource.count):
            able = there if unit < resource.count - gone else 0
            yield from _in_one(resource, [stay for stay in here if stay.unit == unit], able, minute)
        return
    if not there:
        here = [stay for stay in here if not stay.while_there]
        if not here:
            return
    whole = there * (resource.count if resource.levels is None else 1) - gone * resource.places
    yield from _in_one(resource, here, max(0, whole), minute)


def _in_one(resource: Resource, here: list[_Stay], able: int, minute: int) -> Iterator[Violation]:
    needed = sum(stay.amount for stay in here)
    if needed > able:
        yield Violation(TOO_MUCH, here[-1].batch, minute, resource.code, needed, able)
    warm = [stay.temperature for stay in here if stay.temperature is not None]
    if warm and resource.tolerance is not None and max(warm) - min(warm) > resource.tolerance:
        yield Violation(TEMPERATURE, here[-1].batch, minute, resource.code)
