"""What the orders of some days take together, and what to buy for it."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Final

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen_zone
from catalog.web import display
from costing.contract import Book, Ingredient
from costing.purchasing.offers import Offer
from costing.requirements.compiled_book import CompiledBook, compile_book
from costing.requirements.quantities import LineDemand
from costing.requirements.workings import ExactWorkings
from orders.orders.models import Order
from orders.records.states import ORDERS_AHEAD

NO_SUPPLIER: Final = "Supplier not named"
NO_PRICE: Final = "No pack in force"


@dataclass(frozen=True)
class Demand:
    """The orders of some days as one: their lines added up by product and computed together."""

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
        """Pair product codes with what is asked and made."""
        return [(self.compiled.products[line.product].code, line) for line in self.workings.lines]


def orders_between(first: date, last: date) -> list[Order]:
    """Return the orders to make that are handed over in these days where the kitchen is: three queries."""
    zone = kitchen_zone()
    start = datetime.combine(first, datetime.min.time(), zone)
    end = datetime.combine(last + timedelta(days=1), datetime.min.time(), zone)
    orders = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=start, window_start__lt=end)
    orders = orders.select_related("customer", "quote__inquiry").defer("quote__brief", "quote__estimate")
    return list(orders.prefetch_related("lines__product").order_by("window_start", "pk"))


def demand(*, first: date, last: date, today: date) -> Demand:
    """Add up what is ordered and compute it as one order, with the packs in force today.

    Raises
    ------
    CannotPrice
        When the catalog has an error that stops every computation.
    """
    book = book_current()
    compiled = compile_book(book)
    orders = orders_between(first, last)
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


@dataclass(frozen=True)
class ToBuy:
    """One ingredient at one supplier: what is needed in all, and the packs to buy here."""

    ingredient: str
    base: str
    needed: Fraction
    packs: list[tuple[int, str]]
    bought: Fraction
    leftover: Fraction
    cost: Fraction
    shared: bool = False
    each: Fraction | None = None

    @property
    def pieces(self) -> int | None:
        """How many pieces cover the need, of what is counted as much as weighed: eggs, lemons."""
        return None if self.each is None else -(-self.needed // self.each)

    @property
    def pieces_left(self) -> int | None:
        """How many whole pieces are left over."""
        return None if self.each is None else int(self.leftover // self.each)


@dataclass
class SupplierList:
    """What to buy at one supplier."""

    supplier: str
    rows: list[ToBuy] = field(default_factory=list)

    @property
    def cost(self) -> Fraction:
        """What the packs cost together."""
        return sum((row.cost for row in self.rows), Fraction(0))


def shopping(found: Demand) -> list[SupplierList]:
    """List the whole packs of least price that cover the need, by supplier, in alphabetical order.

    What has no pack in force stands in a list of its own at the end.
    """
    lists: dict[str, SupplierList] = {}
    slots = found.workings.tables.slots
    places = {*(slots[slot].ingredient for slot in found.workings.demand[1]), *found.workings.packaging}
    for at in sorted(places, key=lambda at: found.compiled.ingredients[at].name.casefold()):
        ingredient = found.compiled.ingredients[at]
        needed = found.workings.need(at)[1]
        for supplier, row in _rows(ingredient, needed, found.workings.offers[at]):
            lists.setdefault(supplier, SupplierList(supplier)).rows.append(row)
    last = {NO_SUPPLIER: 1, NO_PRICE: 2}
    return sorted(lists.values(), key=lambda item: (last.get(item.supplier, 0), item.supplier.casefold()))


def _rows(ingredient: Ingredient, needed: Fraction, offer: Offer | None) -> Iterable[tuple[str, ToBuy]]:
    zero, each = Fraction(0), ingredient.grams_each if ingredient.base == "g" else None
    if offer is None:
        yield NO_PRICE, ToBuy(ingredient.name, ingredient.base, needed, [], zero, zero, zero, each=each)
        return
    counts = offer.shelf.cheapest(offer.shelf.units(needed))
    bought = sum((offer.sizes[i] * count for i, count in enumerate(counts)), zero)
    here: dict[str, list[int]] = {}
    for i, count in enumerate(counts):
        if count:
            here.setdefault(offer.packs[i].supplier or NO_SUPPLIER, []).append(i)
    for supplier, taken in here.items():
        yield (
            supplier,
            ToBuy(
                ingredient=ingredient.name,
                base=ingredient.base,
                needed=needed,
                packs=[(counts[i], display.measure(offer.packs[i].size.text)) for i in taken],
                bought=sum((offer.sizes[i] * counts[i] for i in taken), zero),
                leftover=bought - needed,
                cost=sum((offer.packs[i].price * counts[i] for i in taken), zero),
                shared=len(here) > 1,
                each=each,
            ),
        )
