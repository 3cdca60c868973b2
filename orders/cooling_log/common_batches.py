"""What an order breaks only together with others of its day, and the owner's reason why it goes on all the same."""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from orders.cooling_log.selectors import CoolingMark, cooling_marks
from orders.orders.models import Order
from orders.records.cooling_errors import BrokenTogether, SaysNothing
from orders.records.models import AuditEntry
from orders.records.real_words import says_something
from orders.records.transitions import audit

#: The event of an order's history: the owner said why a common batch is made all the same, and how it is measured.
REASON_GIVEN: Final = "made_together"


def together_unanswered(order: Order) -> tuple[CoolingMark, ...]:
    """Return the marks of batches that break the rule only for several orders at once, without a reason or a reading.

    A reason is of the orders it was given for: with another order it is another batch. The order comes with its lines,
    their products and its inquiry.
    """
    marks = [mark for mark in cooling_marks([order]).get(order.pk, {}).values() if mark.together is not None]
    open_ = [mark for mark in marks if not mark.settled]
    given = _given(open_) if open_ else frozenset()
    return tuple(mark for mark in open_ if _key(mark) not in given)


def _key(mark: CoolingMark) -> tuple[int, frozenset[int]]:
    orders = () if mark.together is None else mark.together.orders
    return mark.item.pk, frozenset(order.pk for order in orders)


def _given(marks: Iterable[CoolingMark]) -> frozenset[tuple[int, frozenset[int]]]:
    """Return for which batches of which orders a reason was given, in the history of any of them; one query."""
    orders = {pk for mark in marks for pk in _key(mark)[1]}
    entries = AuditEntry.objects.filter(document="order", document_pk__in=orders, event=REASON_GIVEN)
    rows = (row for entry in entries for row in entry.params["items"])
    return frozenset((row["pk"], frozenset(row["orders"])) for row in rows)


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
