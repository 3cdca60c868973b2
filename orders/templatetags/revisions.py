"""The status of a revision of a quote."""

from collections.abc import Iterable

from django import template
from django.utils.translation import gettext

from catalog.web import display
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

register = template.Library()


@register.simple_tag
def revision_status(quote: Quote, revisions: Iterable[Quote]) -> str:
    """Write the status of a revision; a withdrawn one names the revision that replaced it, if any."""
    newer = next((one for one in revisions if one.replaces_id == quote.pk and one.sent_at is not None), None)
    if quote.status == QuoteStatus.WITHDRAWN and newer is not None:
        return gettext("replaced by revision %(revision)s") % {"revision": newer.revision}
    return display.status(quote)
