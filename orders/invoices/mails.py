"""The mail that brings an invoice or a credit note: asked for in a commit, sent outside of it."""

from datetime import datetime
from email.utils import formataddr, parseaddr
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.web import display
from orders.invoices.models import Invoice
from orders.mail.addresses import can_be_written_to
from orders.records.actors import MAIL
from orders.records.errors import NoAddress
from orders.records.transitions import audit

KIND = "invoice_mail"


def invoice_mail_ask(invoice: Invoice, *, at: datetime) -> None:
    """Ask for the mail in the caller's transaction, once per document."""
    about = f"invoice:{invoice.pk}"
    if Outbox.objects.filter(kind=KIND, about=about).exists():
        return
    outbox_add(
        kind=KIND,
        payload={"invoice": invoice.pk},
        about=about,
        summary=f"To {invoice.buyer.get('name', '')}: {invoice.get_kind_display()} {invoice.number}"[:200],
        at=at,
    )


def invoice_mail_send(*, row: Outbox, at: datetime) -> None:
    """Write one mail with the PDF and hand it to the mail server; the outbox keeps what went wrong.

    Raises
    ------
    NoAddress
        If there is no address to write to.
    Exception
        Whatever the mail server's client raises.
    """
    invoice = Invoice.objects.select_related("order__customer", "order__quote", "credits", "pdf").get(
        pk=row.payload["invoice"]
    )
    kitchen = kitchen_now()
    # The address as it is now: one that was corrected works when the mail is tried again.
    to = invoice.order.customer.email
    if not can_be_written_to(to):
        raise NoAddress(who=invoice.order.customer.name)
    with display.kitchen_display(kitchen):
        message = _written(row, invoice, kitchen, to)
    message.send()
    audit(invoice, "mail_sent", by=MAIL, at=at, params={"to": to})


def _written(row: Outbox, invoice: Invoice, kitchen: Kitchen, to: str) -> EmailMultiAlternatives:
    facts = {"invoice": invoice, "kitchen": kitchen, "order": invoice.order, "credits": invoice.credits}
    host = urlsplit(settings.SITE_URL).hostname
    thread = f"<quote-{invoice.order.quote.number}@{host}>"
    subject = f"{invoice.get_kind_display().capitalize()} {invoice.number} from {kitchen.name}: {invoice.order.title}"
    message = EmailMultiAlternatives(
        subject=" ".join(subject.split()),
        body=render_to_string("orders/mail/invoice.txt", facts).strip() + "\n",
        from_email=formataddr((" ".join(kitchen.name.split()), parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[to],
        reply_to=[kitchen.email] if can_be_written_to(kitchen.email) else [],
        headers={
            "Message-ID": f"<outbox-{row.pk}@{host}>",
            "Auto-Submitted": "auto-generated",
            "References": thread,
            "In-Reply-To": thread,
        },
    )
    message.attach_alternative(render_to_string("orders/mail/invoice.html", facts), "text/html")
    if invoice.pdf is not None:
        message.attach(invoice.pdf.file_name, bytes(invoice.pdf.body), invoice.pdf.media_type)
    return message
