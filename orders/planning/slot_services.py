"""A slot is held once: an approval, or a day that is reserved, takes its place in the plan under the lock of its row.

The place is looked for before the transaction (:func:`slot_found`). Here, with the row locked, it is compared what that
rests on; where anything is another by now, it is looked for anew, for half a second at most.
"""

from collections.abc import Iterable
from datetime import datetime

from catalog.book.selectors import book_current, book_revision
from catalog.records.errors import CannotPrice
from orders.orders.models import Order
from orders.planning.models import KitchenPlan
from orders.planning.placements import Fact, joined, of_others
from orders.planning.reserved import PLAN_KEY, reserved_quotes
from orders.planning.slots import LOCKED, Slot, plan_counts, rests_on, slot_found
from orders.quotes.models import Quote
from orders.records.changed_errors import PlanOvertaken
from orders.records.errors import OrderError
from orders.records.slot_errors import SlotTaken, SlotUndecided
from orders.records.states import ORDERS_AHEAD


class PlanChanged(OrderError):
    """The plan, or what it rests on, is another than a place was found in."""

    code = "plan_changed"


def slot_take(quote: Quote, found: Slot | None, *, at: datetime, anew: bool = True, reserve: bool = False) -> bool:
    """Take a quote's place in the plan, in the caller's transaction, which has locked the quote; return whether it has.

    ``found`` is what was found for it before; where that is not true any more it is looked for ``anew`` here, or not
    at all. With ``reserve`` its day is kept until it is answered or has expired. Nothing happens where the kitchen
    states too little for its plan to count, or only waits that nobody stated are in the way.

    Raises
    ------
    SlotTaken
        If it cannot be made beside what is promised.
    SlotUndecided
        If no place was found, and nothing proves that there is none.
    PlanChanged
        If the plan is another than it was, and it is not looked for anew.
    PlanChanged
        If the plan was written beside the lock.
    """
    if not _counts():
        return False
    row = plan_locked()
    if found is None or found.rests_on != rests_on(row, quote, at) or (found.holds and not found.still_sound()):
        if not anew:
            raise PlanChanged(what=str(quote))
        found = slot_found(quote, at=at, budget=LOCKED)
    if found is None:
        return False
    if not found.holds and not found.uncounted:
        undecided = found.undecided
        raise (SlotUndecided if undecided else SlotTaken)(found.answer, undecided=undecided, what=str(quote))
    reserved = {one.pk for one in reserved_quotes(row, at, beside=quote.number)}
    plan_write(
        row,
        found if found.holds else None,
        quote,
        at=at,
        reserved=reserved | {quote.pk} if reserve and found.holds else reserved,
    )
    return found.holds


def _counts() -> bool:
    try:
        return plan_counts(book_current())
    except CannotPrice:
        return False


def plan_locked() -> KitchenPlan:
    """Return the plan's row, locked in the caller's transaction; SQLite has one writer only."""
    if not KitchenPlan.objects.filter(pk=PLAN_KEY).exists():
        KitchenPlan.objects.get_or_create(pk=PLAN_KEY)
    # Read once: what is placed of a year is megabytes of JSON.
    return KitchenPlan.objects.select_for_update().get(pk=PLAN_KEY)


def plan_write(
    row: KitchenPlan, found: Slot | None, quote: Quote | None, *, at: datetime, reserved: Iterable[int] | None = None
) -> None:
    """Write a plan over the one that was read, and move its version on; only the placed of what is ahead stay in it.

    Raises PlanOvertaken when the row has another version by now.
    """
    keys = list(row.reserved) if reserved is None else sorted(reserved)
    facts: dict[str, object] = {"version": row.version + 1, "reserved": keys}
    if found is not None:
        ahead = frozenset(Order.objects.filter(status__in=ORDERS_AHEAD).values_list("quote_id", flat=True))
        others = of_others(row.placed, ahead | frozenset(keys), found.here)
        facts["placed"] = joined(found.placed, others)
        revision = book_revision()
        over = row.over if row.revision == revision else []
        facts["over"] = [*found.over, *(one for one in over if one[0] in ahead and one[0] not in found.here)]
        facts |= {"revision": revision, "computed_at": at}
    elif quote is not None:
        facts["placed"] = _without(row.placed, quote)
    if not KitchenPlan.objects.filter(pk=row.pk, version=row.version).update(**facts):
        raise PlanOvertaken(what=str(quote) if quote is not None else "")


def _without(placed: list[Fact], quote: Quote) -> list[Fact]:
    every = frozenset(one["of"] for one in placed if one["of"])
    return of_others(placed, every, frozenset({quote.pk}))
