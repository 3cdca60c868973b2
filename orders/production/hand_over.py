"""The data of a hand-over for the crew: departure, people, and until when the food may be out of the cold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import zip_longest
from typing import NamedTuple

from catalog.cooling.keeping import held_cold
from catalog.cooling.selectors import ProductCold
from catalog.cooling.time_used import products_used_up
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from catalog.products.declarations import declarations_of
from orders.approvals.models import Message
from orders.cooling_log.likely import likely_of_orders
from orders.cooling_log.limits import LimitsNow, is_shorter, limits_recorded, with_limit, without_limit
from orders.cooling_log.making_days import units_of
from orders.cooling_log.plans import leaves_at
from orders.cooling_log.presenters import MarkShown
from orders.cooling_log.selectors import CoolingMark, Marks, book_now, cooling_marks
from orders.cooling_log.step_presenters import step_marks
from orders.cooling_log.steps_open import open_steps
from orders.documents.agreed import content_agreed
from orders.documents.content import Line, QuoteContent
from orders.inquiries.models import Inquiry
from orders.orders.informing import NOBODY_TO_INFORM, Informing, informing
from orders.orders.models import Order
from orders.production.label_marks import BatchesIn, batches_in
from orders.quotes.cooling.perishables import room_holding, unstated
from orders.quotes.cooling.remarked import Minded
from orders.quotes.cooling.selectors import Item
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, since_now
from orders.quotes.draft.cooling import OutFrom, out_from
from orders.quotes.draft.message_needs import MessageOpen, messages_elsewhere, messages_unread_of


class HandOverLine(NamedTuple):
    """A line of a hand-over: the end of its time out of the cold (None if there is none), its mark, today's limit.

    ``unstated`` is what in it asks for the cold, where nobody stated how it is kept. ``room`` are the sources by which
    it is kept at room temperature. ``hold_c`` is how warm it may be kept [°C], where nothing else says it.
    ``batches`` are the marks of what goes into it and is not measured to have kept its rule. ``used_min`` is how long
    its own steps have it out of the cold, where they use its time up: then it has no limit any more. ``likely`` is
    what of it is to be measured although nothing waits for it.
    """

    line: Line
    until: datetime | None
    mark: CoolingMark | None
    cold: ProductCold | None
    unstated: tuple[str, ...]
    room: tuple[str, ...] = ()
    hold_c: float | None = None
    batches: tuple[CoolingMark, ...] = ()
    used_min: float | None = None
    likely: tuple[Minded, ...] = ()

    @property
    def thrown(self) -> bool:
        """Whether all of it was discarded, or of a batch in it, and nothing was made anew: it does not go out."""
        return any(mark.all_gone for mark in (self.mark, *self.batches) if mark is not None)


@dataclass(frozen=True)
class HandOver:
    """An order with the data the crew needs. ``uncooled`` is when it leaves the cold; None when collected.

    ``content`` is the quote's, with today's time out of the cold where that is stated and shorter than what was sent.
    ``shorter`` are the products of which today's is the shorter one, ``out_from`` is where their time begins.
    ``unstated`` says by code what asks for the cold in a product of which nobody stated how it is kept.
    ``room`` has by code the sources by which a product is kept at room temperature, and ``holds_at`` how warm one may
    be kept [°C] of which nothing says how.
    ``inside`` has by code the marks of the batches in a product, ``used`` how long its own steps have it out of the
    cold [min] where they use its time up.
    ``marks`` has for each line what has to be measured or was, or None; ``batch_marks`` the same of its batches.
    ``steps`` are those that nobody has said are cold.
    """

    order: Order
    content: QuoteContent
    leaves: datetime
    uncooled: datetime | None
    crew: int
    minutes: Fraction | None
    marks: tuple[CoolingMark | None, ...] = ()
    batch_marks: tuple[CoolingMark, ...] = ()
    steps: tuple[MarkShown, ...] = ()
    since: SinceQuote = NOTHING_CHANGED
    informing: Informing = NOBODY_TO_INFORM
    unread: tuple[Message, ...] = ()
    elsewhere: tuple[MessageOpen, ...] = ()
    shorter: Mapping[str, ProductCold] = field(default_factory=dict)
    out_from: OutFrom = field(default_factory=lambda: OutFrom("pickup"))
    unstated: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    room: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    holds_at: Mapping[str, float] = field(default_factory=dict)
    inside: Mapping[str, tuple[CoolingMark, ...]] = field(default_factory=dict)
    used: Mapping[str, float] = field(default_factory=dict)
    likely: Mapping[str, tuple[Minded, ...]] = field(default_factory=dict)

    @property
    def lines(self) -> list[HandOverLine]:
        """Return each line with its mark, limits and what is not stated of it."""
        pairs = zip_longest(self.content.lines, self.marks[: len(self.content.lines)])
        return [self._line(line, mark) for line, mark in pairs]

    def _line(self, line: Line, mark: CoolingMark | None) -> HandOverLine:
        used, shorter = self.used.get(line.product), self.shorter.get(line.product)
        if used is not None:
            line, shorter = without_limit(line, stated=shorter is None), None
        return HandOverLine(
            line,
            self._until(line.out_minutes),
            mark,
            shorter,
            self.unstated.get(line.product, ()),
            self.room.get(line.product, ()),
            self.holds_at.get(line.product),
            self.inside.get(line.product, ()),
            used,
            self.likely.get(line.product, ()),
        )

    def _until(self, minutes: int | None) -> datetime | None:
        return None if minutes is None or self.uncooled is None else self.uncooled + timedelta(minutes=minutes)


def hand_overs(orders: Sequence[Order]) -> list[HandOver]:
    """Return the hand-over of each order; the orders come with lines, products, quote and inquiry prefetched."""
    home, marks, limits_of = kitchen(), cooling_marks(orders), limits_recorded(orders)
    inside = batches_in(orders, marks, book_now())
    unsaid, room, holds_at = _keeping(orders)
    book = book_now()
    likely, steps = likely_of_orders(orders, marks, book), open_steps(orders, book)
    rows = [
        replace(
            _hand_over(order, order.event, marks, limits_of[order.pk], home),
            unstated=unsaid,
            room=room,
            holds_at=holds_at,
            inside=_inside(order, inside),
            used={} if book is None else products_used_up(units_of(order), book),
            likely=likely.get(order.pk, {}),
            steps=tuple(step_marks([order], steps)),
        )
        for order in orders
    ]
    since = since_now([(row.content, row.order.quote.inquiry) for row in rows])
    inquiries = [row.order.quote.inquiry for row in rows]
    wrote, others = messages_unread_of(inquiries), messages_elsewhere(inquiries)
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
            elsewhere=others.get(row.order.quote.inquiry_id, ()),
        )
        for row, changed in zip(rows, since, strict=True)
    ]


def _inside(order: Order, inside: BatchesIn) -> dict[str, tuple[CoolingMark, ...]]:
    """Return by code, as it was sent, the batches in each product; the order's lines are the content's."""
    sent = content_agreed(order.quote).lines
    return {
        line.product: inside.get((order.pk, row.product_id), ())
        for line, row in zip(sent, order.lines.all(), strict=False)
    }


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
    content = content_agreed(order.quote)
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
    )
