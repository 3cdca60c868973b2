"""What would be older than it keeps when an order leaves, were its production started now."""

from dataclasses import dataclass
from datetime import datetime

from catalog.kitchen.selectors import local_day
from catalog.records.versions import version_mark
from costing.contract import Book
from orders.cooling_log.making_days import zone_of
from orders.cooling_log.plans import first_days
from orders.orders.models import Order
from orders.records.cooling_errors import StartEarly


@dataclass(frozen=True, slots=True)
class TooEarly:
    """The parts of an order that are made too early today, each with the first moment at which it is not."""

    parts: tuple[tuple[str, datetime], ...]

    @property
    def mark(self) -> str:
        """A mark of these parts: whoever ticks it has seen them."""
        return version_mark(sorted(name for name, _ in self.parts))

    @property
    def names(self) -> list[str]:
        """The names of these parts."""
        return [name for name, _ in self.parts]

    @property
    def first(self) -> datetime:
        """When the first of them may be made."""
        return min(moment for _, moment in self.parts)


def too_early(order: Order, book: Book | None, *, at: datetime) -> TooEarly | None:
    """Return what a start now would make too old; None where something of it may be made today already.

    The order comes with its lines, products, customer and inquiry.
    """
    found = first_days(order, book, at=at)
    if book is None or not found or local_day(min(found.values()), zone_of(book)) <= local_day(at, zone_of(book)):
        return None
    ordered = sorted((moment, _name(work, book)) for work, moment in found.items())
    return TooEarly(tuple((name, moment) for moment, name in ordered))


def early_or_refused(found: TooEarly | None, seen: str) -> None:
    """Refuse an early start where it was not seen; ``seen`` is the mark that was ticked.

    Raises StartEarly.
    """
    if found is not None and seen != found.mark:
        raise StartEarly(place="early", items=found.names, first=found.first)


def _name(work: str, book: Book) -> str:
    kind, _, code = work.partition(":")
    return book.product(code).name if kind == "product" else book.recipe(code).name
