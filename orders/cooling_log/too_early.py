"""What would be older than it keeps when an order leaves, were its production started now.

Before the first day of its plan something may be made ahead. Where nothing may, because all of it would be too old,
production does not start: a tick would only begin a count of hours that means nothing. Where something may, whoever
starts it is asked not to make the rest with it. From the first day of the plan on nothing is asked: what is made later
has its day on the sheets.
"""

from dataclasses import dataclass
from datetime import datetime

from catalog.kitchen.selectors import local_day
from catalog.records.versions import version_mark
from costing.contract import Book
from orders.cooling_log.making_days import zone_of
from orders.cooling_log.plans import beginnings
from orders.orders.models import Order
from orders.records.cooling_errors import StartEarly, StartTooEarly


@dataclass(frozen=True, slots=True)
class TooEarly:
    """The parts of an order that are made too early today, each with the first moment at which it is not.

    ``planned`` is when its plan begins, ``first`` when something of it may be made; ``nothing`` of it may be today.
    """

    parts: tuple[tuple[str, datetime], ...]
    planned: datetime
    first: datetime
    nothing: bool

    @property
    def mark(self) -> str:
        """A mark of these parts: whoever ticks it has seen them."""
        return version_mark(sorted(self.names))

    @property
    def names(self) -> list[str]:
        """The names of these parts."""
        return [name for name, _ in self.parts]


def too_early(order: Order, book: Book | None, *, at: datetime) -> TooEarly | None:
    """Return what a start now would make too old; None from the first day of its plan on, or where nothing would be.

    The order comes with its lines, products, customer and inquiry.
    """
    found = beginnings(order, book, at=at)
    if book is None or not found:
        return None
    zone, planned = zone_of(book), min(one.planned for one in found.values())
    today = local_day(at, zone)
    parts = sorted((one.first, _name(work, book)) for work, one in found.items() if local_day(one.first, zone) > today)
    if not parts or local_day(planned, zone) <= today:
        return None
    first = min(one.first for one in found.values())
    return TooEarly(tuple((name, moment) for moment, name in parts), planned, first, len(parts) == len(found))


def early_or_refused(order: Order, found: TooEarly | None, seen: str) -> None:
    """Refuse a start with which nothing can be made, or an early one that was not seen; ``seen`` is the mark ticked.

    Raises StartTooEarly, StartEarly.
    """
    if found is None:
        return
    if found.nothing:
        raise StartTooEarly(place="", order=order.number, planned=found.planned, first=found.first)
    if seen != found.mark:
        raise StartEarly(place="early", items=found.names)


def _name(work: str, book: Book) -> str:
    kind, _, code = work.partition(":")
    return book.product(code).name if kind == "product" else book.recipe(code).name
