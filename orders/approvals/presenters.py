"""The address of a private link, and why a quote can no longer be answered, in words."""

from typing import Final

from django.conf import settings
from django.urls import reverse

from catalog.kitchen.selectors import kitchen
from orders.approvals.quote_page import QuotePage
from orders.quotes.cooling.selectors import RuledTable
from orders.quotes.draft.presenters import changed_sentences as label_sentences
from orders.records.errors import KitchenMustCheck, KitchenMustTell, OrderError
from orders.records.presenters import sentence
from orders.records.window_presenters import names_words


def link_address(token: str) -> str:
    """Return the private address of a quote's page, with the token."""
    return f"{settings.SITE_URL}{reverse('link-login', args=[token])}"


def changed_sentences(page: QuotePage) -> list[str]:
    """Write what each dessert declares by now and the quote does not."""
    return label_sentences(page.changed)


def stopped_sentences(page: QuotePage, ruled: RuledTable) -> list[str]:
    """Write for the owner what stops an approval, and what to do about it: a text for each reason."""
    changed = [change for change in page.changed if change.stops]
    found = []
    if changed:
        what = " ".join(label_sentences(changed))
        found.append(
            f"The allergens changed since it was sent. {what} Make a revision and send it, so that the customer reads "
            f"them before anything is approved."
        )
    if ruled.unrecorded:
        found.append(
            f"{names_words([one.name for one in ruled.unrecorded])}: not cold in the time your rule asks for, or hot "
            f"and nobody has stated how it cools, as the catalog is now. Record on the quote what is measured instead "
            f"and by whom, or change its steps."
        )
    if ruled.never:
        found.append(
            f"{names_words([one.name for one in ruled.never])}: may never get cold where it chills, as the catalog is "
            f"now. Set colder air there, or change its steps: a record of what is measured does not help."
        )
    return found


#: Refusal of an approval -> why it cannot even be tried, and what to do.
_STOPPED: Final = {
    KitchenMustTell.code: "The allergens of part of this changed since it was sent.",
    KitchenMustCheck.code: "The kitchen first has to settle how part of this is kept cold.",
}


def stopped_sentence(page: QuotePage) -> str:
    """Write why an open quote cannot be approved as it is, and how to ask; empty where it can."""
    if page.stopped is None:
        return ""
    number = kitchen().phone
    way = f"Call the kitchen on {number}, or write to them" if number else "Write to the kitchen"
    return f"{_STOPPED[page.stopped.code]} {way}: they tell you what can be done, and send you a new quote if need be."


def closed_sentence(page: QuotePage) -> str:
    """Write why the quote can no longer be answered; empty while it can."""
    return sentence(page.closed) if page.closed else ""


def held_words(name: str, refusal: OrderError) -> str:
    """Write, for the kitchen, that somebody wanted to approve and what they read instead."""
    return f"{name.strip()} wanted to approve this quote on its page, and read: “{sentence(refusal)}”"
