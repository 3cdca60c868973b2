"""Mail to the customer and to the kitchen: asked for in a commit, written and sent outside of it.

A letter with a link gets a fresh one when it is sent, so no token ever lies in the outbox.
"""

import re
from dataclasses import dataclass
from datetime import datetime
from email.utils import formataddr, parseaddr
from typing import Any, Final
from urllib.parse import urlsplit

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen as kitchen_now
from catalog.outbox.models import Outbox
from catalog.outbox.services import outbox_add
from catalog.web import display
from orders.approvals.links import link_create
from orders.approvals.models import Approval
from orders.documents.content import QuoteContent, content_read
from orders.documents.models import Document
from orders.mail.addresses import can_be_written_to
from orders.orders.models import Order
from orders.quotes.files import approval_document
from orders.quotes.models import Quote
from orders.records.actors import MAIL
from orders.records.errors import NoAddress
from orders.records.states import QuoteStatus
from orders.records.transitions import audit

#: What a template leaves where nothing was to say.
_BLANK: Final = re.compile(r"\n{3,}")


@dataclass(frozen=True, slots=True)
class Letter:
    """A kind of mail: who gets it, what it is about, and while the quote is in which status."""

    subject: str
    summary: str
    to_kitchen: bool = False
    link: bool = False
    accepted: bool = False
    only_while: str = ""


LETTERS: Final = {
    "quote_sent": Letter(
        "Your quote {number} from {kitchen}: {title}", "the quote", link=True, only_while=QuoteStatus.SENT
    ),
    "quote_changed": Letter(
        "Your changed quote {number} from {kitchen}: {title}",
        "the changed quote",
        link=True,
        only_while=QuoteStatus.SENT,
    ),
    "quote_withdrawn": Letter("Quote {number} from {kitchen} is withdrawn: {title}", "the quote is withdrawn"),
    "approved": Letter("Approved: {title}, order {order} at {kitchen}", "what was approved", link=True, accepted=True),
    "link_again": Letter("A new link to quote {number} from {kitchen}", "a new link", link=True),
    "reply": Letter("{kitchen} about quote {number}: {title}", "a reply", link=True),
    "kitchen_approved": Letter("Approved: {number}, {title}", "the customer approved", to_kitchen=True),
    "kitchen_declined": Letter("Declined: {number}, {title}", "the customer declined", to_kitchen=True),
    "kitchen_change": Letter("Change asked for: {number}, {title}", "the customer asks for a change", to_kitchen=True),
}


def mail_ask(letter: str, quote: Quote, *, at: datetime, words: str = "") -> Outbox:
    """Ask for a mail about a quote in the caller's transaction.

    Raises KeyError for a letter that does not exist.
    """
    to = "the kitchen" if LETTERS[letter].to_kitchen else quote.inquiry.customer.name
    return outbox_add(
        kind="mail",
        payload={"letter": letter, "quote": quote.pk, "words": words},
        about=f"quote:{quote.pk}",
        summary=f"To {to}: {LETTERS[letter].summary}, {quote}"[:200],
        at=at,
    )


@transaction.atomic(durable=True)
def link_ask(*, quote_id: int, at: datetime) -> bool:
    """Send a fresh link to the customer's own address, for who holds an old one; once an hour is enough.

    Return whether a mail was asked for. Raises Quote.DoesNotExist.
    """
    quote = Quote.objects.select_related("inquiry__customer").get(pk=quote_id)
    if not can_be_written_to(quote.inquiry.customer.email):
        return False
    recent = Outbox.objects.filter(kind="mail", about=f"quote:{quote_id}", payload__letter="link_again")
    if any((at - row.created_at).total_seconds() < 3600 for row in recent.order_by("-pk")[:1]):
        return False
    mail_ask("link_again", quote, at=at)
    return True


