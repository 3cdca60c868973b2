"""Where a revision of a quote stands."""

from collections.abc import Iterable

from django import template

from catalog.web import display
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

register = template.Library()


@register.simple_tag
def revision_status(quote: Quote, revisions: Iterable[Quote]) -> str:
    """Write where a revision stands; a withdrawn one names the revision that took its place, if one did."""
    newer = next((one for one in revisions if one.replaces_id == quote.pk and one.sent_at is not None), None)
    if quote.status == QuoteStatus.WITHDRAWN and newer is not None:
        return f"replaced by revision {newer.revision}"
    return display.status(quote)
