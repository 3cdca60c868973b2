"""What keeps production from starting until the owner has answered: what breaks the cooling rule with no plan for it.

At an approval nothing breaks the rule without the owner's record of what is measured instead. The catalog changes
later: what breaks it by then, or was recorded for other steps, is answered before anything is made.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from catalog.book.selectors import book_unpriced
from catalog.records.errors import CannotPrice
from costing.contract import Book
from orders.cooling_log.common_batches import together_answer, together_unanswered
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.orders.models import Order
from orders.records.cooling_errors import MeasuresNothing, SaysNothing, StartNever, StartUnjudged, StartWaits
from orders.records.real_words import says_measuring, says_something
from orders.records.transitions import audit

#: The event of an order's history: the owner said why it is made although its cooling cannot be judged.
UNJUDGED: Final = "made_unjudged"


@dataclass(frozen=True, slots=True)
class StartOpen:
    """What of an order the owner answers before production starts.

    ``unanswered`` breaks the rule by today's steps, or cannot be judged by them, and no current record says what is
    measured instead; ``never`` may never get cold by them, and no record helps; ``together`` breaks it only as one
    batch with other orders; ``unjudged`` is what the catalog says nothing of, because it has an error there.
    """

    unanswered: tuple[CoolingMark, ...] = ()
    together: tuple[CoolingMark, ...] = ()
    unjudged: tuple[CoolingMark, ...] = ()
    never: tuple[CoolingMark, ...] = ()

    @property
    def asks_reason(self) -> bool:
        """Whether the owner enters a reason at the start itself."""
        return bool(self.together or self.unjudged)


def start_open(order: Order) -> StartOpen:
    """Return what the owner answers before an order is started; it comes with its lines, products and inquiry.

    Judged by the part of the catalog that it consists of, also while something else in it is wrong.
    """
    marks = list(cooling_marks([order], _book(order)).get(order.pk, {}).values())
    return StartOpen(
        unanswered=tuple(mark for mark in marks if mark.unanswered and not mark.never),
        never=tuple(mark for mark in marks if mark.unanswered and mark.never),
        together=together_unanswered(order),
        unjudged=tuple(mark for mark in marks if mark.state == "unknown"),
    )


def _book(order: Order) -> Book | None:
    try:
        return book_unpriced(units_of(order))
    except CannotPrice:
        return None


def start_answer(order: Order, reason: str, *, by: str, at: datetime) -> None:
    """Refuse the start of what the owner has not answered; write down the reason of what is answered by one.

    Raises
    ------
    StartNever
        When something may never get cold by today's steps: neither a reason nor a measurement helps.
    StartWaits
        When something breaks the rule and no current record says what is measured instead: no reason helps.
    StartUnjudged, BrokenTogether
        Without a reason where one is asked for.
    SaysNothing, MeasuresNothing
        If the reason has no real words, or names nothing that is measured.
    """
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    found = start_open(rows.get(pk=order.pk))
    if found.never:
        raise StartNever(place="", order=order.number, items=[mark.name for mark in found.never])
    if found.unanswered:
        raise StartWaits(place="", order=order.number, items=[mark.name for mark in found.unanswered])
    if found.unjudged:
        names = [mark.name for mark in found.unjudged]
        if not reason.strip():
            raise StartUnjudged(place="together", items=names)
        if not says_something(reason):
            raise SaysNothing(place="together", field="together", entered=reason.strip())
        if not says_measuring(reason):
            raise MeasuresNothing(place="together", field="together", entered=reason.strip())
        audit(order, UNJUDGED, by=by, at=at, note=reason.strip(), params={"items": names})
    together_answer(order, reason, by=by, at=at)
