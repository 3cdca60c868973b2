"""Private links: who has one may read a quote and answer it. Only the token's hash is kept."""

import secrets
from datetime import datetime, timedelta
from typing import Final

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from orders.approvals.models import Link
from orders.approvals.selectors import token_hash
from orders.quotes.models import Quote
from orders.records.errors import LinkNeedsSentQuote
from orders.records.states import QuoteStatus
from orders.records.transitions import audit

#: 256 bits from the system's generator.
TOKEN_BYTES: Final = 32
#: What was agreed stays readable for a while after the day itself.
KEPT: Final = timedelta(days=90)


@transaction.atomic(durable=True)
def link_create(*, quote_id: int, at: datetime) -> str:
    """Make another link to a quote and return its address; the token in it is nowhere else.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    LinkNeedsSentQuote
        If it was never sent: a draft is nobody's business yet.
    """
    quote = Quote.objects.select_related("inquiry").get(pk=quote_id)
    if quote.status == QuoteStatus.DRAFT or quote.sent_at is None or quote.valid_until is None:
        raise LinkNeedsSentQuote(what=str(quote))
    token = secrets.token_urlsafe(TOKEN_BYTES)
    Link.objects.create(
        quote=quote,
        token_sha256=token_hash(token),
        created_at=at,
        expires_at=max(quote.valid_until, quote.inquiry.window_end, at) + KEPT,
    )
    return f"{settings.SITE_URL}{reverse('link-login', args=[token])}"


@transaction.atomic(durable=True)
def link_revoke(*, link_id: int, by: str, at: datetime) -> None:
    """Close a link for good; closing a closed one changes nothing.

    Raises Link.DoesNotExist.
    """
    link = Link.objects.select_related("quote").get(pk=link_id)
    if Link.objects.filter(pk=link_id, revoked_at=None).update(revoked_at=at):
        audit(link.quote, "close_link", by=by, at=at, params={"link": link_id})


@transaction.atomic(durable=True)
def links_revoke(*, quote_id: int, by: str, at: datetime) -> int:
    """Close every open link to a quote, in all its revisions; return how many.

    Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.get(pk=quote_id)
    count = Link.objects.filter(quote__number=quote.number, revoked_at=None).update(revoked_at=at)
    if count:
        audit(quote, "close_links", by=by, at=at, params={"count": count})
    return count


def link_opened(*, link_id: int, at: datetime) -> None:
    """Note that a link was opened for the first time: by a person, or by a mail scanner. It proves nothing."""
    Link.objects.filter(pk=link_id, first_opened_at=None).update(first_opened_at=at)
