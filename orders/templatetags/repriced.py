"""A warning about open quotes, shown where a price was changed."""

from typing import Any

from django import template
from django.utils import timezone

from catalog.records.errors import CannotPrice
from catalog.records.presenters import sentence
from orders.quotes.repriced.selectors import open_quotes_repriced

register = template.Library()


@register.inclusion_tag("orders/quotes/repriced/below_floor.html")
def below_floor() -> dict[str, Any]:
    """Return the open quotes below the floor margin at today's prices, or why none can be priced."""
    try:
        rows = open_quotes_repriced(day=timezone.localdate())
    except CannotPrice as error:
        return {"problem": sentence(error)}
    return {"rows": [row for row in rows if row.below_floor], "open": len(rows)}
