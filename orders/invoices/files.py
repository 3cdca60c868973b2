"""The PDF of an issued invoice or credit note: made once, kept as bytes with their hash, never made again."""

import hashlib
from datetime import datetime
from typing import Any

from django.db import transaction

from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.outbox.models import Outbox
from catalog.web import display
from orders.documents.models import Document
from orders.documents.pdf import pdf_of
from orders.invoices.mails import invoice_mail_ask
from orders.invoices.models import Invoice
from orders.invoices.page import invoice_rows, paid_before

PDF = "application/pdf"


def invoice_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of an issued document, for the outbox; then ask for the mail that was wanted with it."""
    invoice_document(invoice_id=row.payload["invoice"], at=at, mail=bool(row.payload.get("mail")))


def invoice_document(*, invoice_id: int, at: datetime, mail: bool = False) -> Document:
    """Return the PDF of an issued document; it is made when it is not there yet.

    ``mail`` asks for the mail in the commit that keeps a new PDF, or now when the PDF is there and no mail was
    asked for.

    Raises
    ------
    Invoice.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    invoice = Invoice.objects.select_related("pdf").get(pk=invoice_id)
    body = b"" if invoice.pdf is not None else _rendered(invoice)
    return _kept(invoice_id, body, at, mail)


def _rendered(invoice: Invoice) -> bytes:
    with display.kitchen_display(kitchen_now()):
        return pdf_of("orders/invoices/pdf.html", pdf_context(invoice), what=str(invoice))


def pdf_context(invoice: Invoice) -> dict[str, Any]:
    """Give what the PDF says; all of it is fixed at issue."""
    return {
        "invoice": invoice,
        "seller": invoice.seller,
        "buyer": invoice.buyer,
        "order": invoice.order,
        "credits": invoice.credits,
        "before": paid_before(invoice),
        "credit": max(0, -invoice.due_minor),
        **invoice_rows(invoice),
    }


@transaction.atomic(durable=True)
def _kept(invoice_id: int, body: bytes, at: datetime, mail: bool) -> Document:
    """Store the bytes once: of two makers the second gets the first one's document."""
    invoice = Invoice.objects.select_for_update(of=("self",)).select_related("pdf").get(pk=invoice_id)
    document = invoice.pdf
    if document is None:
        document = Document.objects.create(
            sha256=hashlib.sha256(body).hexdigest(),
            file_name=f"{invoice.get_kind_display().replace(' ', '-')}-{invoice.number}.pdf",
            media_type=PDF,
            body=body,
            created_at=at,
        )
        Invoice.objects.filter(pk=invoice_id, pdf=None).update(pdf=document)
    if mail:
        invoice_mail_ask(invoice, at=at)
    return document
