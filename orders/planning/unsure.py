"""Where no place was found for a draft's window: whoever sends it all the same says that she has seen just that."""

from dataclasses import dataclass
from datetime import datetime

from catalog.book.selectors import book_current
from catalog.records.errors import CannotPrice
from catalog.records.versions import version_mark
from costing.contract import Book
from costing.plan.verdicts import UNDECIDED
from orders.planning.answers import WindowAnswered
from orders.planning.selectors import window_answered
from orders.planning.slots import plan_counts
from orders.quotes.models import Quote


@dataclass(frozen=True, slots=True)
class PlaceUnsure:
    """No place was found; ``mark`` stands for what is in the way: another obstacle has to be seen anew."""

    mark: str


def unsure_of(found: WindowAnswered | None, book: Book) -> PlaceUnsure | None:
    """Return what keeps a customer from approving by an answer; None where nothing does, or it is refused anyway."""
    if found is None or found.usual or found.verdict != UNDECIDED or found.unstated or not plan_counts(book):
        return None
    obstacles = [f"{one.cause} {one.step} {one.needed} {one.free}" for one in found.in_the_way]
    return PlaceUnsure(version_mark([found.verdict, *obstacles]))


def place_unsure(quote: Quote, at: datetime) -> PlaceUnsure | None:
    """Return the same of the answer that was worked out for a quote as it is; four queries."""
    try:
        return unsure_of(window_answered(quote, at), book_current())
    except CannotPrice:
        return None
