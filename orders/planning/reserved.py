"""The plan as it is stored, and the quotes whose day is kept in it."""

from datetime import datetime
from typing import Final

from orders.planning.models import KitchenPlan
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

#: The key of the one row.
PLAN_KEY: Final = 1


def plan_row() -> KitchenPlan:
    """Return the plan as it is stored, an empty one before the first."""
    return KitchenPlan.objects.filter(pk=PLAN_KEY).first() or KitchenPlan(pk=PLAN_KEY)


def reserved_quotes(row: KitchenPlan, at: datetime, *, beside: str = "") -> list[Quote]:
    """Return the quotes whose day is kept at a moment, but those with the number of the one ``beside`` them."""
    if not row.reserved:
        return []
    rows = Quote.objects.filter(pk__in=row.reserved, status=QuoteStatus.SENT, valid_until__gte=at).exclude(
        number=beside
    )
    rows = rows.select_related("inquiry").defer("brief", "estimate").prefetch_related("lines__product")
    return list(rows.order_by("pk"))


def day_is_reserved(quote: Quote, at: datetime) -> bool:
    """Return whether a quote's day is kept at a moment; one query."""
    waits = quote.status == QuoteStatus.SENT and quote.valid_until is not None and quote.valid_until >= at
    return waits and quote.pk in plan_row().reserved
