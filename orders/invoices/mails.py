"""The mail that brings an invoice or a credit note."""

from datetime import datetime
from typing import Final

from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from orders.invoices.models import Invoice
from orders.mail.services import Mail, mail_address, mail_ask

KIND: Final = "invoice_mail"


def invoice_mail_ask(invoice: Invoice, *, at: datetime) -> None:
    """Request the mail in the caller's transaction, once per document."""
    about = f"invoice:{invoice.pk}"
    if Outbox.objects.filter(kind=KIND, about=about).exists():
        return
    to = invoice.buyer.get("name", "")
    mail_ask(kind=KIND, payload={"invoice": invoice.pk}, about=about, to=to, what=invoice.kind_and_number, at=at)


def invoice_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail:
    """Write the mail with the PDF.

    Raises NoAddress if there is no address to write to.
    """
    invoices = Invoice.objects.select_related("order__customer", "order__quote", "credits", "pdf")
    invoice = invoices.get(pk=row.payload["invoice"])
    order = invoice.order
    return Mail(
        about=invoice,
        to=mail_address(order.customer.email, who=order.customer.name),
        reply_to=kitchen.email,
        thread=order.quote.number,
        subject=_subject(invoice) % {"number": invoice.number, "kitchen": kitchen.name, "title": order.title},
        template="orders/mail/invoice",
        facts={"invoice": invoice, "kitchen": kitchen, "order": order, "credits": invoice.credits},
        files=[invoice.pdf] if invoice.pdf else [],
        params={"number": invoice.number},
    )


def _subject(invoice: Invoice) -> str:
    if invoice.is_credit_note:
        return gettext("Credit note %(number)s from %(kitchen)s: %(title)s")
    return gettext("Invoice %(number)s from %(kitchen)s: %(title)s")
