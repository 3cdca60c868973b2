"""The PDF of a sent quote."""

from datetime import datetime
from typing import Any, Final

from catalog.outbox.models import Outbox
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.documents.store import pdf_once
from orders.quotes.models import Quote

PDF_TEMPLATE: Final = "orders/quotes/send/pdf.html"


def quote_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of a sent quote, for the outbox; do nothing if it exists."""
    quote_document(quote_id=row.payload["quote"], at=at)


def quote_document(*, quote_id: int, at: datetime) -> Document:
    """Return the PDF of a sent quote; it is made if it does not exist.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    quote = Quote.objects.select_related("pdf").get(pk=quote_id)
    return pdf_once(
        quote,
        template=PDF_TEMPLATE,
        context=lambda: pdf_context(quote),
        what=str(quote),
        file_name=f"quote-{quote.number}-revision-{quote.revision}.pdf",
        at=at,
    )


def pdf_context(quote: Quote) -> dict[str, Any]:
    """Return the template context of a quote's PDF, approved or not."""
    return {"content": content_read(quote.content), "sha256": quote.content_sha256}
