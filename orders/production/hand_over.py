"""The data of a hand-over for the crew: departure, people, and until when the food may be out of the cold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import zip_longest

from catalog.book.selectors import book_unpriced
from catalog.cooling.selectors import cold_times
from catalog.kitchen.selectors import kitchen
from catalog.records.errors import CannotPrice
from costing.chilling import TimeOutLimit
from orders.cooling_log.selectors import CoolingMark, Marks, cooling_marks
from orders.documents.content import Line, QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Item
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, since_now


def leaves_at(order: Order) -> datetime:
    """Return the latest departure of an order: travel and set-up before its window begins."""
    return order.window_start - timedelta(minutes=order.quote.inquiry.travel_minutes)


@dataclass(frozen=True)
class HandOver:
    """An order with the data the crew needs. ``uncooled`` is when it leaves the cold; None when collected.

    ``content`` is the quote's, with today's time out of the cold where that is stated and shorter than what was sent.
    ``marks`` has for each line what has to be measured or was, or None; ``batch_marks`` the same of its batches.
    """

    order: Order
    content: QuoteContent
    leaves: datetime
    uncooled: datetime | None
    crew: int
    minutes: Fraction | None
    marks: tuple[CoolingMark | None, ...] = ()
    batch_marks: tuple[CoolingMark, ...] = ()
    since: SinceQuote = NOTHING_CHANGED

    @property
    def lines(self) -> list[tuple[Line, datetime | None, CoolingMark | None]]:
        """Return each line with the end of its time out of the cold (None if there is none) and its mark."""
        pairs = zip_longest(self.content.lines, self.marks[: len(self.content.lines)])
        return [(line, self._until(line.out_minutes), mark) for line, mark in pairs]

    def _until(self, minutes: int | None) -> datetime | None:
        return None if minutes is None or self.uncooled is None else self.uncooled + timedelta(minutes=minutes)


def hand_overs(orders: Sequence[Order]) -> list[HandOver]:
    """Return the hand-over of each order; the orders come with lines, products, quote and inquiry prefetched."""
    refrigerated, marks, limits = kitchen().vehicle_cold, cooling_marks(orders), _limits_now(orders)
    rows = [_hand_over(order, order.quote.inquiry, marks, limits, refrigerated=refrigerated) for order in orders]
    since = since_now([(row.content, row.order.quote.inquiry) for row in rows])
    return [replace(row, since=changed) for row, changed in zip(rows, since, strict=True)]


def _limits_now(orders: Sequence[Order]) -> Mapping[str, TimeOutLimit]:
    """Return the times out of the cold that are stated today, by product, also where the catalog cannot price.

    None where something that one of the orders consists of is wrong itself.
    """
    codes = {line.product.code for order in orders for line in order.lines.all()}
    try:
        book = book_unpriced(codes)
    except CannotPrice:
        return {}
    cold = cold_times(codes, book)
    return {code: one.out for code, one in cold.items() if one.out is not None and one.out.clause is not None}


def with_limit(line: Line, limit: TimeOutLimit | None) -> Line:
    """Return a line with a limit, where it is shorter than what was sent or no rule stated one then."""
    if limit is None:
        return line
    if line.out_minutes is not None and not line.until_warm:
        sent = line.out_minutes - (1 if line.out_under else 0)
        if sent <= limit.longest_minutes:
            return line
    return replace(line, out_minutes=limit.allowed_minutes, out_under=limit.under, until_warm=False)


def _hand_over(
    order: Order, inquiry: Inquiry, marks: Marks, limits: Mapping[str, TimeOutLimit], *, refrigerated: bool
) -> HandOver:
    leaves, minutes = leaves_at(order), inquiry.minutes
    uncooled = None
    if inquiry.hand_over == Inquiry.HandOver.DELIVERY:
        uncooled = leaves + timedelta(minutes=float(minutes or 0)) if refrigerated else leaves
    content = content_read(order.quote.content)
    return HandOver(
        order=order,
        content=replace(content, lines=tuple(with_limit(line, limits.get(line.product)) for line in content.lines)),
        leaves=leaves,
        uncooled=uncooled,
        crew=inquiry.crew,
        minutes=None if minutes is None else Fraction(minutes),
        # The order's lines are the content's, in its order.
        marks=tuple(marks.get(order.pk, {}).get(Item("product", line.product_id)) for line in order.lines.all()),
        batch_marks=tuple(one for one in marks.get(order.pk, {}).values() if one.item.kind == "recipe"),
    )
