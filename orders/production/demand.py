"""The combined demand of the orders of some days, computed as one order."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen_zone
from costing.contract import Book
from costing.requirements.compiled_book import CompiledBook, LineDemand, compile_book
from costing.requirements.workings import ExactWorkings
from orders.orders.models import Order
from orders.records.states import ORDERS_AHEAD


@dataclass(frozen=True)
class Demand:
    """The orders of some days combined: their lines summed by product and computed together."""

    first: date
    last: date
    orders: list[Order]
    book: Book
    compiled: CompiledBook
    workings: ExactWorkings
    units: dict[str, int]
    unknown: list[str]

    @property
    def lines(self) -> list[tuple[str, LineDemand]]:
        """Pair product codes with units ordered and made."""
        return [(self.compiled.products[line.product].code, line) for line in self.workings.lines]


def order_whole(pk: int) -> QuerySet[Order]:
    """Return an order with what its demand and its plan read."""
    return _whole(Order.objects.filter(pk=pk))


def _whole(orders: QuerySet[Order]) -> QuerySet[Order]:
    orders = orders.select_related("customer", "quote__inquiry").defer("quote__brief", "quote__estimate")
    return orders.prefetch_related("lines__product").order_by("window_start", "pk")


def orders_between(first: date, last: date) -> list[Order]:
    """Return the orders to make that are handed over in these days where the kitchen is: three queries."""
    zone = kitchen_zone()
    start = datetime.combine(first, datetime.min.time(), zone)
    end = datetime.combine(last + timedelta(days=1), datetime.min.time(), zone)
    return list(_whole(Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)))


def demand(*, first: date, last: date, today: date) -> Demand:
    """Sum the orders and compute them as one order, with the packs in force today.

    Raises
    ------
    CannotPrice
        When the catalog has an error that stops every computation.
    """
    return demand_of(orders_between(first, last), first=first, last=last, today=today)


def demand_of(orders: list[Order], *, first: date, last: date, today: date) -> Demand:
    """Sum some orders and compute them as one order, with the packs in force today.

    Raises
    ------
    CannotPrice
        When the catalog has an error that stops every computation.
    """
    book = book_current()
    compiled = compile_book(book)
    units: dict[str, int] = defaultdict(int)
    for order in orders:
        for line in order.lines.all():
            units[line.product.code] += line.units
    known = {code: count for code, count in sorted(units.items()) if code in compiled.product_at}
    workings = ExactWorkings(compiled, compiled.exact, tuple(_asked(compiled, known)), today)
    unknown = sorted(set(units) - set(known))
    return Demand(first, last, orders, book, compiled, workings, known, unknown)


def _asked(compiled: CompiledBook, units: dict[str, int]) -> Iterable[LineDemand]:
    for code, count in units.items():
        yield compiled.line_demand(compiled.product_at[code], count)
