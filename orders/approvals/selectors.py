"""Whether a quote can still be answered, and which links open it."""

import hashlib
from collections.abc import Iterable
from datetime import datetime

from orders.approvals.models import Link
from orders.quotes.models import Quote
from orders.records.closed_errors import NewerApproved, QuoteDeclined, QuoteExpired, QuoteReplaced, QuoteWithdrawn
from orders.records.errors import OrderError
from orders.records.states import QuoteStatus


def why_closed(quote: Quote, at: datetime) -> OrderError | None:
    """Return why a sent quote can no longer be answered; None while it can."""
    if quote.status == QuoteStatus.WITHDRAWN:
        newer = Quote.objects.filter(replaces=quote).exclude(sent_at=None).only("sent_at").first()
        of_number = Quote.objects.filter(number=quote.number, revision__gt=quote.revision)
        approved = of_number.filter(status=QuoteStatus.APPROVED).only("answered_at").first() if newer else None
        if approved is not None:
            return NewerApproved(day=approved.answered_at)
        if newer is not None:
            return QuoteReplaced(day=newer.sent_at)
        return QuoteWithdrawn(day=quote.answered_at)
    if quote.status == QuoteStatus.DECLINED:
        return QuoteDeclined(day=quote.answered_at)
    if quote.status == QuoteStatus.EXPIRED or (quote.status == QuoteStatus.SENT and _overdue(quote, at)):
        return QuoteExpired(day=quote.valid_until)
    return None


def _overdue(quote: Quote, at: datetime) -> bool:
    """Return whether it is past its last day, even if the sweep has not expired it yet."""
    return quote.valid_until is not None and quote.valid_until < at


def token_hash(token: str) -> str:
    """Return the hash stored for a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def link_of(token: str) -> Link | None:
    """Return the link of a token, open or not."""
    return Link.objects.select_related("quote").filter(token_sha256=token_hash(token)).first()


def open_links(ids: Iterable[int], *, number: str, at: datetime) -> list[Link]:
    """Return those of the links that still open a quote of this number."""
    return list(Link.objects.filter(pk__in=list(ids), quote__number=number, revoked_at=None, expires_at__gt=at))
