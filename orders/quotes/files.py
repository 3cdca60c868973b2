"""A quote's PDF and the one of what was approved."""

from datetime import datetime

from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.outbox.models import Outbox
from catalog.web import display
from orders.approvals.models import Approval
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.documents.pdf import pdf_of
from orders.documents.store import pdf_once
from orders.quotes.models import Quote


def quote_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of a sent quote, for the outbox; nothing is done when it is there."""
    quote_document(quote_id=row.payload["quote"], at=at)


def approval_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of what was approved, for the outbox; nothing is done when it is there."""
    approval_document(approval_id=row.payload["approval"], at=at)


def quote_document(*, quote_id: int, at: datetime) -> Document:
    """Return the PDF of a sent quote; it is made when it is not there yet.

    Raises
    ------
    Quote.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    quote = Quote.objects.select_related("pdf").get(pk=quote_id)
    return pdf_once(quote, file_name=f"{_stem(quote)}.pdf", render=lambda: _rendered(quote, None), at=at)


def approval_document(*, approval_id: int, at: datetime) -> Document:
    """Return the PDF of an approved quote with the approval on it; it is made when it is not there yet.

    Raises
    ------
    Approval.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    approval = Approval.objects.select_related("quote__order", "pdf").get(pk=approval_id)
    quote = approval.quote
    file_name = f"{_stem(quote)}-approved.pdf"
    return pdf_once(approval, file_name=file_name, render=lambda: _rendered(quote, approval), at=at)


def _stem(quote: Quote) -> str:
    """Name files ourselves: what people type never becomes part of a header."""
    return f"quote-{quote.number}-revision-{quote.revision}"


def _rendered(quote: Quote, approval: Approval | None) -> bytes:
    kitchen = kitchen_now()
    with display.kitchen_display(kitchen):
        context = {
            "content": content_read(quote.content),
            "sha256": quote.content_sha256,
            "approval": approval,
            "order": getattr(quote, "order", None) if approval else None,
            "payment_details": kitchen.payment_details if approval else "",
        }
        return pdf_of("orders/quotes/send/pdf.html", context, what=str(quote))
