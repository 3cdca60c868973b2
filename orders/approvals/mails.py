"""Mails about a quote: written from its stored content when they are sent.

A mail with a link gets a new link when it is sent, so no token is ever stored in the outbox.
"""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import local_day
from catalog.outbox.models import Outbox
from costing.plan.verdicts import IMPOSSIBLE
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.approvals.presenters import link_address, slot_words
from orders.approvals.selectors import not_answered, slot_checked, waits_for_reply
from orders.documents.agreed import at_window, content_agreed
from orders.documents.content import QuoteContent, content_read
from orders.documents.models import Document
from orders.invoices.order_money import order_money
from orders.invoices.schedule import Scheduled, schedule_of
from orders.mail.services import Mail, mail_address
from orders.orders.cancel_presenters import canceled_sentences
from orders.orders.models import Order
from orders.planning.answers import read
from orders.quotes.amendments.presenters import amended_of
from orders.quotes.draft.allergens import NOTHING_CHANGED, since_now
from orders.quotes.mails import QUOTE_MAILS, QuoteMail
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_before
from orders.records.actors import MAIL
from orders.records.errors import PdfNotStored
from orders.records.transitions import audit


def quote_mail(row: Outbox, kitchen: Kitchen, at: datetime) -> Mail | None:
    """Write a mail about a quote; None when the quote's status has changed since and the mail would be wrong.

    Raises
    ------
    NoAddress
        If there is no address to write to.
    PdfNotStored
        If it brings the PDF of an approval that is not stored yet.
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
    content = mail_content(row, quote)
    facts = _facts(row, kind, quote, content, kitchen, at)
    return Mail(
        about=quote,
        to=to,
        reply_to=back.email,
        thread=quote.number,
        subject=_subject(kind, content, kitchen, facts["order"]),
        template=f"orders/mail/{name}",
        facts=facts,
        files=[_accepted(quote)] if kind.accepted else [],
        params={"mail": name},
    )


def mail_content(row: Outbox, quote: Quote) -> QuoteContent:
    """Return the content that a mail speaks of: with the window that was approved, or was checked when it was asked."""
    content, number = content_read(quote.content), row.payload.get("window")
    if quote.window_chosen is None and number is not None:
        return at_window(content, number)
    return content_agreed(quote)


def _facts(
    row: Outbox, kind: QuoteMail, quote: Quote, content: QuoteContent, kitchen: Kitchen, at: datetime
) -> dict[str, Any]:
    order = Order.objects.filter(quote__number=quote.number).first()
    return {
        "content": content,
        "quote": quote,
        "kitchen": kitchen,
        "words": row.payload.get("words") or no_time_words(row, quote, content),
        "link": link_address(link_create(quote_id=quote.pk, at=at)) if kind.link else "",
        "owner_link": f"{settings.SITE_URL}{reverse('quote', args=[quote.pk])}" if kind.to_kitchen else "",
        "order": order,
        "scheduled": [] if order is None else payments_open(order, at),
        "approval": Approval.objects.filter(quote=quote).first(),
        "older": quote_before(quote),
        "amended": amended_of(quote),
        "canceled": canceled_words(quote) if row.payload["mail"] == "canceled" else [],
        "not_answered": not_answered(quote, waits_for_reply(quote)),
        # The kitchen reads what is true now, as does who reads a reply; the PDF agreed to stays as it was sent.
        "since": since_now([(content, quote.inquiry)])[0] if kind.to_kitchen or kind.by_now else NOTHING_CHANGED,
    }


def no_time_words(row: Outbox, quote: Quote, content: QuoteContent) -> str:
    """Write what is in the way of a quote that no time was found for; empty for every other mail."""
    found = slot_checked(quote) if row.payload["mail"] == "kitchen_no_time" else None
    if found is None or not found.answer or found.window_chosen != row.payload.get("window"):
        return ""
    answer = read(found.answer)
    return slot_words(answer, quote, content, undecided=answer.verdict != IMPOSSIBLE)


def payments_open(order: Order, at: datetime) -> list[Scheduled]:
    """Return the payments of an order's schedule that are open by now; none once an invoice asks for the whole."""
    money = order_money(order)
    rows = () if money.invoiced else schedule_of(order, received=money.received, today=local_day(at))
    return [one for one in rows if one.open]


def canceled_words(quote: Quote) -> list[str]:
    """Write what is charged of a quote's canceled order, was paid, and goes back or is owed by now."""
    order = Order.objects.filter(quote=quote).first()
    return [] if order is None else canceled_sentences(order, order_money(order))


def _subject(kind: QuoteMail, content: QuoteContent, kitchen: Kitchen, order: Order | None) -> str:
    return gettext(kind.subject).format(
        number=content.number,
        kitchen=kitchen.name,
        title=content.event.title,
        order=order.number if order else "",
    )


def _accepted(quote: Quote) -> Document:
    """Return the PDF with the approval on it; the mail is requested when it is stored."""
    stored = Approval.objects.select_related("pdf").get(quote=quote).pdf
    if stored is None:
        raise PdfNotStored(what=str(quote))
    return stored
