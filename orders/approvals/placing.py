"""An approval takes its place in the kitchen's plan: looked for before its transaction, taken within."""

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Final, ParamSpec, TypeVar

from django.db import transaction

from orders.approvals.models import Approval
from orders.documents.content import QuoteContent
from orders.planning.problem import leaving
from orders.planning.slot_services import PlanChanged, slot_take
from orders.planning.slots import Slot, slot_found
from orders.quotes.models import Quote
from orders.records.slot_errors import NoSlot, TimeTaken, TimeUnsure
from orders.records.states import QuoteStatus

#: How often a place is looked for before the transaction; then within it, while the others wait.
TRIES: Final = 2

P = ParamSpec("P")
R = TypeVar("R")


def in_no_transaction(service: Callable[P, R]) -> Callable[P, R]:
    """Let a service that begins transactions of its own refuse to run in another one, as a durable one does."""

    @wraps(service)
    def alone(*args: P.args, **kwargs: P.kwargs) -> R:
        with transaction.atomic(durable=True):
            pass
        return service(*args, **kwargs)

    return alone


def with_place(approve: Callable[[Slot | None, bool], Approval], *, quote_id: int, at: datetime) -> Approval:
    """Approve with the place that was found, and look for one again where the plan is another by then.

    ``approve`` takes the place, and whether it may be looked for within its transaction.
    """
    for _ in range(TRIES):
        quote = Quote.objects.select_related("inquiry").filter(pk=quote_id, status=QuoteStatus.SENT).first()
        try:
            return approve(None if quote is None else slot_found(quote, at=at), False)
        except PlanChanged:
            continue
    return approve(None, True)


def place_take(
    quote: Quote, content: QuoteContent, found: Slot | None, *, anew: bool, by_customer: bool, at: datetime
) -> None:
    """Take the place of an approval in the caller's transaction.

    Raises
    ------
    TimeTaken, TimeUnsure
        If a customer approves, and it cannot be made beside what is promised, or no place was found for it.
    SlotTaken, SlotUndecided
        The same for the owner.
    PlanChanged, ChangedMeanwhile
        If the plan is another by now.
    """
    try:
        slot_take(quote, found, at=at, anew=anew)
    except NoSlot as refusal:
        if not by_customer:
            raise
        event = content.event
        way = event.window_start - leaving(event.window_start, quote.inquiry)[0]
        lasts = event.window_end - event.window_start
        works = [(begin + way, begin + way + lasts) for begin, _ in refusal.answer.instead]
        facts = {"window": [event.window_start, event.window_end], "works": works}
        raise (TimeUnsure if refusal.undecided else TimeTaken)(
            refusal.answer, undecided=refusal.undecided, **facts
        ) from refusal
