"""Other events on the day of an inquiry: a kitchen promises a day once it knows what else leaves on it."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from django.db.models import Exists, OuterRef, Q

from catalog.kitchen.selectors import kitchen_zone
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.quotes.selectors import rank
from orders.records.states import OrderStatus, QuoteStatus

#: Most events that are named; those beyond are counted.
MOST: Final = 4


@dataclass(frozen=True, slots=True)
class SameDayEvent:
    """Another event of a day, with its current quote, and its order where there is one."""

    inquiry: Inquiry
    quote: Quote | None = None
    order: Order | None = None


@dataclass(frozen=True, slots=True)
class SameDay:
    """Other events of a day, earliest first, and how many more there are."""

    day: date
    events: tuple[SameDayEvent, ...] = ()
    more: int = 0


def same_day(day: date, *, besides: int | None = None) -> SameDay:
    """Return what else is handed over on a day in the kitchen's zone, in three queries at most.

    An inquiry counts while it is open, or while an order of it stands; ``besides`` is the key of one that is left out.
    """
    zone = kitchen_zone()
    begin, end = (datetime.combine(day + timedelta(days=days), time.min, tzinfo=zone) for days in (0, 1))
    orders = Order.objects.exclude(status=OrderStatus.CANCELED)
    canceled = Order.objects.filter(quote__inquiry=OuterRef("pk"), status=OrderStatus.CANCELED)
    ordered = orders.filter(quote__inquiry=OuterRef("pk"))
    found = Inquiry.objects.filter(window_start__gte=begin, window_start__lt=end).exclude(pk=besides or 0)
    found = found.filter(Exists(ordered) | (Q(closed_at=None) & ~Exists(canceled)))
    inquiries = list(found.select_related("customer").order_by("window_start", "pk"))
    shown = [inquiry.pk for inquiry in inquiries[:MOST]]
    if not shown:
        return SameDay(day)
    quotes = Quote.objects.filter(inquiry__in=shown).exclude(status=QuoteStatus.WITHDRAWN)
    quotes = quotes.only("number", "revision", "status", "inquiry_id")
    current = {quote.inquiry_id: quote for quote in sorted(quotes, key=rank)}
    standing = orders.filter(quote__inquiry__in=shown).select_related("quote")
    made = {order.quote.inquiry_id: order for order in standing.only("number", "status", "quote__inquiry_id")}
    events = tuple(SameDayEvent(one, current.get(one.pk), made.get(one.pk)) for one in inquiries[:MOST])
    return SameDay(day, events, len(inquiries) - len(events))
