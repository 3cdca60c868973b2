"""What keeps production from starting until the owner has answered: what breaks the cooling rule with no plan for it.

At an approval nothing breaks the rule without the owner's record of what is measured instead. The catalog changes
later: what breaks it by then, or was recorded for other steps, is answered before anything is made.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from django.utils import timezone

from catalog.book.selectors import book_unpriced
from catalog.cooling.never_hot_claims import NeverHotClaim
from catalog.cooling.selectors import rule_in_force
from catalog.records.errors import CannotPrice
from costing.contract import Book
from orders.cooling_log.common_batches import (
    TOGETHER,
    broken_refusal,
    limits_together,
    together_unanswered,
    together_write,
)
from orders.cooling_log.making_days import units_of
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.sharing import late_names
from orders.orders.models import Order
from orders.quotes.cooling.measuring_content import Limits, Measuring, strictest
from orders.quotes.cooling.never_hot import unanswered_steps
from orders.records.cooling_errors import (
    StartLate,
    StartNever,
    StartUnjudged,
    StartWaits,
    StepsUnanswered,
)
from orders.records.errors import OrderError
from orders.records.transitions import audit

#: The event of an order's history: the owner said why it is made although its cooling cannot be judged.
UNJUDGED: Final = "made_unjudged"
#: The event of an order's history: the owner said why what it shares is made although it is not cold in time so.
LATE: Final = "made_late"


@dataclass(frozen=True, slots=True)
class StartOpen:
    """What of an order the owner answers before production starts.

    ``unanswered`` breaks the rule by today's steps, or cannot be judged by them, and no current record says what is
    measured instead; ``never`` may never get cold by them, and no record helps; ``together`` breaks it only as one
    batch with other orders; ``unjudged`` is what the catalog says nothing of, because it has an error there. ``late``
    are the names of what is not cold before the order leaves as it is shared, with the numbers of all orders it is for.
    ``steps`` changed since it was approved, each with its recipe, and nobody has said that they are cold.
    """

    unanswered: tuple[CoolingMark, ...] = ()
    together: tuple[CoolingMark, ...] = ()
    unjudged: tuple[CoolingMark, ...] = ()
    never: tuple[CoolingMark, ...] = ()
    late: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    steps: tuple[tuple[NeverHotClaim, str], ...] = ()

    @property
    def asks_reason(self) -> bool:
        """Whether the owner enters a reason at the start itself."""
        return bool(self.together or self.unjudged or self.late)

    @property
    def names(self) -> tuple[str, ...]:
        """The names of what is measured then."""
        return tuple(dict.fromkeys([*(mark.name for mark in (*self.unjudged, *self.together)), *self.late]))

    @property
    def limits(self) -> Limits:
        """The limits by which it is read: those of the kitchen's rule where nothing else is known; one query."""
        return limits_together(self.together) or strictest([rule_in_force().legs])


def start_open(order: Order) -> StartOpen:
    """Return what the owner answers before an order is started; it comes with its lines, products and inquiry.

    Judged by the part of the catalog that it consists of, also while something else in it is wrong.
    """
    book = _book(order)
    marks = list(cooling_marks([order], book).get(order.pk, {}).values())
    return StartOpen(
        unanswered=tuple(mark for mark in marks if mark.unanswered and not mark.never),
        never=tuple(mark for mark in marks if mark.unanswered and mark.never),
        together=together_unanswered(order),
        unjudged=tuple(mark for mark in marks if mark.state == "unknown"),
        late={} if book is None else late_names(order, book, at=timezone.now()),
        steps=() if book is None else tuple(unanswered_steps(units_of(order), book)),
    )


def _book(order: Order) -> Book | None:
    try:
        return book_unpriced(units_of(order))
    except CannotPrice:
        return None


def start_answer(order: Order, measuring: Measuring | None, *, by: str, at: datetime) -> None:
    """Refuse the start of what the owner has not answered; write down what is measured where that answers it.

    Raises
    ------
    StartNever
        When something may never get cold by today's steps: no measurement helps.
    StartWaits
        When something breaks the rule and no current record says what is measured instead.
    StepsUnanswered
        When a step changed since the approval, and nobody has said that it is cold.
    StartUnjudged, BrokenTogether, StartLate
        Without what is measured where it is asked for.
    OrderError
        If it lacks a part, or is read later than a limit (:meth:`Measuring.check`).
    """
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    found = start_open(rows.get(pk=order.pk))
    if found.never:
        raise StartNever(place="", order=order.number, items=[mark.name for mark in found.never])
    if found.unanswered:
        raise StartWaits(place="", order=order.number, items=[mark.name for mark in found.unanswered])
    if found.steps:
        claim, step = found.steps[0]
        raise StepsUnanswered(recipe=claim.name, step=step[:200])
    if not found.asks_reason:
        return
    if measuring is None:
        raise _asked(order, found)
    measuring.check(found.limits, found.names, TOGETHER)
    note = measuring.note()
    if found.unjudged:
        audit(order, UNJUDGED, by=by, at=at, note=note, params={"items": [mark.name for mark in found.unjudged]})
    together_write(order, found.together, note, by=by, at=at)
    if found.late:
        audit(order, LATE, by=by, at=at, note=note, params={"items": list(found.late)})


def _asked(order: Order, found: StartOpen) -> OrderError:
    """Return the refusal of what is started without a word of what is measured."""
    if found.unjudged:
        return StartUnjudged(place="together", items=[mark.name for mark in found.unjudged])
    if found.together:
        return broken_refusal(order, found.together)
    numbers = dict.fromkeys(number for each in found.late.values() for number in each)
    return StartLate(place="together", items=list(found.late), orders=list(numbers))
