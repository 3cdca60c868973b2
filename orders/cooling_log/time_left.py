"""How long is left to get a batch cold that orders share: from now until it is first used, less the work before it."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from catalog.cooling.batch_reports import BatchCold
from catalog.cooling.selectors import cold_times
from costing.contract import Book
from costing.timing.chains import working_hours
from costing.timing.spans import moment_of
from costing.timing.steps import clock_minutes
from orders.cooling_log.making_days import units_of
from orders.cooling_log.plans import leaves_at, plan_of
from orders.orders.models import Order
from orders.quotes.cooling.amounts import hot_batches
from orders.records.states import OrderStatus


def minutes_left(orders: Sequence[Order], code: str, book: Book, *, at: datetime) -> float:
    """Return the minutes that are left for a recipe to cool: until one of some orders takes of it at the latest.

    What is not begun has to be made first.
    """
    left = min(_needed(order, code, book, at) for order in orders) - at
    begun = any(order.status == OrderStatus.IN_PRODUCTION for order in orders)
    return left / timedelta(minutes=1) - (0.0 if begun else _work(orders, code, book))


def _needed(order: Order, code: str, book: Book, at: datetime) -> datetime:
    """Return when a recipe is first used for an order, as late as its window allows; when it leaves without a plan."""
    hours = working_hours(book)
    cold = cold_times({line.product.code for line in order.lines.all()}, book)
    planned = None if hours is None else plan_of(order, book, hours, at, cold)
    if hours is None or planned is None or not planned[1].ok:
        return leaves_at(order)
    timing, answer = planned
    users = {name for name, work in timing.works.items() if f"recipe:{code}" in work.needs}
    starts = [one.start for one in answer.schedule if one.work in users]
    return min([leaves_at(order), *(moment_of(start, hours.zone) for start in starts)])


def _work(orders: Sequence[Order], code: str, book: Book) -> float:
    """Return how long the steps of the largest own amount take until it leaves the heat [min]."""
    return max((_until_hot(one) for one in _own(orders, code, book)), default=0.0)


def _until_hot(one: BatchCold) -> float:
    if not one.times:
        return 0.0
    steps, after = one.recipe.steps, one.times[0].cycle.after
    count = next(at for at, step in enumerate(steps) if step is after) + 1
    amount = Fraction(one.batches.each_kg)
    return float(sum(clock_minutes(step, 1, amount) for step in steps[:count]))


def is_cold_apart(orders: Sequence[Order], code: str, book: Book, minutes: float) -> bool:
    """Return whether each order's own amount, made by itself, gets cold in so many minutes, at the slow end."""
    times = [each.trial.cold_slow for one in _own(orders, code, book) for each in one.times]
    return bool(times) and all(slow is not None and slow <= minutes for slow in times)


def _own(orders: Sequence[Order], code: str, book: Book) -> list[BatchCold]:
    return [one for order in orders for one in hot_batches(units_of(order), book) if one.recipe.code == code]
