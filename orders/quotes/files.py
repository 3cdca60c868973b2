"""A quote's PDF and the one of what was approved."""

from datetime import datetime
from typing import Any

from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from orders.approvals.models import Approval
from orders.documents.content import content_read
from orders.documents.models import Document
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
    return _document(Quote.objects.select_related("pdf").get(pk=quote_id), None, at)


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
    return _document(approval.quote, approval, at)


def _document(quote: Quote, approval: Approval | None, at: datetime) -> Document:
    name = f"quote-{quote.number}-revision-{quote.revision}"
    return pdf_once(
        approval or quote,
        template="orders/quotes/send/pdf.html",
        context=lambda: _context(quote, approval),
        what=str(quote),
        file_name=f"{name}-approved.pdf" if approval else f"{name}.pdf",
        at=at,
    )


def _context(quote: Quote, approval: Approval | None) -> dict[str, Any]:
    return {
        "content": content_read(quote.content),
        "sha256": quote.content_sha256,
        "approval": approval,
        "order": getattr(quote, "order", None) if approval else None,
        "payment_details": kitchen().payment_details if approval else "",
    }
