"""An approved amendment comes into force: the same order, with what the customer agreed to now."""

from datetime import datetime

from catalog.kitchen.selectors import local_day
from orders.documents.content import QuoteContent
from orders.invoices.models import IS_INVOICE, ScheduledPayment
from orders.invoices.schedule import scheduled_of
from orders.orders.models import Order, OrderLine
from orders.orders.services import lines_of, window_of
from orders.quotes.amendments.selectors import amend_refusals
from orders.quotes.models import Quote
from orders.records.errors import ChangedMeanwhile
from orders.records.states import InvoiceStatus, QuoteEvent
from orders.records.transitions import audit, transition


def order_to_amend(quote: Quote, content: QuoteContent, *, by: str, at: datetime) -> Order:
    """Lock the order of an amendment that is being approved, and end what is in force, in the caller's transaction.

    Two quotes of a number are never in force at once.

    Raises
    ------
    OrderNotOpen, BelowBegun, AnotherInForce, NothingAmended
        If the order cannot be changed so by now.
    """
    order = Order.objects.select_for_update(of=("self",)).select_related("quote").get(amendments=quote)
    quote.amends = order
    for refusal in amend_refusals(quote, content):
        raise refusal
    transition(order.quote, QuoteEvent.AMEND, by=by, at=at, params={"revision": quote.revision})
    return order


def order_amend(*, order: Order, quote: Quote, content: QuoteContent, by: str, at: datetime) -> Order:
    """Put an approved amendment in force, at the end of the approval's transaction, which has locked the order.

    Number, deposit date and payments stay; a draft invoice of what was agreed before is discarded.

    Raises ChangedMeanwhile if its status was changed first.
    """
    was = {"was_minor": order.total_minor, "now_minor": content.total_minor, "currency": order.currency}
    start, end = window_of(content)
    OrderLine.objects.filter(order=order).delete()
    OrderLine.objects.bulk_create(lines_of(order, quote, content))
    ScheduledPayment.objects.filter(order=order).delete()
    ScheduledPayment.objects.bulk_create(scheduled_of(order, content, approved_on=local_day(at)))
    for draft in order.invoices.filter(IS_INVOICE, status=InvoiceStatus.DRAFT):
        audit(draft, "discard", before=draft.status, by=by, at=at)
        draft.delete()
    changes = {
        "quote": quote,
        "title": content.event.title,
        "window_start": start,
        "window_end": end,
        "total_minor": content.total_minor,
        "deposit_minor": content.deposit_minor,
        "final_count_on": content.final_count_on,
        "event_in_force": None,
    }
    if not Order.objects.filter(pk=order.pk, status=order.status, quote=order.quote_id).update(**changes):
        raise ChangedMeanwhile(what=order.number)
    for name, value in changes.items():
        setattr(order, name, value)
    audit(order, "amend", by=by, at=at, params={"revision": quote.revision, **was})
    return order
