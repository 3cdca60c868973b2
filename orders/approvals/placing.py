"""An approval takes its place in the kitchen's plan: looked for before its transaction, taken within."""

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Final, ParamSpec, TypeVar

from django.db import transaction

from orders.approvals.models import Approval
from orders.approvals.selectors import event_over
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent, content_read
from orders.planning.problem import leaving
from orders.planning.slot_services import PlanChanged, slot_take
from orders.planning.slots import Slot, slot_found
from orders.quotes.models import Quote
from orders.records.slot_errors import NoSlot, NoSuchTime, OfferedTaken, OfferedUnsure, TimeTaken, TimeUnsure
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


def with_place(
    approve: Callable[[Slot | None, bool], Approval], *, quote_id: int, chosen: int | None, at: datetime
) -> Approval:
    """Approve with the place that was found, and look for one again where the plan is another by then.

    ``approve`` takes the place, and whether it may be looked for within its transaction. ``chosen`` is the number of
    the window, where the quote offers several.
    """
    for _ in range(TRIES):
        quote = Quote.objects.select_related("inquiry").filter(pk=quote_id, status=QuoteStatus.SENT).first()
        if quote is not None:
            quote.window_chosen = window_number(content_read(quote.content), chosen)
        try:
            return approve(None if quote is None else slot_found(quote, at=at), False)
        except PlanChanged:
            continue
    return approve(None, True)


def window_number(content: QuoteContent, chosen: int | None) -> int | None:
    """Return the number of the window that is approved: the first where none was chosen; None without a choice.

    Raises NoSuchTime when it is none of the content's.
    """
    if not content.offered:
        if chosen:
            raise NoSuchTime()
        return None
    if not 0 <= (chosen or 0) <= len(content.offered):
        raise NoSuchTime()
    return chosen or 0


def content_approved(quote: Quote, chosen: int | None, at: datetime) -> QuoteContent:
    """Return the content with the window that is approved; the quote has its number from now on, not yet saved.

    Raises
    ------
    NoSuchTime
        If it is none of the windows of the quote.
    QuoteEventOver
        If it has passed.
    """
    content = content_read(quote.content)
    number = quote.window_chosen = window_number(content, chosen)
    if number is None:
        return content
    agreed = at_window(content, number)
    over = event_over(agreed, at)
    if over is not None:
        raise over
    return agreed


def place_take(
    quote: Quote, content: QuoteContent, found: Slot | None, *, anew: bool, by_customer: bool, at: datetime
) -> None:
    """Take the place of an approval in the caller's transaction; ``content`` is that with the window that is approved.

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
        facts = {"window": [event.window_start, event.window_end]}
        if quote.window_chosen is not None:
            # Its page shows which of its own times still work.
            other: type[NoSlot] = OfferedUnsure if refusal.undecided else OfferedTaken
            raise other(refusal.answer, undecided=refusal.undecided, **facts) from refusal
        works = [(begin + way, begin + way + lasts) for begin, _ in refusal.answer.instead]
        raise (TimeUnsure if refusal.undecided else TimeTaken)(
            refusal.answer, undecided=refusal.undecided, works=works, **facts
        ) from refusal
