"""What an order breaks only together with others of its day, and the owner's reason why it goes on all the same."""

from datetime import datetime

from orders.cooling_log.reasons import REASON_GIVEN
from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.orders.models import Order
from orders.records.cooling_errors import BrokenTogether, SaysNothing
from orders.records.real_words import says_something
from orders.records.transitions import audit


def together_unanswered(order: Order) -> tuple[CoolingMark, ...]:
    """Return the marks of batches that break the rule only for several orders at once, without a reason or a reading.

    A reason is of the orders it was given for: with another order it is another batch. The order comes with its lines,
    their products and its inquiry.
    """
    marks = cooling_marks([order]).get(order.pk, {}).values()
    return tuple(mark for mark in marks if mark.together is not None and not mark.settled and mark.given is None)


def _key(mark: CoolingMark) -> tuple[int, frozenset[int]]:
    orders = () if mark.together is None else mark.together.orders
    return mark.item.pk, frozenset(order.pk for order in orders)


def together_answer(order: Order, reason: str, *, by: str, at: datetime) -> None:
    """Write down the owner's reason why what an order breaks only together goes on; nothing where it breaks nothing.

    Raises
    ------
    BrokenTogether
        Without a reason.
    SaysNothing
        If the reason has no real words.
    """
    marks = together_unanswered(_whole(order))
    if not marks:
        return
    if not reason.strip():
        numbers = dict.fromkeys(number for mark in marks if mark.together for number in mark.together.numbers)
        raise BrokenTogether(place="together", items=[mark.name for mark in marks], orders=list(numbers))
    if not says_something(reason):
        raise SaysNothing(place="together", field="together", entered=reason.strip())
    items = [{"pk": pk, "name": mark.name, "orders": sorted(orders)} for mark in marks for pk, orders in [_key(mark)]]
    audit(order, REASON_GIVEN, by=by, at=at, note=reason.strip(), params={"items": items})


def _whole(order: Order) -> Order:
    rows = Order.objects.select_related("customer", "quote__inquiry").prefetch_related("lines__product")
    return rows.get(pk=order.pk)
