"""What a quote would break only together with orders that are promised: found before it is sent, with the reason."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.db.models import prefetch_related_objects

from catalog.cooling.amounts import Units
from costing.contract import Book
from orders.cooling_log.reasons import REASON_GIVEN, Recorded, in_force, out_of_force, reason_item, reasons_of
from orders.cooling_log.together import Together, broken_together
from orders.documents.agreed import content_agreed
from orders.orders.models import Order, OrderLine
from orders.quotes.cooling.measuring_content import Measuring, strictest
from orders.quotes.cooling.selectors import Item, broken
from orders.quotes.cooling.shared import OtherOrder, SharedBatch
from orders.quotes.models import Quote
from orders.records.states import OrderStatus
from orders.records.transitions import audit

#: The key of the order that a quote would be: no row has it.
_WOULD_BE = 0


def quoted_together(quote: Quote, units: Units, book: Book) -> tuple[SharedBatch, ...]:
    """Return the batches that break the rule only as they are made for a quote and for promised orders at once.

    A reason that was given for a revision of its number counts for just these orders, steps and amounts.
    """
    found = _found(quote, units, book)
    if not found:
        return ()
    recorded = reasons_of("quote", Quote.objects.filter(number=quote.number).values_list("pk", flat=True))
    alone = {one.item for one in broken(units, book)}
    return tuple(_shared(one, quote, recorded.get(item.pk, ()), alone=item in alone) for item, one in found.items())


def _found(quote: Quote, units: Units, book: Book) -> dict[Item, Together]:
    order = _as_order(quote, units)
    marks = broken_together([order], book).get(order.pk, {})
    alone = {one.item: one.mark for one in broken(units, book)} if marks else {}
    # What breaks it alone as well is another batch at the size that all of them need.
    return {item: one for item, one in marks.items() if one.broken.mark != alone.get(item)}


def _as_order(quote: Quote, units: Units) -> Order:
    """Return the order that a quote would be, without a row."""
    inquiry = quote.inquiry
    window = inquiry if quote.window_chosen is None else content_agreed(quote).event
    order = Order(
        # What changes an order is not made beside it.
        pk=quote.amends_id or _WOULD_BE,
        quote=quote,
        customer=inquiry.customer,
        status=OrderStatus.CONFIRMED,
        window_start=window.window_start,
        window_end=window.window_end,
    )
    prefetch_related_objects([quote], "lines__product")
    products = {line.product.code: line.product for line in quote.lines.all()}
    lines = OrderLine.objects.none()
    lines._result_cache = [OrderLine(product=products[code], units=count) for code, count in units.items()]
    order._prefetched_objects_cache = {"lines": lines}  # type: ignore[attr-defined]  # as prefetch_related() leaves it
    return order


def _others(found: Together, quote: Quote) -> Iterator[Order]:
    return (order for order in found.orders if order.pk != (quote.amends_id or _WOULD_BE))


def _shared(found: Together, quote: Quote, reasons: Sequence[Recorded], *, alone: bool) -> SharedBatch:
    others = list(_others(found, quote))
    keys = frozenset(order.pk for order in others)
    counts = in_force(found, keys, reasons)
    return SharedBatch(
        item=found.broken.item,
        name=found.broken.name,
        mark=found.broken.mark,
        legs=found.broken.legs,
        orders=tuple(OtherOrder(order.pk, order.number, order.title) for order in others),
        given=None if counts is None else counts.given,
        void=out_of_force(found, keys, reasons, None),
        batches=found.ways.batches,
        alone=alone,
    )


def quoted_reason(quote: Quote, units: Units, book: Book, measuring: Measuring, *, by: str, at: datetime) -> None:
    """Write down what is measured of what a quote breaks together with other orders.

    Raises OrderError where it lacks a part, or is read later than a limit.
    """
    found = _found(quote, units, book).values()
    if not found:
        return
    names = [one.broken.name for one in found]
    measuring.check(strictest(one.broken.legs for one in found), names, "together-")
    items = [
        reason_item(one, (order.pk for order in _others(one, quote)), (order.number for order in _others(one, quote)))
        for one in found
    ]
    audit(quote, REASON_GIVEN, by=by, at=at, note=measuring.note(), params={"items": items})
