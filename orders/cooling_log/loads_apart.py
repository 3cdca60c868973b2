"""When the loads of a product, or the batches of a recipe, leave the heat one after the other, as planned."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils import timezone

from catalog.cooling.selectors import cooled
from costing.contract import Book
from costing.requirements.compiled_book import compile_book
from costing.timing.loads import LoadTimes
from orders.cooling_log.making_days import units_of
from orders.cooling_log.sharing import as_made
from orders.orders.models import Order
from orders.planning.planned_batches import planned_batches
from orders.quotes.cooling.amounts import hot_batches
from orders.quotes.cooling.load_times import batch_loads, product_loads
from orders.quotes.cooling.planned import product_place, step_place


@dataclass(frozen=True, slots=True)
class Apart:
    """Loads that leave one after the other: how long apart [min], and when the first and last do, where planned."""

    every_min: int
    first: datetime | None = None
    last: datetime | None = None


def loads_apart(order: Order, book: Book) -> Mapping[str, Apart]:
    """Return the works of an order, `product:CODE` or `recipe:CODE`, of which loads leave one after the other."""
    units = units_of(order)
    times: dict[str, tuple[LoadTimes, tuple[str, int]]] = {}
    compiled, plan = compile_book(book), planned_batches([order], book)
    for code, one in cooled(units, book).items():
        made = compiled.line_demand(compiled.product_at[code], units[code])
        for cycle in one.cycles:
            work, at = product_place(cycle)
            placed = plan.loads(order, work, at)
            loads = placed or product_loads(cycle.after, made, book.product(code).load, book)
            times[work] = loads, (work, at)
    for batch in hot_batches(units, book):
        for each in batch.times:
            code, at = step_place(each, batch)
            placed = plan.loads(order, f"recipe:{code}", at)
            loads = placed or batch_loads(each.cycle.after, batch.batches.count, batch.batches.each_kg, book)
            times[f"recipe:{code}"] = loads, (code, at)
    apart = {work: found for work, found in times.items() if found[0].count > 1 and found[0].least_apart}
    ends = as_made([order], book, at=timezone.now()).of(order.pk) if apart else {}
    return {work: _apart(loads, ends.get(place)) for work, (loads, place) in apart.items()}


def _apart(loads: LoadTimes, ends: datetime | None) -> Apart:
    every = loads.least_apart or 0
    if ends is None:
        return Apart(every)
    first, last = (ends + timedelta(minutes=loads.leaves(number)) for number in (1, loads.count))
    return Apart(every, first, last)
