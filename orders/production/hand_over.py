"""What the crew needs that hands an order over: when it leaves, with whom, and until when it may be out of the cold."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction

from catalog.kitchen.selectors import kitchen
from orders.documents.content import Line, QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.orders.models import Order


def leaves_at(order: Order) -> datetime:
    """Return when an order leaves the kitchen at the latest: the way and the set-up before its window begins."""
    return order.window_start - timedelta(minutes=order.quote.inquiry.travel_minutes)


@dataclass(frozen=True)
class HandOver:
    """An order as the crew that brings it needs it. ``uncooled`` is when it leaves the cold; None when collected."""

    order: Order
    content: QuoteContent
    leaves: datetime
    uncooled: datetime | None
    crew: int
    minutes: Fraction | None

    @property
    def lines(self) -> list[tuple[Line, datetime | None]]:
        """Pair each line with until when it may be out of the cold; None where nothing limits that, or is known."""
        return [(line, self._until(line.out_minutes)) for line in self.content.lines]

    def _until(self, minutes: int | None) -> datetime | None:
        return None if minutes is None or self.uncooled is None else self.uncooled + timedelta(minutes=minutes)


def hand_overs(orders: Iterable[Order]) -> list[HandOver]:
    """Read what each order's hand-over needs, the kitchen once; the orders bring their quote and inquiry."""
    refrigerated = kitchen().vehicle_cold
    return [_hand_over(order, order.quote.inquiry, refrigerated) for order in orders]


def _hand_over(order: Order, inquiry: Inquiry, refrigerated: bool) -> HandOver:
    leaves, minutes = leaves_at(order), inquiry.minutes
    uncooled = None
    if inquiry.hand_over == Inquiry.HandOver.DELIVERY:
        uncooled = leaves + timedelta(minutes=float(minutes or 0)) if refrigerated else leaves
    return HandOver(
        order=order,
        content=content_read(order.quote.content),
        leaves=leaves,
        uncooled=uncooled,
        crew=inquiry.crew,
        minutes=None if minutes is None else Fraction(minutes),
    )
