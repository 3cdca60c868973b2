"""Where the stored plan has what is made for some orders: each load and each batch once, with its steps by the clock.

What of the plan is not sound by the catalog of today has no place: whoever shows a time says then that it is not
planned yet.
"""

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from fractions import Fraction
from functools import cached_property
from math import ceil
from typing import Final

from catalog.book.known import KnownByBook
from costing.contract import Book, Step
from costing.plan.makings import LOADS
from costing.plan.problem import Making, Placed, Plan, Problem
from costing.requirements.compiled_book import compile_book
from costing.timing.loads import LoadTimes, loads_at
from orders.orders.models import Order
from orders.planning.placements import Fact, placements_of, sound_part
from orders.planning.plans import without
from orders.planning.problem import KitchenProblem, problem_of
from orders.planning.reserved import plan_row
from orders.planning.slots import plan_counts
from orders.records.states import ORDERS_AHEAD

#: Work, `product:CODE` or `recipe:CODE`, and place of one of its steps.
StepPlace = tuple[str, int]
RECIPES: Final = "recipe:"


@dataclass(frozen=True, slots=True)
class PlannedBatch:
    """A load of a product, or a batch of a recipe with its ``grams``, in the plan.

    ``steps`` are begin and end of each step by its place; ``quotes`` are the keys of the quotes of its orders.
    """

    work: str
    grams: Fraction
    steps: Mapping[int, tuple[datetime, datetime]]
    quotes: frozenset[int]

    @property
    def begins(self) -> datetime:
        """When its first step begins."""
        return min(begin for begin, _ in self.steps.values())


