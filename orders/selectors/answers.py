"""Whether a quote can still be answered."""

from datetime import datetime

from catalog import display
from orders.errors import OrderError, QuoteDeclined, QuoteLapsed, QuoteReplaced, QuoteWithdrawn
from orders.models import Quote
from orders.states import QuoteStatus


def why_closed(quote: Quote, at: datetime) -> OrderError | None:
    """Return why a sent quote can no longer be answered, in the customer's words; None while it can."""
    if quote.status == QuoteStatus.WITHDRAWN:
        newer = Quote.objects.filter(replaces=quote).exclude(sent_at=None).only("sent_at").first()
        if newer is not None:
            return QuoteReplaced(day=display.day(newer.sent_at))
        return QuoteWithdrawn(day=display.day(quote.answered_at))
    if quote.status == QuoteStatus.DECLINED:
        return QuoteDeclined(day=display.day(quote.answered_at))
    if quote.status == QuoteStatus.LAPSED or (quote.status == QuoteStatus.SENT and _overdue(quote, at)):
        return QuoteLapsed(day=display.moment(quote.valid_until))
    return None


def _overdue(quote: Quote, at: datetime) -> bool:
    """Tell whether its day has passed, whether the sweep has been there or not."""
    return quote.valid_until is not None and quote.valid_until < at
