"""Quotes with their rows, and the file of a quote: everything that happened to it."""

from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from catalog.outbox.models import Outbox
from orders.approvals.models import Approval, Link, Message
from orders.documents.content import QuoteContent, content_read
from orders.orders.models import Order
from orders.quotes.changes import changes_between
from orders.quotes.models import Quote, QuoteExtra, QuoteLine
from orders.records.models import AuditEntry


def draft_full(quote_id: int) -> Quote:
    """Return a quote with its inquiry, customer, lines and extras in three queries.

    Raises Quote.DoesNotExist.
    """
    return _with_rows(Quote.objects.all()).get(pk=quote_id)


def _with_rows(quotes: QuerySet[Quote]) -> QuerySet[Quote]:
    return quotes.select_related("inquiry__customer").prefetch_related(
        Prefetch("lines", queryset=QuoteLine.objects.select_related("product")),
        Prefetch("extras", queryset=QuoteExtra.objects.select_related("tax")),
    )


@dataclass(frozen=True, slots=True)
class QuoteFile:
    """One revision with everything that happened to it."""

    quote: Quote
    content: QuoteContent | None
    revisions: list[Quote]
    changes: list[str]
    links: list[Link]
    messages: list[Message]
    mail: list[Outbox]
    history: list[AuditEntry]
    approval: Approval | None
    order: Order | None


def quote_file(quote_id: int) -> QuoteFile:
    """Return a quote's file in a fixed number of queries.

    Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.select_related("inquiry__customer", "pdf", "replaces").defer("pdf__body").get(pk=quote_id)
    content = content_read(quote.content) if quote.content else None
    revisions = list(Quote.objects.filter(number=quote.number).defer("brief", "estimate").order_by("-revision"))
    before = next((other for other in revisions if other.revision < quote.revision and other.content), None)
    return QuoteFile(
        quote=quote,
        content=content,
        revisions=revisions,
        changes=changes_between(content_read(before.content), content) if before and content else [],
        links=list(quote.links.order_by("pk")),
        messages=list(quote.messages.order_by("pk")),
        mail=list(Outbox.objects.filter(about=f"quote:{quote.pk}").order_by("pk")),
        history=list(AuditEntry.objects.filter(document="quote", document_pk=quote.pk).order_by("pk")),
        approval=Approval.objects.filter(quote=quote).first(),
        order=Order.objects.filter(quote=quote).first(),
    )
