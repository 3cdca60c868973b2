"""The data of a hand-over for the crew: departure, people, and until when the food may be out of the cold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import zip_longest
from typing import NamedTuple

from catalog.cooling.keeping import held_cold
from catalog.cooling.selectors import ProductCold
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.products.declarations import declarations_of
from orders.approvals.models import Message
from orders.cooling_log.limits import LimitsNow, is_shorter, limits_now, with_limit
from orders.cooling_log.plans import UNSTATED, leaves_at
from orders.cooling_log.selectors import CoolingMark, Marks, book_now, cooling_marks
from orders.documents.content import Line, QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.orders.informing import NOBODY_TO_INFORM, Informing, informing
from orders.orders.models import Order, OrderLine
from orders.quotes.cooling.perishables import room_holding, unstated
from orders.quotes.cooling.selectors import Item
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, since_now
from orders.quotes.draft.cooling import OutFrom, out_from
from orders.quotes.draft.message_needs import messages_unread_of


class HandOverLine(NamedTuple):
    """A line of a hand-over: the end of its time out of the cold (None if there is none), its mark, today's limit.

    ``unstated`` is what in it asks for the cold, where nobody stated how it is kept. ``keeps_hours`` is how long it
    keeps [h], where what was measured of it is older than that when it is handed over. ``room`` are the sources by
    which it is kept at room temperature. ``hold_c`` is how warm it may be kept [°C], where nothing else says it.
    """

    line: Line
    until: datetime | None
    mark: CoolingMark | None
    cold: ProductCold | None
    unstated: tuple[str, ...]
    keeps_hours: Fraction | None = None
    room: tuple[str, ...] = ()
    hold_c: float | None = None


@dataclass(frozen=True)
class HandOver:
    """An order with the data the crew needs. ``uncooled`` is when it leaves the cold; None when collected.

    ``content`` is the quote's, with today's time out of the cold where that is stated and shorter than what was sent.
    ``shorter`` are the products of which today's is the shorter one, ``out_from`` is where their time begins.
    ``unstated`` says by code what asks for the cold in a product of which nobody stated how it is kept.
    ``room`` has by code the sources by which a product is kept at room temperature, and ``holds_at`` how warm one may
    be kept [°C] of which nothing says how.
    ``aged`` has by code how long a product keeps [h] that is older than that at the hand-over, as it was measured.
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
    informing: Informing = NOBODY_TO_INFORM
    unread: tuple[Message, ...] = ()
    shorter: Mapping[str, ProductCold] = field(default_factory=dict)
    out_from: OutFrom = field(default_factory=lambda: OutFrom("pickup"))
    unstated: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    aged: Mapping[str, Fraction] = field(default_factory=dict)
    room: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    holds_at: Mapping[str, float] = field(default_factory=dict)

    @property
    def lines(self) -> list[HandOverLine]:
        """Return each line with its mark, limits and what is not stated of it."""
        pairs = zip_longest(self.content.lines, self.marks[: len(self.content.lines)])
        return [
            HandOverLine(
                line,
                self._until(line.out_minutes),
                mark,
                self.shorter.get(line.product),
                self.unstated.get(line.product, ()),
                self.aged.get(line.product),
                self.room.get(line.product, ()),
                self.holds_at.get(line.product),
            )
            for line, mark in pairs
        ]

    def _until(self, minutes: int | None) -> datetime | None:
        return None if minutes is None or self.uncooled is None else self.uncooled + timedelta(minutes=minutes)


def hand_overs(orders: Sequence[Order]) -> list[HandOver]:
    """Return the hand-over of each order; the orders come with lines, products, quote and inquiry prefetched."""
    codes = {line.product.code for order in orders for line in order.lines.all()}
    home, marks, limits = kitchen(), cooling_marks(orders), limits_now(codes)
    unsaid, room, holds_at = _keeping(orders)
    rows = [
        replace(
            _hand_over(order, order.quote.inquiry, marks, limits, home), unstated=unsaid, room=room, holds_at=holds_at
        )
        for order in orders
    ]
    since = since_now([(row.content, row.order.quote.inquiry) for row in rows])
    wrote = messages_unread_of(row.order.quote.inquiry for row in rows)
    known = informing({row.order.pk: changed for row, changed in zip(rows, since, strict=True)})
    return [
        replace(
            row,
            since=changed,
            informing=known[row.order.pk],
            unread=tuple(
                one
                for one in wrote.get(row.order.quote.inquiry_id, ())
                if one.pk not in {each.message for each in changed.messages}
            ),
        )
        for row, changed in zip(rows, since, strict=True)
    ]


_ByCode = dict[str, tuple[str, ...]]


def _keeping(orders: Sequence[Order]) -> tuple[_ByCode, _ByCode, dict[str, float]]:
    """Return by code what asks for the cold in products of which nobody stated how they are kept, in today's Book.

    And the sources by which others are kept at room temperature; and how warm those may be of which nothing says it.
    """
    book = book_now()
    if book is None:
        return {}, {}, {}
    known = {product.code for product in book.products}
    codes = {line.product_id: line.product.code for order in orders for line in order.lines.all()}
    wanted = {code for code in codes.values() if code in known}
    contained = declarations_of(book)
    allergens = {code: contained.of(code).allergens for code in wanted}
    open_, room = unstated(wanted, allergens, book), room_holding(wanted, allergens, book)
    return (
        {codes[one.product_id]: one.holds for one in open_ if one.product_id in codes},
        {codes[one.product_id]: one.sources for one in room if one.product_id in codes},
        held_cold(sorted(wanted), book),
    )


def _hand_over(order: Order, inquiry: Inquiry, marks: Marks, limits: LimitsNow, home: Kitchen) -> HandOver:
    leaves, minutes = leaves_at(order), inquiry.minutes
    uncooled = None
    if inquiry.hand_over == Inquiry.HandOver.DELIVERY:
        uncooled = leaves + timedelta(minutes=float(minutes or 0)) if home.vehicle_cold else leaves
    content = content_read(order.quote.content)
    shorter = {
        line.product: limits[line.product] for line in content.lines if is_shorter(line, limits.get(line.product))
    }
    order_marks = marks.get(order.pk, {})
    lines = list(order.lines.all())
    return HandOver(
        order=order,
        content=replace(content, lines=tuple(with_limit(line, limits.get(line.product)) for line in content.lines)),
        shorter=shorter,
        out_from=out_from(inquiry, home),
        leaves=leaves,
        uncooled=uncooled,
        crew=inquiry.crew,
        minutes=None if minutes is None else Fraction(minutes),
        # The order's lines are the content's, in its order.
        marks=tuple(order_marks.get(Item("product", line.product_id)) for line in lines),
        batch_marks=tuple(one for one in order_marks.values() if one.item.kind == "recipe"),
        aged={
            sent.product: hours
            for sent, line in zip(content.lines, lines, strict=False)
            if (hours := _aged(order, line, order_marks.get(Item("product", line.product_id)))) is not None
        },
    )


def _aged(order: Order, line: OrderLine, mark: CoolingMark | None) -> Fraction | None:
    """Return how long a product keeps [h], where what was measured of it is older than that at the hand-over.

    Where nobody entered that, the longest that food is kept counts.
    """
    record, keeps = None if mark is None else mark.record, line.product.keeps_hours
    made = None if record is None else record.started_at or min((one.at for one in record.read), default=None)
    longest = Fraction(UNSTATED // timedelta(hours=1)) if keeps is None else Fraction(keeps)
    if made is None or order.window_start - made <= timedelta(hours=float(longest)):
        return None
    return longest
