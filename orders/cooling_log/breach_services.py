"""Looks after each edit of the catalog for what breaks the cooling rule while orders may be in the making."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from django.db import transaction

from catalog.book.known import KnownByBook
from catalog.records.real_words import says_something
from costing.contract import Book
from orders.cooling_log.breaches import BREACHED, DISMISSED, breach_params, breaches_of
from orders.cooling_log.making_days import units_of
from orders.cooling_log.plans import earliest_making
from orders.cooling_log.selectors import book_now, cooling_marks
from orders.cooling_log.together import broken_together
from orders.orders.models import Order
from orders.quotes.cooling.selectors import Broken, Item, judge, overrides_of
from orders.quotes.models import CoolingOverride
from orders.records.actors import CLOCK
from orders.records.cooling_errors import BreachStands, DismissalUnfounded, SaysNothing
from orders.records.states import ORDERS_AHEAD, OrderStatus
from orders.records.transitions import audit

#: Nothing is made longer before its hand-over; own choice.
_AHEAD: Final = timedelta(days=120)
#: The orders of which nothing is left to note by a Book, by key.
_LOOKED_AT: KnownByBook[int, bool] = KnownByBook()


def breaches_note(*, at: datetime) -> int:
    """Note in the history of orders what breaks the rule by today's Book and may be in the making; return how many.

    What was sent with the owner's record needs no note: that marks it until it is measured. Two queries where nothing
    changed since the last look. What stands between two looks only (``settings.PERIODIC_WORK``) is not found.
    """
    book = book_now()
    if book is None:
        return 0
    looked_at = _LOOKED_AT.of(book)
    ahead = Order.objects.filter(status__in=ORDERS_AHEAD, window_start__lt=at + _AHEAD).values_list("pk", flat=True)
    new = [pk for pk in ahead if pk not in looked_at]
    if not new:
        return 0
    rows = Order.objects.filter(pk__in=new).select_related("customer", "quote__inquiry")
    orders = {order.pk: order for order in rows.prefetch_related("lines__product")}
    broken, together = _broken(orders, book)
    noted, waiting = 0, set[int]()
    known, overrides = breaches_of(broken), overrides_of({orders[pk].quote_id for pk in broken})
    for pk, items in broken.items():
        order, stated = orders[pk], overrides[orders[pk].quote_id]
        unnoted = [
            one for item, one in items.items() if item not in known.get(pk, {}) and not _own(stated.get(item), one)
        ]
        making = [one for one in unnoted if _in_the_making(order, one, book, at)]
        if len(making) < len(unnoted):
            waiting.add(pk)
        noted += bool(making) and _note(pk, making, together.get(pk, {}), at)
    # Not the neighbors that a common batch brought along: nobody judged these alone.
    looked_at.update(dict.fromkeys(set(new) - waiting, True))
    for pk in waiting:
        looked_at.pop(pk, None)
    return noted


#: Key of an order and item -> the orders a batch is made for at once, which breaks the rule only so.
_Common = dict[int, dict[Item, tuple[int, ...]]]


def _broken(orders: dict[int, Order], book: Book) -> tuple[dict[int, dict[Item, Broken]], _Common]:
    """Return what breaks the rule, alone or as orders of a day make it together; adds the other orders of these."""
    found: dict[int, dict[Item, Broken]] = defaultdict(dict)
    common: _Common = defaultdict(dict)
    for pk, judged in judge({pk: units_of(order) for pk, order in orders.items()}, book).items():
        for one in judged.broken:
            found[pk][one.item] = one
    for pk, items in broken_together(list(orders.values()), book).items():
        for item, each in items.items():
            if item not in found[pk]:
                found[pk][item] = each.broken
                common[pk][item] = tuple(order.pk for order in each.orders)
            orders.update({order.pk: order for order in each.orders if order.pk not in orders})
    return found, common


def _own(override: CoolingOverride | None, one: Broken) -> bool:
    """Return whether the owner recorded it for this revision, these steps and this verdict, so that it stays marked."""
    return override is not None and override.recorded_at >= override.quote.created_at and override.mark == one.mark


def _in_the_making(order: Order, one: Broken, book: Book, at: datetime) -> bool:
    """Return whether production was begun, or may have been by the plan and what may be held."""
    if order.status == OrderStatus.IN_PRODUCTION:
        return True
    codes = {line.product_id: line.product.code for line in order.lines.all()}
    work = f"recipe:{one.code}" if one.item.kind == "recipe" else f"product:{codes.get(one.item.pk, '')}"
    return earliest_making([order], work, book, at=at) <= at


@transaction.atomic(durable=True)
def breach_dismiss(*, order_id: int, item: Item, reason: str, by: str, at: datetime) -> str:
    """Take away the mark of something of which nothing was made by the steps that broke the rule; return its name.

    What breaks the rule by today's steps, was to be measured anyway, or was measured keeps its mark.

    Raises
    ------
    DismissalUnfounded
        Without a reason.
    SaysNothing
        If the reason has no real words.
    BreachStands
        When the mark is another one by now, or gone.
    """
    order = Order.objects.select_for_update().get(pk=order_id)
    if not reason.strip():
        raise DismissalUnfounded(place="reason")
    if not says_something(reason):
        raise SaysNothing(place="reason", field="dismissal", entered=reason.strip())
    of_order = cooling_marks([Order.objects.prefetch_related("lines__product").get(pk=order_id)])
    mark = of_order.get(order_id, {}).get(item)
    if mark is None or not mark.dismissible:
        raise BreachStands(order=order.number)
    params = {"kind": item.kind, "pk": item.pk, "name": mark.name}
    audit(order, DISMISSED, by=by, at=at, note=reason.strip(), params=params)
    return mark.name


@transaction.atomic(durable=True)
def _note(order_id: int, found: Sequence[Broken], together: Mapping[Item, Iterable[int]], at: datetime) -> bool:
    order = Order.objects.select_for_update().get(pk=order_id)
    known = breaches_of([order_id]).get(order_id, {})
    new = [one for one in found if one.item not in known]
    if order.status not in ORDERS_AHEAD or not new:
        return False
    audit(order, BREACHED, by=CLOCK, at=at, params=breach_params(new, together))
    return True
