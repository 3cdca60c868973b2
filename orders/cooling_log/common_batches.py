"""What an order breaks only together with others of its day, and the owner's reason why it goes on all the same."""

from collections.abc import Iterable
from datetime import datetime

from orders.cooling_log.reasons import REASON_GIVEN, in_force, reason_item, reasons_of
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.cooling_log.together import Together
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.cooling_errors import BrokenTogether, BrokenWithThis, MeasuresNothing, SaysNothing
from orders.records.real_words import says_measuring, says_something
from orders.records.transitions import audit


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


def together_answer(order: Order, reason: str, *, by: str, at: datetime, new: bool = False) -> None:
    """Write down the owner's reason why what an order breaks only together goes on; nothing where it breaks nothing.

    ``new`` tells that the order is made by what is refused: its number is nobody's then.

    Raises
    ------
    BrokenTogether, BrokenWithThis
        Without a reason.
    SaysNothing, MeasuresNothing
        If the reason has no real words, or names nothing that is measured.
    """
    marks = together_unanswered(_whole(order))
    if not marks:
        return
    if not reason.strip():
        numbers = dict.fromkeys(number for mark in marks if mark.together for number in mark.together.numbers)
        items = [mark.name for mark in marks]
        if new:
            others = [number for number in numbers if number != order.number]
            raise BrokenWithThis(place="together", items=items, orders=others)
        raise BrokenTogether(place="together", items=items, orders=list(numbers))
    if not says_something(reason):
        raise SaysNothing(place="together", field="together", entered=reason.strip())
    if not says_measuring(reason):
        raise MeasuresNothing(place="together", field="together", entered=reason.strip())
    _write(order, [mark.together for mark in marks if mark.together is not None], reason.strip(), by=by, at=at)


def _write(order: Order, found: Iterable[Together], reason: str, *, by: str, at: datetime) -> None:
    items = [reason_item(one, one.keys, one.numbers) for one in found]
    audit(order, REASON_GIVEN, by=by, at=at, note=reason, params={"items": items})


def _whole(order: Order) -> Order:
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    return rows.get(pk=order.pk)