@dataclass(frozen=True)
class Planned:
    """The loads and batches of some orders in the plan, the first one first.

    ``unplaced`` are the keys of the quotes of the orders of which something has no place yet, where the plan counts.
    """

    batches: tuple[PlannedBatch, ...] = ()
    unplaced: frozenset[int] = frozenset()

    def of(self, order: Order) -> tuple[PlannedBatch, ...]:
        """Return what the plan has for an order."""
        return self._by_quote.get(order.quote_id, ())

    def waits(self, order: Order) -> bool:
        """Return whether something of an order has no place yet, so that its times are not those of the plan."""
        return order.quote_id in self.unplaced

    def ends(self, order: Order) -> dict[StepPlace, list[datetime]]:
        """Return when each step for an order ends, load by load."""
        found: dict[StepPlace, list[datetime]] = {}
        for one in self.of(order):
            for at, (_, end) in one.steps.items():
                found.setdefault((one.work, at), []).append(end)
        return {place: sorted(ends) for place, ends in found.items()}

    def loads(self, order: Order, work: str, at: int) -> LoadTimes | None:
        """Return when the loads for an order leave a step, counted from the first; None of what has no place."""
        ends = sorted(one.steps[at][1] for one in self.of(order) if one.work == work and at in one.steps)
        return loads_at([int((end - ends[0]).total_seconds()) // 60 for end in ends]) if ends else None

    @cached_property
    def _by_quote(self) -> Mapping[int, tuple[PlannedBatch, ...]]:
        found: dict[int, list[PlannedBatch]] = {}
        for one in self.batches:
            for quote in one.quotes:
                found.setdefault(quote, []).append(one)
        return {quote: tuple(each) for quote, each in found.items()}


NOTHING_PLANNED: Final = Planned()
#: What is planned of some orders, by what the plan says of them and what they take.
_KNOWN: KnownByBook[tuple[object, ...], Planned] = KnownByBook(most=200)


def planned_batches(orders: Sequence[Order], book: Book) -> Planned:
    """Return what the plan has for some orders, and what for others at once with them.

    The orders come with lines, products and inquiry. No query where the kitchen states too little for its plan to
    count, else one, and three for other orders that share a batch with these.
    """
    ahead = [one for one in orders if one.status in ORDERS_AHEAD]
    if not ahead or not plan_counts(book):
        return NOTHING_PLANNED
    stored = plan_row()
    facts = list(_of_quotes(stored.placed, {one.quote_id for one in ahead}))
    linked = {of for one in facts for of in _named(one)} - {0} - {one.quote_id for one in ahead}
    every = [*ahead, *(_others(linked) if linked else ())]
    over = [name for name in stored.over if any(name[0] == one.quote_id for one in every)]
    kitchen = replace(problem_of(book, every), stated=True)
    key = json.dumps(facts), json.dumps(over), str(kitchen.days.first), repr(kitchen.promised)
    known = _KNOWN.of(book)
    found = known.get(key)
    if found is None:
        found = known[key] = _planned(kitchen, facts, over)
    return found


def _others(quotes: Iterable[int]) -> list[Order]:
    rows = Order.objects.filter(status__in=ORDERS_AHEAD, quote__in=quotes).order_by("pk")
    rows = rows.select_related("quote__inquiry").defer("quote__brief", "quote__estimate")
    return list(rows.prefetch_related("lines__product"))


def _named(fact: Fact) -> Iterator[int]:
    yield fact["of"]
    yield from (of for of, *_ in fact.get("for", ()))


def _of_quotes(placed: Sequence[Fact], quotes: set[int]) -> Iterator[Fact]:
    """Yield what is stored of some quotes, of what these take, and of the others that take of the same."""
    wanted = {(one["of"], one["batch"]) for one in placed if one["of"] in quotes}
    size = -1
    while size != len(wanted):
        size = len(wanted)
        shared = [one for one in placed if not wanted.isdisjoint((of, batch) for of, batch, *_ in one.get("for", ()))]
        wanted |= {(0, one["batch"]) for one in shared}
        wanted |= {(of, batch) for one in shared for of, batch, *_ in one["for"]}
        # Whoever shares something has all of its own loads here: an order is there as a whole, or is not.
        keys = {of for of, _ in wanted if of}
        wanted |= {(one["of"], one["batch"]) for one in placed if one["of"] in keys}
    return (one for one in placed if (one["of"], one["batch"]) in wanted)


def _planned(kitchen: KitchenProblem, facts: Sequence[Fact], over: Sequence[Sequence[object]]) -> Planned:
    whole, placements = kitchen.problem(), placements_of(kitchen, {})
    codes = (placements.code(int(str(of)), str(batch)) for of, batch in over)
    problem = without(whole, {code for code in codes if code is not None})
    plan = sound_part(placements.read(facts, problem), problem, kitchen.begun) if facts else Plan()
    there = plan.by_code()
    quotes = {one.number: one.quote_id for one in kitchen.promised}
    loads = {order.code: [batch.code for batch in order.batches if not batch.after] for order in whole.orders}
    waiting = {quotes[code] for code, mine in loads.items() if not there.keys() >= set(mine)}
    found = sorted(_batches(kitchen, problem, plan, quotes), key=lambda one: (one.begins, one.work))
    return Planned(tuple(found), frozenset(waiting))


def _batches(
    kitchen: KitchenProblem, problem: Problem, plan: Plan, quotes: Mapping[str, int]
) -> Iterator[PlannedBatch]:
    makings = {batch.code: batch.making for order in problem.orders for batch in order.batches}
    sizes = {one.code: one.sizes for one in problem.components}
    for_whom = _for_whom(problem, plan, quotes)
    for place in plan.placed:
        making = sizes[place.component][place.size].making if place.component else makings[place.code]
        work = making.elements[0].name.rpartition("/")[0]
        # What an order takes of a load for several is no load.
        taken_only = any(need.component.startswith(LOADS) for need in making.needs)
        steps = {} if taken_only else dict(_steps(kitchen, place, making, steps_of(kitchen.book, work)))
        if steps:
            yield PlannedBatch(work, _grams(place, work, kitchen.book), steps, frozenset(for_whom[place.code]))


def _grams(place: Placed, work: str, book: Book) -> Fraction:
    """Return how much of a recipe is taken of a batch [g]; 0 of a product. A plan counts in whole grams, rounded up."""
    if not work.startswith(RECIPES):
        return Fraction(0)
    compiled = compile_book(book)
    row = compiled.exact.recipes[compiled.recipe_at[work.removeprefix(RECIPES)]]
    taken = max(Fraction(sum(one.amount for one in place.takings)), row.least or Fraction(0))
    return taken if row.limit is None else min(taken, row.limit)


def _for_whom(problem: Problem, plan: Plan, quotes: Mapping[str, int]) -> dict[str, set[int]]:
    """Return for each batch the quotes it is for, directly or through what takes of it."""
    found = {batch.code: {quotes[order.code]} for order in problem.orders for batch in order.batches}
    left = [one for one in plan.placed if one.component]
    while left:
        known = [one for one in left if all(taking.batch in found for taking in one.takings)]
        found |= {one.code: set().union(*(found[taking.batch] for taking in one.takings)) for one in known}
        left = [one for one in left if one.code not in found]
    return found


def _steps(
    kitchen: KitchenProblem, place: Placed, making: Making, steps: Sequence[Step]
) -> Iterator[tuple[int, tuple[datetime, datetime]]]:
    """Yield when each step of a load or batch begins and ends: its wait for the next one is none of it."""
    begun: dict[int, list[int]] = {}
    for number, element in enumerate(making.elements if steps else ()):
        begun.setdefault(int(element.name.rpartition("/")[2]), []).append(number)
    for at, step in enumerate(steps):
        # A step of no minutes is over where the next one begins.
        numbers = begun.get(at) or begun[min(next_ for next_ in begun if next_ > at)][:1]
        begin = place.boundaries[numbers[0]]
        end = place.boundaries[numbers[-1]]
        if at in begun:
            wait = ceil(step.wait_min or 0) if at + 1 < len(steps) else 0
            end += making.elements[numbers[-1]].least - wait
        yield at, (kitchen.moment(begin), kitchen.moment(end))


def steps_of(book: Book, work: str) -> Sequence[Step]:
    """Return the steps of a product or recipe; none of a drive."""
    kind, _, code = work.partition(":")
    if work.startswith(LOADS):
        return book.product(code).steps
    return book.recipe(code).steps if kind == "recipe" else ()
