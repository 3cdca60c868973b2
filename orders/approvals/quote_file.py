"""The owner's record of a sent quote: revisions, links, messages, mail, history and answer."""

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from catalog.outbox.models import Outbox
from catalog.records.reasons import Reason
from orders.approvals.models import Approval, Link, Message
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent, content_read
from orders.mail.selectors import mails_about
from orders.orders.models import Order
from orders.planning.reserved import day_is_reserved
from orders.quotes.changes import changes_between
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, since_now
from orders.quotes.draft.message_needs import messages_open
from orders.quotes.models import Quote
from orders.quotes.selectors import content_before
from orders.quotes.send.changed_prices import given_prices
from orders.records.models import AuditEntry
from orders.records.states import QUOTES_ALIVE

_UNDER_WAY: Final = (Outbox.Status.WAITING, Outbox.Status.RUNNING)


@dataclass(frozen=True, slots=True)
class QuoteFile:
    """One revision with everything that happened to it."""

    quote: Quote
    content: QuoteContent | None
    revisions: list[Quote]
    changes: list[Reason]
    links: list[Link]
    messages: list[Message]
    mail: list[Outbox]
    history: list[AuditEntry]
    approval: Approval | None
    order: Order | None
    since: SinceQuote = NOTHING_CHANGED
    before: QuoteContent | None = None
    day_reserved: bool = False


def quote_file(quote_id: int, at: datetime) -> QuoteFile:
    """Return the record of a quote in a fixed number of queries.

    Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.select_related("inquiry__customer", "pdf", "replaces", "amends").get(pk=quote_id)
    content = content_agreed(quote) if quote.content else None
    revisions = list(Quote.objects.filter(number=quote.number).defer("brief", "estimate").order_by("-revision"))
    alive = quote.status in QUOTES_ALIVE
    older = next((other for other in revisions if other.revision < quote.revision and other.content), None)
    before = (content_read(older.content) if older else None) if quote.amends_id is None else content_before(quote)
    given = given_prices(quote)
    return QuoteFile(
        quote=quote,
        content=content,
        revisions=revisions,
        changes=changes_between(before, content, given=given) if before and content else [],
        links=list(quote.links.order_by("pk")),
        messages=list(Message.objects.filter(quote__in=revisions).order_by("pk")),
        mail=mails_about(f"quote:{quote.pk}"),
        history=list(AuditEntry.objects.filter(document="quote", document_pk=quote.pk).order_by("pk")),
        approval=Approval.objects.filter(quote=quote).first(),
        order=Order.objects.filter(quote__number=quote.number).first(),
        since=since_now([(content, quote.inquiry)])[0] if content and alive else _over(quote),
        before=before if quote.amends_id is not None else None,
        day_reserved=day_is_reserved(quote, at),
    )


def _over(quote: Quote) -> SinceQuote:
    """Return what nobody has answered of a quote that is over, such as what was written when it was declined."""
    return replace(NOTHING_CHANGED, messages=messages_open([quote.inquiry]).get(quote.inquiry_id, ()))


def pdf_waits(file: QuoteFile) -> bool:
    """Return whether the PDF of a quote is still being made; a link to the quote can be created after that."""
    wanted = file.quote.pdf_id is None and file.quote.sent_at is not None
    return wanted and any(row.kind == "quote_pdf" and row.status in _UNDER_WAY for row in file.mail)
