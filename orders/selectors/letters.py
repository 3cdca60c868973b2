"""A quote as the customer reads it, and the mails sent about quotes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.core.paginator import Page, Paginator

from catalog.models import Outbox
from catalog.selectors.kitchen import kitchen
from orders.content import QuoteContent, content_read
from orders.errors import OrderError
from orders.models import Approval, Link, Order, Quote
from orders.selectors.answers import why_closed
from orders.selectors.links import open_links
from orders.states import QuoteStatus

MAILS_A_PAGE = 50


@dataclass(frozen=True, slots=True)
class LetterPage:
    """One revision as the holder of a private link sees it."""

    quote: Quote
    content: QuoteContent
    link: Link
    closed: OrderError | None
    newer: Quote | None
    older: Quote | None
    approval: Approval | None
    order: Order | None
    payment_details: str

    @property
    def approved(self) -> bool:
        """Whether the customer said yes to this revision."""
        return self.approval is not None

    @property
    def can_answer(self) -> bool:
        """Whether yes and no are still open."""
        return self.closed is None and self.approval is None


def letter_page(*, quote_id: int, link_ids: Iterable[int], at: datetime) -> LetterPage | None:
    """Return the letter when one of the links opens it, in a fixed number of queries; else None.

    A link opens every revision of its number that was sent: the kitchen's newer one takes the old one's place.
    """
    quote = (
        Quote.objects.select_related("enquiry__customer", "replaces")
        .exclude(sent_at=None)
        .defer("brief", "estimate", "replaces__brief", "replaces__estimate", "replaces__content")
        .filter(pk=quote_id)
        .first()
    )
    if quote is None:
        return None
    links = open_links(link_ids, number=quote.number, at=at)
    if not links:
        return None
    approval = Approval.objects.filter(quote=quote).first()
    return LetterPage(
        quote=quote,
        content=content_read(quote.content),
        link=links[-1],
        closed=why_closed(quote, at),
        newer=_newest(quote),
        older=quote.replaces,
        approval=approval,
        order=Order.objects.filter(quote=quote).first() if approval else None,
        payment_details=kitchen().payment_details if approval else "",
    )


def _newest(quote: Quote) -> Quote | None:
    """Return the revision that took this one's place, if the customer was sent one."""
    return (
        Quote.objects.filter(number=quote.number, revision__gt=quote.revision)
        .exclude(sent_at=None)
        .exclude(status=QuoteStatus.WITHDRAWN)
        .only("number", "revision", "status", "sent_at")
        .order_by("-revision")
        .first()
    )


@dataclass(frozen=True, slots=True)
class Mail:
    """A mail (or file) that must go out, and the quote it is about."""

    row: Outbox
    quote_id: int | None

    @property
    def failed(self) -> bool:
        """Whether it was given up."""
        return self.row.status == Outbox.Status.FAILED


def mails(*, show: str, page: str | int) -> Page[Mail]:
    """Return mails and files, the latest first; ``show`` is ``failed``, ``waiting`` or anything else for all."""
    rows = Outbox.objects.order_by("-pk")
    if show == "failed":
        rows = rows.filter(status=Outbox.Status.FAILED)
    if show == "waiting":
        rows = rows.filter(status__in=[Outbox.Status.WAITING, Outbox.Status.RUNNING])
    listed = Paginator(rows, MAILS_A_PAGE).get_page(page)
    rows_shown = [Mail(row, _quote_of(row)) for row in listed.object_list]
    listed.object_list = rows_shown  # type: ignore[assignment]  # the page shows mails, not rows
    return listed  # type: ignore[return-value]  # as above


def _quote_of(row: Outbox) -> int | None:
    kind, _, number = row.about.partition(":")
    return int(number) if kind == "quote" and number.isdigit() else None
