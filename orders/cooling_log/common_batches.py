"""What an order breaks only together with others of its day, and the owner's reason why it goes on all the same."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Final

from orders.cooling_log.reasons import REASON_GIVEN, in_force, reason_item, reasons_of
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.together import Together
from orders.orders.models import Order
from orders.quotes.cooling.measuring_content import Limits, Measuring, strictest
from orders.quotes.models import Quote
from orders.records.cooling_errors import BrokenTogether, BrokenWithThis
from orders.records.transitions import audit

#: What stands before the names of the fields that say what is measured of a batch.
TOGETHER: Final = "together-"


def together_unanswered(order: Order) -> tuple[CoolingMark, ...]:
    """Return the marks of batches that break the rule only for several orders at once, without a reason or a reading.

    A reason is of the orders, steps and amounts it was given for: with others it is another batch. The order comes with
    its lines, their products and its inquiry.
    """
    marks = cooling_marks([order]).get(order.pk, {}).values()
    return tuple(mark for mark in marks if mark.together is not None and not mark.answered and mark.given is None)


def together_carried(order: Order, *, at: datetime) -> None:
    """Let the reason with which a quote was sent count for its order, where nothing of the batch changed since."""
    numbered = Quote.objects.filter(number=order.quote.number).values_list("pk", flat=True)
    recorded = reasons_of("quote", numbered)
    if not recorded:
        return
    for mark in together_unanswered(_whole(order)):
        found = mark.together
        others = frozenset() if found is None else frozenset(found.keys) - {order.pk}
        reason = None if found is None else in_force(found, others, recorded.get(mark.item.pk, ()))
        if found is not None and reason is not None:
            _write(order, [found], reason.reason, by=reason.by, at=at)


def together_answer(order: Order, measuring: Measuring | None, *, by: str, at: datetime, new: bool = False) -> None:
    """Write down what the owner has measured where an order breaks the rule only together; nothing where it does not.

    ``new`` tells that the order is made by what is refused: its number is nobody's then.

    Raises
    ------
    BrokenTogether, BrokenWithThis
        Without what is measured.
    OrderError
        If it lacks a part, or is read later than a limit (:meth:`Measuring.check`).
    """
    marks = together_unanswered(_whole(order))
    if not marks:
        return
    if measuring is None:
        raise broken_refusal(order, marks, new=new)
    measuring.check(limits_together(marks), [mark.name for mark in marks], TOGETHER)
    together_write(order, marks, measuring.note(), by=by, at=at)


def broken_refusal(order: Order, marks: Sequence[CoolingMark], *, new: bool = False) -> BrokenTogether:
    """Return the refusal of batches that break the rule only together, where nothing says what is measured."""
    numbers = dict.fromkeys(number for mark in marks if mark.together for number in mark.together.numbers)
    items = [mark.name for mark in marks]
    if new:
        others = [number for number in numbers if number != order.number]
        return BrokenWithThis(place="together", items=items, orders=others)
    return BrokenTogether(place="together", items=items, orders=list(numbers))


def limits_together(marks: Iterable[CoolingMark]) -> Limits:
    """Return the limits by which batches are read that break the rule only together."""
    return strictest(mark.together.broken.legs for mark in marks if mark.together is not None)


def together_write(order: Order, marks: Iterable[CoolingMark], note: str, *, by: str, at: datetime) -> None:
    """Write down what is measured of batches that several orders share."""
    found = [mark.together for mark in marks if mark.together is not None]
    if found:
        _write(order, found, note, by=by, at=at)


def _write(order: Order, found: Iterable[Together], reason: str, *, by: str, at: datetime) -> None:
    items = [reason_item(one, one.keys, one.numbers) for one in found]
    audit(order, REASON_GIVEN, by=by, at=at, note=reason, params={"items": items})


def _whole(order: Order) -> Order:
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    return rows.get(pk=order.pk)
