"""Private links: the holder may read a quote and answer it. Only the token's hash is stored."""

import secrets
from datetime import datetime, timedelta
from typing import Final

from django.db import transaction

from catalog.outbox.models import Outbox
from orders.approvals.models import Link
from orders.approvals.selectors import token_hash
from orders.mail.addresses import can_be_written_to
from orders.quotes.mails import KIND, quote_mail_ask
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.errors import LinkNeedsSentQuote, PdfNotStored
from orders.records.states import QuoteStatus
from orders.records.transitions import audit

#: 256 bits of the system's random generator.
TOKEN_BYTES: Final = 32
#: How long a quote stays readable after the day of the event.
READABLE_AFTER: Final = timedelta(days=90)
#: Least time between two requests for a new link.
LINK_AGAIN_AFTER: Final = timedelta(hours=1)


@transaction.atomic(durable=True)
def link_create(*, quote_id: int, at: datetime) -> str:
    """Create another link to a quote and return its token, which is stored nowhere.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    LinkNeedsSentQuote
        If it is a draft, which customers must not see.
    PdfNotStored
        If its PDF is not stored yet.
    """
    quote = Quote.objects.select_related("inquiry").get(pk=quote_id)
    if quote.status == QuoteStatus.DRAFT or quote.sent_at is None or quote.valid_until is None:
        raise LinkNeedsSentQuote(what=str(quote))
    if quote.pdf_id is None:
        raise PdfNotStored(what=str(quote))
    token = secrets.token_urlsafe(TOKEN_BYTES)
    Link.objects.create(
        quote=quote,
        token_sha256=token_hash(token),
        created_at=at,
        expires_at=max(quote.valid_until, quote.inquiry.window_end, at) + READABLE_AFTER,
    )
    return token


@transaction.atomic(durable=True)
def links_revoke(*, quote_id: int, by: str, at: datetime) -> int:
    """Revoke every open link to a quote, in all its revisions; return how many.

    Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.get(pk=quote_id)
    count = Link.objects.filter(quote__number=quote.number, revoked_at=None).update(revoked_at=at)
    if count:
        audit(quote, "close_links", by=by, at=at, params={"count": count})
    return count


@transaction.atomic(durable=True)
def link_opened(*, link_id: int, at: datetime) -> None:
    """Record that a link was opened for the first time, by a person or by a mail scanner; no evidence of reading."""
    Link.objects.filter(pk=link_id, first_opened_at=None).update(first_opened_at=at)


@transaction.atomic(durable=True)
def link_ask(*, quote_id: int, at: datetime) -> bool:
    """Mail a new link to the customer's own address, for the holder of an old one; at most once an hour.

    Return whether a mail was requested. Raises Quote.DoesNotExist.
    """
    quote = quote_locked(quote_id)  # of two who ask at once the second finds the mail of the first
    if not can_be_written_to(quote.inquiry.customer.email):
        return False
    asked = Outbox.objects.filter(kind=KIND, about=f"quote:{quote_id}", payload__mail="link_again").order_by("-pk")
    last = asked.first()
    if last is not None and at - last.created_at < LINK_AGAIN_AFTER:
        return False
    quote_mail_ask("link_again", quote, at=at)
    return True
