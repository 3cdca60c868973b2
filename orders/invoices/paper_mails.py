"""The mail that brings a payment request."""

from datetime import datetime
from typing import Final

from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from orders.invoices.how_to_pay_content import how_to_pay
from orders.invoices.models import PaymentPaper
from orders.invoices.paper_content import paper_read
from orders.mail.addresses import can_be_written_to
from orders.mail.services import Mail, mail_address, mail_ask

KIND: Final = "paper_mail"
#: What the outbox's work on one is about, before its key.
ABOUT: Final = "paymentpaper"


def paper_mail_ask(paper: PaymentPaper, *, at: datetime) -> None:
    """Request the mail in the caller's transaction, where there is an address."""
    customer = paper.order.customer
    if can_be_written_to(customer.email):
        facts = {"about": f"{ABOUT}:{paper.pk}", "to": customer.name, "what": paper.kind_and_number}
        mail_ask(kind=KIND, payload={"paper": paper.pk}, at=at, **facts)


def paper_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail:
    """Write the mail with the PDF.

    Raises NoAddress if there is no address to write to.
    """
    papers = PaymentPaper.objects.select_related("order__customer", "order__quote", "pdf")
    paper = papers.get(pk=row.payload["paper"])
    order, content = paper.order, paper_read(paper.content)
    subject = gettext("Payment request %(number)s from %(kitchen)s: %(title)s")
    pay = how_to_pay(content["bank"], reference=paper.number, amount_minor=paper.amount_minor, currency=paper.currency)
    return Mail(
        about=order,
        to=mail_address(order.customer.email, who=order.customer.name),
        reply_to=kitchen.email,
        thread=order.quote.number,
        subject=subject % {"number": paper.number, "kitchen": kitchen.name, "title": order.title},
        template="orders/mail/request",
        facts={"paper": paper, "content": content, "kitchen": kitchen, "order": order, "pay": pay},
        files=[paper.pdf] if paper.pdf else [],
        params={"number": paper.number},
        event="request_mail",
    )
