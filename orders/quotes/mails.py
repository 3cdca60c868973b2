"""The kinds of mail about a quote, and asking for one. ``orders.approvals.mails`` writes them when they are sent."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.outbox.models import Outbox
from orders.mail.addresses import can_be_written_to
from orders.mail.services import mail_ask
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

KIND: Final = "mail"


@dataclass(frozen=True, slots=True)
class QuoteMail:
    """A kind of mail: its recipient, its subject, and the quote statuses in which it is sent.

    Its templates are ``templates/orders/mail/<kind>.txt`` and ``.html``. With ``link`` it contains a new private link,
    with ``accepted`` the PDF of the approved quote. With ``by_now`` it says what serves the guests by today's catalog,
    with the needs that were recorded or written since the quote was sent; mails to the kitchen always do.
    """

    subject: str
    summary: str
    to_kitchen: bool = False
    link: bool = False
    accepted: bool = False
    by_now: bool = False
    only_while: str = ""


QUOTE_MAILS: Final = {
    "quote_sent": QuoteMail(
        marked("{title}: your quote {number} from {kitchen}"),
        marked("the quote"),
        link=True,
        only_while=QuoteStatus.SENT,
    ),
    "quote_changed": QuoteMail(
        marked("{title}: your changed quote {number} from {kitchen}"),
        marked("the changed quote"),
        link=True,
        only_while=QuoteStatus.SENT,
    ),
    "change_sent": QuoteMail(
        marked("{title}: change of your order {order} at {kitchen}"),
        marked("the change of the order"),
        link=True,
        only_while=QuoteStatus.SENT,
    ),
    "quote_withdrawn": QuoteMail(
        marked("{title}: quote {number} from {kitchen} is withdrawn"), marked("the quote is withdrawn")
    ),
    "approved": QuoteMail(
        marked("Approved: {title}, order {order} at {kitchen}"),
        marked("what was approved"),
        link=True,
        accepted=True,
        by_now=True,
    ),
    "change_approved": QuoteMail(
        marked("Changed: {title}, order {order} at {kitchen}"),
        marked("the change that was approved"),
        link=True,
        accepted=True,
        by_now=True,
    ),
    "link_again": QuoteMail(marked("A new link to quote {number} from {kitchen}"), marked("a new link"), link=True),
    "allergens_changed": QuoteMail(
        marked("Allergies and allergens: {title}, order {order} at {kitchen}"),
        marked("what is new of allergies since the approval"),
        link=True,
        by_now=True,
        only_while=QuoteStatus.APPROVED,
    ),
    "reply": QuoteMail(marked("{title}: {kitchen} about quote {number}"), marked("a reply"), link=True, by_now=True),
    "declined": QuoteMail(
        marked("{title}: you declined quote {number} from {kitchen}"),
        marked("that the customer declined"),
        only_while=QuoteStatus.DECLINED,
    ),
    "canceled": QuoteMail(
        marked("Canceled: {title}, order {order} at {kitchen}"), marked("that the order is canceled"), link=True
    ),
    "change_received": QuoteMail(
        marked("{title}: your message about quote {number}, {kitchen}"),
        marked("that the message arrived"),
        link=True,
        by_now=True,
    ),
    "kitchen_approved": QuoteMail(
        marked("Approved: {number}, {title}"), marked("the customer approved"), to_kitchen=True
    ),
    "kitchen_change_approved": QuoteMail(
        marked("Change approved: order {order}, {title}"), marked("the customer approved the change"), to_kitchen=True
    ),
    "kitchen_declined": QuoteMail(
        marked("Declined: {number}, {title}"), marked("the customer declined"), to_kitchen=True
    ),
    "kitchen_stopped": QuoteMail(
        marked("Cannot be approved: {number}, {title}"),
        marked("an approval was stopped"),
        to_kitchen=True,
        only_while=QuoteStatus.SENT,
    ),
    "kitchen_no_time": QuoteMail(
        marked("Waiting for your answer, no time found: {number}, {title}"),
        marked("no time was found for a quote that the customer wants"),
        to_kitchen=True,
        only_while=QuoteStatus.SENT,
    ),
    "time_works": QuoteMail(
        marked("Your time works: {title}, quote {number} from {kitchen}"),
        marked("the time works"),
        link=True,
        by_now=True,
        only_while=QuoteStatus.SENT,
    ),
    "time_not_found": QuoteMail(
        marked("Choose another time: {title}, quote {number} from {kitchen}"),
        marked("the time chosen was not found"),
        link=True,
        by_now=True,
        only_while=QuoteStatus.SENT,
    ),
    "kitchen_change": QuoteMail(
        marked("Change requested: {number}, {title}"), marked("the customer asks for a change"), to_kitchen=True
    ),
    "kitchen_must_look": QuoteMail(
        marked("Wants to approve, look at it first: {number}, {title}"),
        marked("the customer could not approve"),
        to_kitchen=True,
    ),
}


def quote_mail_ask(mail: str, quote: Quote, *, at: datetime, words: str = "") -> Outbox | None:
    """Request a mail about a quote in the caller's transaction; None for a customer who has no address.

    Where the quote offers several windows it speaks of the one of number ``quote.window_chosen``.

    Raises KeyError for a kind of mail that does not exist.
    """
    kind = QUOTE_MAILS[mail]
    if not kind.to_kitchen and not can_be_written_to(quote.inquiry.customer.email):
        return None
    return mail_ask(
        kind=KIND,
        payload={"mail": mail, "quote": quote.pk, "words": words, "window": quote.window_chosen},
        about=f"quote:{quote.pk}",
        to=gettext("the kitchen") if kind.to_kitchen else quote.inquiry.customer.name,
        what=f"{gettext(kind.summary)}, {quote}",
        at=at,
    )


def quote_mail_ask_for(mail: str, quote: Quote, *, at: datetime, words: str) -> bool:
    """Request a mail about a quote in the caller's transaction, once for the same words; return whether it was."""
    about = Outbox.objects.filter(kind=KIND, about=f"quote:{quote.pk}", payload__mail=mail)
    if about.filter(payload__words=words).exists():
        return False
    quote_mail_ask(mail, quote, at=at, words=words)
    return True


def quote_mail_ask_once(mail: str, quote: Quote, *, at: datetime) -> None:
    """Request a mail about a quote in the caller's transaction, unless it was requested before."""
    if not Outbox.objects.filter(kind=KIND, about=f"quote:{quote.pk}", payload__mail=mail).exists():
        quote_mail_ask(mail, quote, at=at)
