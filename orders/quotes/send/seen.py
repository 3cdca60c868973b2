"""What the owner has seen before she sends: refused where she has not, else written down with the quote."""

from collections.abc import Collection
from datetime import datetime

from catalog.kitchen.models import Kitchen
from catalog.records.reasons import reason_to_json
from orders.planning.unsure import place_unsure
from orders.quotes.cooling.perishables import Unstated
from orders.quotes.day_limits import DayOver, day_over
from orders.quotes.models import Quote
from orders.records.errors import DayOverLimit, HoldingUnseen, RoomHoldingUnseen
from orders.records.slot_errors import PlaceUnseen
from orders.records.transitions import audit


def unseen(found: Collection[Unstated]) -> HoldingUnseen | RoomHoldingUnseen:
    """Return the refusal for what was not seen: what nothing says how to keep goes before what a source lets stand."""
    if unsaid := [one.name for one in found if not one.sources]:
        return HoldingUnseen(products=unsaid)
    return RoomHoldingUnseen(products=[one.name for one in found])


def holding_seen(quote: Quote, found: Collection[Unstated], *, by: str, at: datetime) -> None:
    """Write down what was sent although nothing, or only a source, says how to keep it."""
    if unsaid := [one.name for one in found if not one.sources]:
        audit(quote, "send_unstated", by=by, at=at, params={"products": unsaid})
    if room := [[one.name, list(one.sources)] for one in found if one.sources]:
        audit(quote, "send_at_room", by=by, at=at, params={"products": room})


def over_or_refused(quote: Quote, kitchen: Kitchen, seen: str) -> DayOver | None:
    """Return by what it goes beyond the limits of its day; refused where just that was not seen."""
    over = day_over(quote.inquiry, kitchen)
    if over is not None and seen != over.mark:
        raise DayOverLimit(reason=over.reason)
    return over


def over_seen(quote: Quote, over: DayOver | None, *, by: str, at: datetime) -> None:
    """Write down by what it goes beyond the limits of its day."""
    if over is not None:
        audit(quote, "send_day_over", by=by, at=at, params={"reason": reason_to_json(over.reason)})


def unsure_or_refused(quote: Quote, seen: str, *, by: str, at: datetime) -> None:
    """Write down that no place was found for what is sent; refused where just that was not seen."""
    unsure = place_unsure(quote, at)
    if unsure is None:
        return
    if seen != unsure.mark:
        raise PlaceUnseen(what=str(quote))
    audit(quote, "send_unsure", by=by, at=at)
