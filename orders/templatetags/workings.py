"""Figures in the sums that open: rounded for the eye, text left as it is."""

from collections.abc import Iterable
from decimal import Decimal, InvalidOperation

from django import template

from catalog.web import display
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

register = template.Library()


@register.simple_tag
def standing(quote: Quote, revisions: Iterable[Quote]) -> str:
    """Write where a revision stands; a withdrawn one names the revision that took its place, if one did."""
    newer = next((one for one in revisions if one.replaces_id == quote.pk and one.sent_at is not None), None)
    if quote.status == QuoteStatus.WITHDRAWN and newer is not None:
        return f"replaced by revision {newer.revision}"
    return display.status(quote)


@register.filter
def figure(text: str) -> str:
    """Write a figure of an explanation with at most three decimals, small ones with six; other text as it is."""
    try:
        value = Decimal(text)
    except InvalidOperation:
        return text
    return display.plain(value, 3 if abs(value) >= 1 else 6) if value.is_finite() else text
