"""The lists of inquiries in words."""

from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as marked

from orders.inquiries.selectors import SHOWS

#: Which inquiries -> what the list is called, and the sentence above it.
_LISTS: Final = {
    "open": (marked("Open"), marked("Inquiries without an approved quote, by event date.")),
    "waiting": (marked("Quote sent"), marked("The customer has a quote and has not answered yet.")),
    "ordered": (marked("Ordered"), marked("The customer approved a quote.")),
    "past": (
        marked("Date passed"),
        marked("Still open, and the event date has passed. Close those without an order."),
    ),
    "closed": (marked("Closed"), marked("Closed inquiries and the reason, newest first.")),
}


@dataclass(frozen=True, slots=True)
class ListShown:
    """One of the lists: its name, the sentence above it, and whether it is the one that is open."""

    show: str
    name: str
    sentence: str
    current: bool


#: Order of a list of inquiries -> its name.
INQUIRY_SORTS: Final = {
    "usual": gettext_lazy("usual order"),
    "soonest": gettext_lazy("earliest event"),
    "latest": gettext_lazy("latest event"),
    "added": gettext_lazy("latest added"),
    "customer": gettext_lazy("customer"),
    "event": gettext_lazy("event name"),
    "guests": gettext_lazy("most guests"),
}
#: Order of the list of customers -> its name.
CUSTOMER_SORTS: Final = {
    "name": gettext_lazy("name"),
    "kind": gettext_lazy("type"),
    "email": gettext_lazy("e-mail"),
    "added": gettext_lazy("latest added"),
}


def list_name(show: str) -> str:
    """Name one list of inquiries; empty for what is no list."""
    return gettext(_LISTS[show][0]) if show in _LISTS else ""


def lists_shown(current: str) -> list[ListShown]:
    """Name the lists of inquiries, with the one that is open."""
    return [
        ListShown(show, gettext(name), gettext(sentence), show == current)
        for show, (name, sentence) in ((show, _LISTS[show]) for show in SHOWS)
    ]
