"""What is still to be measured, or too old, of each line of some orders: of the dessert, and of its batches."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from catalog.cooling.amounts import batch_amounts
from catalog.cooling.keeping import held_cold
from catalog.recipes.models import Recipe
from costing.contract import Book
from orders.cooling_log.likely import likely_of_orders
from orders.cooling_log.selectors import CoolingMark, Marks, book_now, cooling_marks
from orders.orders.models import Order, OrderLine
from orders.quotes.cooling.remarked import Minded
from orders.quotes.cooling.selectors import Item

#: Key of an order and of a product -> the batches in it that are not measured to have kept their rule, or too old.
BatchesIn = Mapping[tuple[int, int], tuple[CoolingMark, ...]]


class OfLine(NamedTuple):
    """What of a line is not measured yet, and what of it is to be measured although nothing waits for it."""

    marks: Sequence[CoolingMark] = ()
    likely: tuple[Minded, ...] = ()


def marks_by_line(orders: Sequence[Order]) -> dict[int, list[OfLine]]:
    """Return what is not measured yet of each line, or older than it keeps, by order, in the order of its lines.

    One query more than the marks where a batch is marked, and three where something is made hot.
    While the Book has an error, a batch is everybody's: nobody can say what it goes into.
    """
    book = book_now()
    marks = cooling_marks(orders, book)
    inside = batches_in(orders, marks, book)
    likely = likely_of_orders(orders, marks, book)
    return {
        order.pk: [
            OfLine(_of_line(order.pk, line, marks, inside), likely.get(order.pk, {}).get(line.product.code, ()))
            for line in order.lines.all()
        ]
        for order in orders
    }


def _of_line(order_id: int, line: OrderLine, marks: Marks, inside: BatchesIn) -> list[CoolingMark]:
    own = marks.get(order_id, {}).get(Item("product", line.product_id))
    batches = inside.get((order_id, line.product_id), ())
    return [*([own] if own is not None and _is_open(own) else []), *batches]


def _is_open(mark: CoolingMark) -> bool:
    """Return whether somebody has to be asked: it is not measured to have kept its rule, or older than it keeps."""
    return not mark.settled or mark.aged_min is not None


def batches_in(orders: Sequence[Order], marks: Marks, book: Book | None) -> BatchesIn:
    """Return by order and product the marks of batches in it that are not settled, or too old; a query with any.

    While the Book has an error, a batch is everybody's: nobody can say what it goes into.
    """
    still = {
        order.pk: [mark for mark in marks.get(order.pk, {}).values() if mark.item.kind == "recipe" and _is_open(mark)]
        for order in orders
    }
    wanted = {mark.item.pk for found in still.values() for mark in found}
    codes = dict(Recipe.objects.filter(pk__in=wanted).values_list("pk", "code")) if wanted else {}
    return {
        (order.pk, line.product_id): inside
        for order in orders
        if still[order.pk]
        for line in order.lines.all()
        if (inside := _inside(line, still[order.pk], codes, book))
    }


def _inside(
    line: OrderLine, still: Sequence[CoolingMark], codes: Mapping[int, str], book: Book | None
) -> tuple[CoolingMark, ...]:
    if book is None:
        return tuple(still)
    takes = {code for code, _ in batch_amounts({line.product.code: line.units}, book)}
    return tuple(mark for mark in still if codes.get(mark.item.pk) in takes)


def hold_by_code(orders: Sequence[Order]) -> dict[str, float]:
    """Return how warm the products of orders may be kept [°C], by code, where nothing else says how they are kept."""
    book = book_now()
    return (
        {} if book is None else held_cold((line.product.code for order in orders for line in order.lines.all()), book)
    )
