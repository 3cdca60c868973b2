"""The PDF of an issued invoice or credit note."""

from datetime import datetime
from typing import Any

from catalog.outbox.models import Outbox
from orders.documents.content import content_read
from orders.documents.models import Document
from orders.documents.store import pdf_once
from orders.invoices.mails import invoice_mail_ask
from orders.invoices.models import Invoice
from orders.invoices.selectors import invoice_rows, paid_before, traces_of


def invoice_pdf_make(*, row: Outbox, at: datetime) -> None:
    """Make the PDF of an issued document, for the outbox; then request the mail if one was wanted."""
    invoice_document(invoice_id=row.payload["invoice"], at=at, mail=bool(row.payload.get("mail")))


def invoice_document(*, invoice_id: int, at: datetime, mail: bool = False) -> Document:
    """Return the PDF of an issued document; it is made if it does not exist.

    ``mail`` requests the mail in the commit that stores a new PDF, or now if the PDF exists and no mail was requested.

    Raises
    ------
    Invoice.DoesNotExist
        If there is none.
    CannotRender
        If it cannot be made.
    """
    invoice = Invoice.objects.select_related("pdf").get(pk=invoice_id)

    def ask() -> None:
        invoice_mail_ask(invoice, at=at)

    kind = invoice.get_kind_display().replace(" ", "-")
    return pdf_once(
        invoice,
        template="orders/invoices/pdf.html",
        context=lambda: pdf_context(invoice),
        what=str(invoice),
        file_name=f"{kind}-{invoice.number}.pdf",
        at=at,
        with_it=ask if mail else None,
    )


def pdf_context(invoice: Invoice) -> dict[str, Any]:
    """Return the template context of the PDF: fixed at issue, but for what is said about traces when it is made."""
    approved, parts = content_read(invoice.order.quote.content), list(invoice.parts.all())
    return {
        "parts": parts,
        "first_minor": parts[0].amount_minor if parts else invoice.due_minor,
        "invoice": invoice,
        "seller": invoice.seller,
        "buyer": invoice.buyer,
        "order": invoice.order,
        "credits": invoice.credits,
        "before": paid_before(invoice),
        "credit": max(0, -invoice.due_minor),
        "less_prepaid": -invoice.prepaid_minor,
        "cross_contact": traces_of(invoice.order),
        "logo": approved.logo,
        "logo_has_name": approved.logo_has_name,
        "pictures": [approved.logo] if approved.logo else [],
        **invoice_rows(invoice),
    }
