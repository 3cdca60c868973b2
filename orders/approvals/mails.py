"""Mails about a quote: written from its stored content when they are sent.

A mail with a link gets a fresh one then, so no token ever lies in the outbox.
"""

from datetime import datetime, timedelta
from typing import Any, Final

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.outbox.models import Outbox
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.documents.content import QuoteContent, content_read
from orders.documents.models import Document
from orders.mail.addresses import can_be_written_to
from orders.mail.services import Mail, mail_address
from orders.orders.models import Order
from orders.quotes.files import approval_document
from orders.quotes.mails import KIND, QUOTE_MAILS, QuoteMail, quote_mail_ask
from orders.quotes.models import Quote
from orders.records.actors import MAIL
from orders.records.transitions import audit

#: Once in this time is enough to ask for a new link.
LINK_AGAIN_AFTER: Final = timedelta(hours=1)


@transaction.atomic(durable=True)
def link_ask(*, quote_id: int, at: datetime) -> bool:
    """Send a fresh link to the customer's own address, for who holds an old one; once an hour is enough.

    Return whether a mail was asked for. Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.select_related("inquiry__customer").get(pk=quote_id)
    if not can_be_written_to(quote.inquiry.customer.email):
        return False
    asked = Outbox.objects.filter(kind=KIND, about=f"quote:{quote_id}", payload__mail="link_again").order_by("-pk")
    last = asked.first()
    if last is not None and at - last.created_at < LINK_AGAIN_AFTER:
        return False
    quote_mail_ask("link_again", quote, at=at)
    return True


def quote_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail | None:
    """Write a mail about a quote; None when the quote has gone on since and the mail would mislead.

    Raises NoAddress if there is no address to write to.
    """
    name = row.payload["mail"]
    kind = QUOTE_MAILS[name]
    quote = Quote.objects.select_related("inquiry__customer").get(pk=row.payload["quote"])
    if kind.only_while and quote.status != kind.only_while:
        audit(quote, "mail_not_needed", by=MAIL, at=at, params={"mail": name})
        return None
    customer = quote.inquiry.customer
    there, back = (kitchen, customer) if kind.to_kitchen else (customer, kitchen)
    to = mail_address(there.email, who=there.name)
    content = content_read(quote.content)
    facts = _facts(row, kind, quote, content, kitchen, at)
    return Mail(
        about=quote,
        to=to,
        reply_to=back.email,
        thread=quote.number,
        subject=_subject(kind, content, kitchen, facts["order"]),
        template=f"orders/mail/{name}",
        facts=facts,
        files=[_accepted(quote, at)] if kind.accepted else [],
        params={"mail": name},
    )


def _facts(
    row: Outbox, kind: QuoteMail, quote: Quote, content: QuoteContent, kitchen: Kitchen, at: datetime
) -> dict[str, Any]:
    return {
        "content": content,
        "quote": quote,
        "kitchen": kitchen,
        "words": row.payload.get("words", ""),
        "link": link_create(quote_id=quote.pk, at=at) if kind.link else "",
        "owner_link": f"{settings.SITE_URL}{reverse('quote', args=[quote.pk])}" if kind.to_kitchen else "",
        "order": Order.objects.filter(quote=quote).first(),
        "approval": Approval.objects.filter(quote=quote).first(),
        "older": quote.replaces,
    }


def _subject(kind: QuoteMail, content: QuoteContent, kitchen: Kitchen, order: Order | None) -> str:
    return kind.subject.format(
        number=content.number,
        kitchen=kitchen.name,
        title=content.event.title,
        order=order.number if order else "",
    )


def _accepted(quote: Quote, at: datetime) -> Document:
    return approval_document(approval_id=Approval.objects.only("pk").get(quote=quote).pk, at=at)
