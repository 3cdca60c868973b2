"""When the desserts of a table can be ready, against the window asked for."""

from dataclasses import dataclass

from catalog.models import Kitchen
from catalog.selectors.kitchen import kitchen as kitchen_now
from costing.book import Book
from costing.brief import Brief
from orders.briefs import Table, table_of
from orders.errors import WindowTooEarly
from orders.models import Enquiry, Quote


@dataclass(frozen=True, slots=True)
class WindowAnswer:
    """Whether the window can be kept, in words."""

    fits: bool
    sentence: str
    instead: str = ""


def window_answer(table: Table, *, enquiry: Enquiry, kitchen: Kitchen) -> WindowAnswer | None:
    """Return whether the table can be ready by the window."""
    return None


def window_check(quote: Quote, brief: Brief, book: Book) -> None:
    """Refuse a window before the desserts can be ready.

    Raises WindowTooEarly with the reason and the nearest window that works.
    """
    answer = window_answer(table_of(quote), enquiry=quote.enquiry, kitchen=kitchen_now())
    if answer is not None and not answer.fits:
        raise WindowTooEarly(reason=answer.sentence, instead=answer.instead)
