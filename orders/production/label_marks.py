"""What is still to be measured of each line of some orders: of the dessert, and of the batches that go into it."""

from collections.abc import Sequence

from catalog.cooling.keeping import held_cold
from catalog.recipes.models import Recipe
from costing.contract import Book
from orders.cooling_log.selectors import CoolingMark, book_now, cooling_marks
from orders.orders.models import Order
from orders.quotes.cooling.amounts import batch_amounts
from orders.quotes.cooling.selectors import Item

#: For each line of an order, in their order, what is not measured yet.
LineMarks = list[list[CoolingMark]]


def marks_by_line(orders: Sequence[Order]) -> dict[int, LineMarks]:
    """Return what is not measured yet of each line, by order; one query more than the marks where a batch is marked.

    While the Book has an error, a batch is everybody's: nobody can say what it goes into.
    """
    book = book_now()
    marks = cooling_marks(orders, book)
    batches = {item.pk for found in marks.values() for item in found if item.kind == "recipe"}
    codes = dict(Recipe.objects.filter(pk__in=batches).values_list("pk", "code")) if batches else {}
    return {order.pk: _of_order(order, list(marks.get(order.pk, {}).values()), codes, book) for order in orders}


def hold_by_code(orders: Sequence[Order]) -> dict[str, float]:
    """Return how warm the products of orders may be kept [°C], by code, where nothing else says how they are kept."""
    book = book_now()
    return (
        {} if book is None else held_cold((line.product.code for order in orders for line in order.lines.all()), book)
    )


def _of_order(order: Order, marks: list[CoolingMark], codes: dict[int, str], book: Book | None) -> LineMarks:
    still = [mark for mark in marks if not mark.settled]
    rows = []
    for line in order.lines.all():
        takes = {code for code, _ in batch_amounts({line.product.code: line.units}, book)} if book else set()
        own = Item("product", line.product_id)
        rows.append([one for one in still if one.item == own or _goes_in(one, codes, takes, known=book is not None)])
    return rows


def _goes_in(mark: CoolingMark, codes: dict[int, str], takes: set[str], *, known: bool) -> bool:
    return mark.item.kind == "recipe" and (not known or codes.get(mark.item.pk) in takes)
