"""Hours of events after the kitchen's time zone was corrected: they stay as they were entered."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import QuerySet

from catalog.records.moments import same_hour
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus
from orders.records.transitions import audit_many

#: The event in the audit trail.
ZONE_CORRECTED = "zone_corrected"
_WINDOW = ("window_start", "window_end")


def events_ahead(*, at: datetime) -> int:
    """Return how many events are ahead: open inquiries, and those that became orders."""
    return Inquiry.objects.filter(closed_at__isnull=True, window_end__gte=at).count()


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
