"""Whether a quote can still be answered, and which links open it."""

import hashlib
from collections.abc import Iterable
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from catalog.kitchen.selectors import kitchen_zone
from catalog.products.models import Product
from catalog.records.moments import same_hour
from orders.approvals.models import Link, Message
from orders.documents.content import QuoteContent, content_read
from orders.planning.models import WindowCheck
from orders.quotes.draft.message_needs import HELD, NO_NEED, RECORDED, REPLIED
from orders.quotes.models import Quote
from orders.quotes.send.reserving import RELEASE
from orders.records.amend_errors import QuoteAmended
from orders.records.closed_errors import (
    NewerApproved,
    QuoteDeclined,
    QuoteEventOver,
    QuoteExpired,
    QuoteReplaced,
    QuoteWithdrawn,
)
from orders.records.errors import OrderError
from orders.records.models import AuditEntry
from orders.records.states import QuoteEvent, QuoteStatus

#: How far apart the same hour of two time zones can be, UTC+14 and UTC-12; before that nobody has to look up the zone.
_ZONES_APART: Final = timedelta(hours=26)


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
    if quote.status == QuoteStatus.AMENDED:
        return QuoteAmended(day=_amended_at(quote))
    if quote.status == QuoteStatus.DECLINED:
        return QuoteDeclined(day=quote.answered_at)
    if quote.status == QuoteStatus.EXPIRED or (quote.status == QuoteStatus.SENT and _overdue(quote, at)):
        return QuoteExpired(day=content_read(quote.content).valid_until if quote.content else quote.valid_until)
    if quote.status == QuoteStatus.SENT and quote.content:
        return event_over(content_read(quote.content), at)
    return None


def _amended_at(quote: Quote) -> datetime | None:
    """Return when the change of an order was approved that took the place of what it was."""
    trail = AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event=QuoteEvent.AMEND)
    return trail.values_list("at", flat=True).first()


def event_over(content: QuoteContent, at: datetime) -> QuoteEventOver | None:
    """Return that the time a content names has passed, by the kitchen's clocks as they are set now."""
    begins = content.event.window_start
    if begins - _ZONES_APART > at:
        return None
    return QuoteEventOver(day=begins) if same_hour(begins, kitchen_zone()) <= at else None


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


def slot_checked(quote: Quote) -> WindowCheck | None:
    """Return the check of a sent quote's time that was asked for when somebody wanted to approve it; one query."""
    return WindowCheck.objects.filter(quote=quote, asked_at__gte=quote.sent_at).first() if quote.sent_at else None


def was_released(quote: Quote) -> bool:
    """Return whether the day of a quote was kept, and then let go; one query."""
    return AuditEntry.objects.filter(document="quote", document_pk=quote.pk, event=RELEASE).exists()


def sale_multiples(codes: Iterable[str]) -> dict[str, int]:
    """Return in which numbers products are sold, by code; one query."""
    return dict(Product.objects.filter(code__in=list(codes)).values_list("code", "sale_multiple"))


def waits_for_reply(quote: Quote) -> Message | None:
    """Return what the customer wrote last about this revision, unless the kitchen replied to it."""
    last = quote.messages.order_by("-pk").first()
    if last is None or last.kind != Message.Kind.CHANGE or not last.text:
        return None
    return None if last.pk in _of_history([quote.pk], HELD) else last


class NotAnswered(StrEnum):
    """How what a customer wrote waits: not at all (false), for any answer, or replied to and for the list alone."""

    NOT = ""
    WAITS = "waits"
    REPLIED = "replied"


def not_answered(quote: Quote, last: Message | None) -> NotAnswered:
    """Return whether the customer wrote what has no answer, about any quote of the inquiry or here.

    ``last`` is what waits for a reply (:func:`waits_for_reply`). An answer is that somebody recorded the needs in it,
    or that there is none: a reply says nothing of the list.
    """
    if last is not None and last.pk not in _of_history([quote.pk], NO_NEED, RECORDED):
        return NotAnswered.WAITS
    rows = Message.objects.filter(quote__inquiry=quote.inquiry_id, seen_at=None, kind=Message.Kind.CHANGE)
    wrote = dict(rows.exclude(text="").values_list("pk", "quote_id"))
    # What the service wrote when an approval was not possible are not the customer's words.
    theirs = wrote.keys() - _of_history(wrote.values(), HELD) if wrote else set()
    if not theirs:
        return NotAnswered.NOT
    return NotAnswered.REPLIED if theirs <= _of_history(wrote.values(), REPLIED) else NotAnswered.WAITS


def _of_history(quotes: Iterable[int], *events: str) -> frozenset[int]:
    """Return the messages about quotes that events of their history name."""
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=list(quotes), event__in=events)
    return frozenset(params["message"] for params in rows.values_list("params", flat=True) if "message" in params)
