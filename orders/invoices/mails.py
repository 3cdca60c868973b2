"""The mails that bring an invoice or a credit note, and that confirm a payment or a refund."""

from datetime import datetime
from typing import Final

from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from orders.documents.models import Document
from orders.invoices.models import Invoice, Payment, PaymentPaper
from orders.invoices.order_money import order_money
from orders.invoices.paper_files import paper_document
from orders.mail.addresses import can_be_written_to
from orders.mail.services import Mail, mail_address, mail_ask
from orders.records.actors import MAIL
from orders.records.transitions import audit

KIND: Final = "invoice_mail"
PAYMENT: Final = "payment_mail"


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
    order, parts = invoice.order, list(invoice.parts.all())
    return Mail(
        about=invoice,
        to=mail_address(order.customer.email, who=order.customer.name),
        reply_to=kitchen.email,
        thread=order.quote.number,
        subject=_subject(invoice) % {"number": invoice.number, "kitchen": kitchen.name, "title": order.title},
        template="orders/mail/invoice",
        facts={"invoice": invoice, "kitchen": kitchen, "order": order, "credits": invoice.credits}
        | {"parts": parts, "first_minor": parts[0].amount_minor if parts else invoice.due_minor},
        files=[invoice.pdf] if invoice.pdf else [],
        params={"number": invoice.number},
    )


def _subject(invoice: Invoice) -> str:
    if invoice.is_credit_note:
        return gettext("Credit note %(number)s from %(kitchen)s: %(title)s")
    return gettext("Invoice %(number)s from %(kitchen)s: %(title)s")


def payment_mail_ask(payment: Payment, *, at: datetime) -> Outbox | None:
    """Request the mail that confirms a payment in the caller's transaction; None for a customer without an address."""
    order = payment.order
    if not can_be_written_to(order.customer.email):
        return None
    what = gettext("confirmation of a payment, order %(number)s") % {"number": order.number}
    payload, about = {"payment": payment.pk}, f"order:{order.pk}"
    return mail_ask(kind=PAYMENT, payload=payload, about=about, to=order.customer.name, what=what, at=at)


def payment_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail | None:
    """Write the mail that confirms a payment or a refund; None where it was reversed meanwhile.

    Raises NoAddress if there is no address to write to.
    """
    payments = Payment.objects.select_related("order__customer", "order__quote", "invoice")
    payment = payments.get(pk=row.payload["payment"])
    order = payment.order
    if Payment.objects.filter(reverses=payment).exists():
        audit(order, "receipt_not_needed", by=MAIL, at=at)
        return None
    money = order_money(order)
    subject = gettext("Refund for %(title)s (order %(order)s) from %(kitchen)s")
    if payment.kind != Payment.Kind.REFUND:
        subject = gettext("Payment received for %(title)s (order %(order)s), %(kitchen)s")
    return Mail(
        about=order,
        to=mail_address(order.customer.email, who=order.customer.name),
        reply_to=kitchen.email,
        thread=order.quote.number,
        subject=subject % {"title": order.title, "order": order.number, "kitchen": kitchen.name},
        template="orders/mail/payment",
        facts={
            "payment": payment,
            "amount": abs(payment.amount_minor),
            "order": order,
            "kitchen": kitchen,
            "left": max(0, money.balance if money.invoiced or order.canceled_at else money.agreed_open),
            "invoiced": bool(money.invoiced),
        },
        files=_receipt(payment, at),
        event="receipt",
    )


def _receipt(payment: Payment, at: datetime) -> list[Document]:
    """Return the receipt's PDF; none of a refund, and of what was recorded before there were receipts."""
    receipt = PaymentPaper.objects.filter(payment=payment).first()
    return [] if receipt is None else [paper_document(paper_id=receipt.pk, at=at)]
