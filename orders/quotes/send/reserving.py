"""The day of a quote is kept while the customer decides, if the owner wants it, until it is answered or has expired."""

from datetime import datetime
from typing import Final

from django.db import transaction

from orders.planning.reserved import reserved_quotes
from orders.planning.slot_services import plan_locked, plan_write, slot_take
from orders.planning.slots import Slot
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.transitions import audit

#: Events of the history.
RESERVE: Final = "reserve_day"
RELEASE: Final = "release_day"


def day_reserve(quote: Quote, found: Slot | None, *, wanted: bool, by: str, at: datetime) -> None:
    """Keep the day of a quote that was just sent where that is ``wanted``, in the caller's transaction.

    Raises
    ------
    SlotTaken, SlotUndecided
        If it has no place in the plan beside what is promised.
    """
    if wanted and slot_take(quote, found, at=at, reserve=True):
        audit(quote, RESERVE, by=by, at=at)


@transaction.atomic(durable=True)
def day_release(*, quote_id: int, by: str, at: datetime) -> bool:
    """Let the day of a quote go; return whether it was kept. The customer's page says that it is kept no more.

    Raises Quote.DoesNotExist.
    """
    quote, row = quote_locked(quote_id), plan_locked()
    reserved = {one.pk for one in reserved_quotes(row, at)}
    if quote.pk not in reserved:
        return False
    plan_write(row, None, quote, at=at, reserved=reserved - {quote.pk})
    audit(quote, RELEASE, by=by, at=at)
    return True