def mail_send(*, row: Outbox, at: datetime) -> None:
    """Write one mail and hand it to the mail server; the outbox keeps what went wrong.

    Raises
    ------
    NoAddress
        If there is no address to write to.
    Exception
        Whatever the mail server's client raises.
    """
    letter = LETTERS[row.payload["letter"]]
    quote = Quote.objects.select_related("inquiry__customer").get(pk=row.payload["quote"])
    if letter.only_while and quote.status != letter.only_while:
        audit(quote, "mail_not_needed", by=MAIL, at=at, params={"mail": row.payload["letter"]})
        return
    kitchen = kitchen_now()
    to = _address(letter, quote, kitchen)
    # Files are made and links kept before the connection opens: each is a short transaction of its own.
    with display.kitchen_display(kitchen):
        message = _written(row, letter, quote, kitchen, to, at)
    message.send()
    audit(quote, "mail_sent", by=MAIL, at=at, params={"mail": row.payload["letter"], "to": to})


def _address(letter: Letter, quote: Quote, kitchen: Kitchen) -> str:
    """Take the address as it is now: one that was corrected works when the mail is tried again."""
    to, who = (
        (kitchen.email, kitchen.name)
        if letter.to_kitchen
        else (quote.inquiry.customer.email, quote.inquiry.customer.name)
    )
    if not can_be_written_to(to):
        raise NoAddress(who=who)
    return to


def _written(
    row: Outbox, letter: Letter, quote: Quote, kitchen: Kitchen, to: str, at: datetime
) -> EmailMultiAlternatives:
    content = content_read(quote.content)
    facts = _facts(row, letter, quote, content, kitchen, at)
    template = f"orders/mail/{row.payload['letter']}"
    host = urlsplit(settings.SITE_URL).hostname
    thread = f"<quote-{quote.number}@{host}>"
    message = EmailMultiAlternatives(
        subject=_one_line(letter.subject.format(**_subject_words(content, kitchen, facts["order"]))),
        body=_BLANK.sub("\n\n", render_to_string(f"{template}.txt", facts)).strip() + "\n",
        from_email=formataddr((_one_line(kitchen.name), parseaddr(settings.DEFAULT_FROM_EMAIL)[1])),
        to=[to],
        reply_to=_reply_to(letter, quote, kitchen),
        headers={
            "Message-ID": f"<outbox-{row.pk}@{host}>",
            "Auto-Submitted": "auto-generated",
            "References": thread,
            "In-Reply-To": thread,
        },
    )
    message.attach_alternative(render_to_string(f"{template}.html", facts), "text/html")
    if letter.accepted:
        document = _accepted(quote, at)
        message.attach(document.file_name, bytes(document.body), document.media_type)
    return message


def _reply_to(letter: Letter, quote: Quote, kitchen: Kitchen) -> list[str]:
    """Let an answer reach a person: the kitchen, or for the kitchen's own mail the customer."""
    address = quote.inquiry.customer.email if letter.to_kitchen else kitchen.email
    return [address] if can_be_written_to(address) else []


def _facts(
    row: Outbox, letter: Letter, quote: Quote, content: QuoteContent, kitchen: Kitchen, at: datetime
) -> dict[str, Any]:
    return {
        "content": content,
        "quote": quote,
        "kitchen": kitchen,
        "words": row.payload.get("words", ""),
        "link": link_create(quote_id=quote.pk, at=at) if letter.link else "",
        "owner_link": f"{settings.SITE_URL}{reverse('quote', args=[quote.pk])}" if letter.to_kitchen else "",
        "order": Order.objects.filter(quote=quote).first(),
        "approval": Approval.objects.filter(quote=quote).first(),
        "older": quote.replaces,
    }


def _subject_words(content: QuoteContent, kitchen: Kitchen, order: Order | None) -> dict[str, str]:
    return {
        "number": content.number,
        "kitchen": kitchen.name,
        "title": content.event.title,
        "order": order.number if order else "",
    }


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _accepted(quote: Quote, at: datetime) -> Document:
    return approval_document(approval_id=Approval.objects.only("pk").get(quote=quote).pk, at=at)
