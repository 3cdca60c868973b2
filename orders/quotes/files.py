"""A quote's PDF and the accepted one: made once, kept as bytes with their hash, never made again."""

import hashlib
from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.outbox.models import Outbox
from catalog.web import display
from orders.approvals.models import Approval
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.documents.pdf import pdf_of
from orders.quotes.models import Quote

PDF = "application/pdf"


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
    if quote.pdf is not None:
        return quote.pdf
    body = _rendered(quote, None)
    return _keep(Quote, quote_id, f"{_stem(quote)}.pdf", body, at)


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
    if approval.pdf is not None:
        return approval.pdf
    body = _rendered(approval.quote, approval)
    return _keep(Approval, approval_id, f"{_stem(approval.quote)}-approved.pdf", body, at)


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


def _keep(model: Callable[..., Any], pk: int, file_name: str, body: bytes, at: datetime) -> Document:
    """Store the bytes once: of two makers the second gets the first one's document."""
    rows: Any = model
    with transaction.atomic(durable=True):
        owner = rows.objects.select_for_update(of=("self",)).select_related("pdf").get(pk=pk)
        if owner.pdf is not None:
            kept: Document = owner.pdf
            return kept
        document = Document.objects.create(
            sha256=hashlib.sha256(body).hexdigest(), file_name=file_name, media_type=PDF, body=body, created_at=at
        )
        rows.objects.filter(pk=pk, pdf=None).update(pdf=document)
    return document
