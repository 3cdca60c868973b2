"""The PDF of an approved quote, with the approval on it."""

from datetime import datetime
from typing import Any

from catalog.kitchen.selectors import kitchen
from catalog.outbox.models import Outbox
from orders.approvals.models import Approval
from orders.documents.models import Document
from orders.documents.store import pdf_once
from orders.quotes.files import PDF_TEMPLATE, pdf_context


def approval_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of an approved quote, for the outbox; do nothing if it exists."""
    approval_document(approval_id=row.payload["approval"], at=at)


def approval_document(*, approval_id: int, at: datetime) -> Document:
    """Return the PDF of an approved quote with the approval on it; it is made if it does not exist.

    Raises
    ------
    Approval.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    approval = Approval.objects.select_related("quote__order", "pdf").get(pk=approval_id)
    quote = approval.quote
    return pdf_once(
        approval,
        template=PDF_TEMPLATE,
        context=lambda: _context(approval),
        what=str(quote),
        file_name=f"quote-{quote.number}-revision-{quote.revision}-approved.pdf",
        at=at,
    )


def _context(approval: Approval) -> dict[str, Any]:
    order = getattr(approval.quote, "order", None)
    answer = {"approval": approval, "order": order, "payment_details": kitchen().payment_details}
    return pdf_context(approval.quote) | answer
