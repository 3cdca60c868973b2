"""The combined demand of the orders of some days, computed as one order."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from catalog.book.selectors import book_current, book_unpriced
from catalog.kitchen.selectors import kitchen_zone
from catalog.records.errors import CannotPrice
from costing.contract import Book
from costing.requirements.compiled_book import CompiledBook, LineDemand, compile_book
from costing.requirements.workings import ExactWorkings
from orders.orders.models import Order
from orders.records.states import ORDERS_AHEAD


@dataclass(frozen=True)
class Demand:
    """The orders of some days combined: their lines summed by product and computed together.

    ``book`` is the whole Book; while that has an error, the part that says what these orders consist of, for sheets
    that need no price. Then ``whole`` is false, and nothing beside these orders is in it.
    """

    first: date
    last: date
    orders: list[Order]
    book: Book
    compiled: CompiledBook
    workings: ExactWorkings
    units: dict[str, int]
    unknown: list[str]
    whole: bool = True

    @property
    def whole_book(self) -> Book | None:
        """The Book where it is whole, for what looks at other orders too."""
        return self.book if self.whole else None

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


def demand(*, first: date, last: date, today: date, priced: bool = True) -> Demand:
    """Sum the orders and compute them as one order, with the packs in force today.

    Raises
    ------
    CannotPrice
        When the catalog has an error; without ``priced`` only one in what these orders consist of.
    """
    return demand_of(orders_between(first, last), first=first, last=last, today=today, priced=priced)


def demand_of(orders: list[Order], *, first: date, last: date, today: date, priced: bool = True) -> Demand:
    """Sum some orders and compute them as one order, with the packs in force today.

    What is made, and what is in it, needs no price: the kitchen works on while a price is wrong or missing.

    Raises
    ------
    CannotPrice
        When the catalog has an error; without ``priced`` only one in what these orders consist of.
    """
    units: dict[str, int] = defaultdict(int)
    for order in orders:
        for line in order.lines.all():
            units[line.product.code] += line.units
    book, whole = (book_current(), True) if priced else _book_of(units)
    compiled = compile_book(book)
    known = {code: count for code, count in sorted(units.items()) if code in compiled.product_at}
    workings = ExactWorkings(compiled, compiled.exact, tuple(_asked(compiled, known)), today)
    unknown = sorted(set(units) - set(known))
    return Demand(first, last, orders, book, compiled, workings, known, unknown, whole)


def _book_of(codes: Iterable[str]) -> tuple[Book, bool]:
    """Return the Book that some products are judged by, and whether it is the whole one."""
    try:
        return book_current(), True
    except CannotPrice:
        return book_unpriced(codes), False


def _asked(compiled: CompiledBook, units: dict[str, int]) -> Iterable[LineDemand]:
    for code, count in units.items():
        yield compiled.line_demand(compiled.product_at[code], count)
