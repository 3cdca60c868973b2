"""Hours of events: which are promised, and that they stay as entered after the kitchen's time zone was corrected."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from catalog.kitchen.selectors import kitchen_zone
from catalog.records.moments import same_hour
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.states import ORDERS_AHEAD, QuoteStatus
from orders.records.transitions import audit_many

#: The event in the audit trail.
ZONE_CORRECTED = "zone_corrected"
_WINDOW = ("window_start", "window_end")


def events_ahead(*, at: datetime) -> int:
    """Return how many events are ahead: open inquiries, and those that became orders."""
    return Inquiry.objects.filter(closed_at__isnull=True, window_end__gte=at).count()


def promised_between(first: date, last: date) -> list[str]:
    """Return the names of the orders still to make that are handed over in these days where the kitchen is."""
    zone = kitchen_zone()
    begin = datetime.combine(first, time.min, tzinfo=zone)
    end = datetime.combine(last + timedelta(days=1), time.min, tzinfo=zone)
    found = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__gte=begin, window_start__lt=end)
    return [f"{number} {title}" for number, title in found.order_by("window_start").values_list("number", "title")]


def hours_stay(*, before: str, after: str, by: str, at: datetime) -> None:
    """Let every event, and the validity of every draft, have the hours entered for it, in the caller's transaction.

    ``before`` and ``after`` are the names of the time zones. What was sent has its own hours in its content, which
    nothing changes; the moment at which it ends to be valid stays too.
    """
    zones = ZoneInfo(before), ZoneInfo(after)
    _convert(Inquiry.objects.all(), _WINDOW, zones, by=by, at=at)
    _convert(Quote.objects.filter(status=QuoteStatus.DRAFT), ("valid_until",), zones, by=by, at=at)
    _convert(Order.objects.all(), _WINDOW, zones, by=by, at=at)


def _convert(
    rows: "QuerySet[Any]", names: Sequence[str], zones: tuple[ZoneInfo, ZoneInfo], *, by: str, at: datetime
) -> None:
    found = list(rows.select_for_update(no_key=True).only("pk", *names).order_by("pk"))
    for row in found:
        for name in names:
            moment = getattr(row, name)
            if moment is not None:
                setattr(row, name, same_hour(moment.astimezone(zones[0]), zones[1]))
    rows.model._default_manager.bulk_update(found, list(names), batch_size=200)
    audit_many(found, ZONE_CORRECTED, by=by, at=at)
