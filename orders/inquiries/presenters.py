"""The lists of inquiries in words."""

from dataclasses import dataclass
from typing import Final

from orders.inquiries.selectors import SHOWS

#: Which inquiries -> what the list is called, and the sentence above it.
_LISTS: Final = {
    "open": ("Open", "Enquiries still to be answered or agreed, by the day of the event."),
    "waiting": ("Waiting for an answer", "A quote is with the customer."),
    "ordered": ("Ordered", "The customer said yes."),
    "past": ("Day has passed", "Still open although the day is over. Close what came to nothing."),
    "closed": ("Closed", "Put away, with the reason; the latest first."),
}


@dataclass(frozen=True, slots=True)
class ListShown:
    """One of the lists: its name, the sentence above it, and whether it is the one that is open."""

    show: str
    name: str
    sentence: str
    current: bool


def lists_shown(current: str) -> list[ListShown]:
    """Name the lists of inquiries, with the one that is open."""
    return [ListShown(show, *_LISTS[show], show == current) for show in SHOWS]
