"""Changing a confirmed order: an amendment is begun from what is in force, and ends without a trace, or is approved.

While one is open, its inquiry has the event as it is wanted; the order has it as it is in force.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from django.db import transaction
from django.utils import timezone

from orders.approvals.models import Message
from orders.documents.agreed import content_agreed
from orders.documents.content import QuoteContent, content_read
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.quotes.amendments.selectors import OPEN
from orders.quotes.cooling.services import overrides_carried
from orders.quotes.draft.dessert_table import DessertTable, table_of
from orders.quotes.draft.message_answers import has_own_words
from orders.quotes.draft.services import lines_write
from orders.quotes.models import Quote
from orders.quotes.selectors import quote_locked
from orders.records.amend_errors import AmendmentOut, OrderNotOpen
from orders.records.closed_errors import QuoteErased
from orders.records.errors import InquiryClosed
from orders.records.states import ORDERS_AHEAD, QuoteEvent, QuoteStatus
from orders.records.transitions import audit, transition

#: Columns of an inquiry that no content has, and what leaves when follows from.
_OF_INQUIRY: Final = ("km", "minutes", "crew", "setup_minutes", "pieces_per_guest")
#: Those that the approved content has too; its window is the order's own.
_OF_CONTENT: Final = ("title", "hand_over", "place", "guests")


@transaction.atomic(durable=True)
def amendment_begin(*, order_id: int, by: str, at: datetime, message_id: int | None = None) -> Quote:
    """Begin a change of an order as a draft: the content in force, with its prices as overrides; or return the draft.

    With the ``message_id`` of what the customer asked for it has the counts asked for; the message is answered by that
    where it says nothing else.

    Nothing of the order changes until the customer approves it.

    Raises
    ------
    Order.DoesNotExist, Message.DoesNotExist
        If there is none.
    OrderNotOpen
        If it was handed over, closed or canceled.
    AmendmentOut
        If one waits for the customer's answer.
    QuoteErased, InquiryClosed
        If its personal data was erased, or its inquiry is closed.
    """
    inquiry_id, quote_id = Order.objects.values_list("quote__inquiry_id", "quote_id").get(pk=order_id)
    list(Inquiry.objects.select_for_update(no_key=True).filter(pk=inquiry_id).values_list("pk"))
    quote_locked(quote_id)
    order = Order.objects.select_for_update(of=("self",)).select_related("quote__inquiry").get(pk=order_id)
    quote, open_ = order.quote, {one.status: one for one in order.amendments.filter(status__in=OPEN)}
    if (draft := open_.get(QuoteStatus.DRAFT)) is not None:
        return draft
    _may_begin(order, open_.get(QuoteStatus.SENT))
    content = content_agreed(quote)
    draft = revision_next(quote, at=at, amends=order)
    draft.override_reason, draft.override_by, draft.override_at = quote.override_reason, quote.override_by, at
    wanted = _wanted(order, message_id, at)
    table = _counted(prices_as_agreed(table_of(quote), content), wanted.get("units", {}))
    lines_write(draft, table)
    draft.save(update_fields=["discount", "rush", "override_reason", "override_by", "override_at"])
    overrides_carried(draft, quote)
    if order.event_in_force is None:
        order.event_in_force = _event_of(quote.inquiry, content)
        order.save(update_fields=["event_in_force"])
    if guests := wanted.get("guests"):
        Inquiry.objects.filter(pk=order.quote.inquiry_id).update(guests=guests)
    audit(draft, "amend_begin", by=by, at=at, params={"order": order.number})
    audit(order, "amend_begin", by=by, at=at, params={"revision": draft.revision})
    return draft


def _wanted(order: Order, message_id: int | None, at: datetime) -> Mapping[str, Any]:
    """Return the counts that a message about an order asks for; it ends where it says nothing else."""
    if message_id is None:
        return {}
    message = Message.objects.get(pk=message_id, quote__inquiry=order.quote.inquiry_id)
    if not has_own_words(message):
        Message.objects.filter(pk=message.pk, seen_at=None).update(seen_at=at)
    wanted: Mapping[str, Any] = message.wants or {}
    return wanted


def _counted(table: DessertTable, units: Mapping[str, int]) -> DessertTable:
    """Return a table with other units of some products; none takes a product off."""
    for code, count in units.items():
        table = table.with_line(code, units=count)
    return replace(table, lines=tuple(line for line in table.lines if line.units))


def _may_begin(order: Order, out: Quote | None) -> None:
    quote = order.quote
    if order.status not in ORDERS_AHEAD:
        raise OrderNotOpen(order=order.number, status=order.status)
    if out is not None:
        raise AmendmentOut(what=str(out))
    if content_read(quote.content).erased:
        raise QuoteErased(what=str(quote))
    if quote.inquiry.closed_at is not None:
        raise InquiryClosed(what=str(quote.inquiry))


def revision_next(quote: Quote, *, at: datetime, amends: Order | None) -> Quote:
    """Create the next revision of a quote's number as a draft without rows, in the caller's transaction."""
    every = Quote.objects.filter(number=quote.number)
    last = every.order_by("-revision").values_list("revision", flat=True)[0]
    return Quote.objects.create(
        inquiry=quote.inquiry,
        number=quote.number,
        revision=last + 1,
        amends=amends,
        replaces=every.filter(replaced_by=None).exclude(sent_at=None).order_by("-revision").first(),
        created_at=at,
        costing_date=timezone.localtime(at).date(),
        discount=quote.discount,
        rush=quote.rush,
        note="" if amends is not None and quote.amends_id is None else quote.note,
        deposit_share=quote.deposit_share,
        deposit_days=quote.deposit_days,
        deposit_fixed_minor=quote.deposit_fixed_minor,
        payments_before=quote.payments_before,
        balance_days=quote.balance_days,
        payments_after=quote.payments_after,
        final_count_fall=quote.final_count_fall,
        cancellation_terms=quote.cancellation_terms,
        cancellation_table=quote.cancellation_table,
        currency=quote.currency,
    )


def prices_as_agreed(table: DessertTable, content: QuoteContent) -> DessertTable:
    """Return a table with the prices of a content: what is not changed costs what was agreed."""
    agreed = {line.product: line.unit_price_minor for line in content.lines}
    lines = (replace(line, unit_price_minor=agreed.get(line.code, line.unit_price_minor)) for line in table.lines)
    return replace(table, lines=tuple(lines))


def _event_of(inquiry: Inquiry, content: QuoteContent) -> Mapping[str, Any]:
    """Return the columns of an inquiry as they are in force, as JSON: of the content where it has them."""
    own = {name: getattr(inquiry, name) for name in _OF_INQUIRY}
    written = {name: value if value is None or isinstance(value, int) else str(value) for name, value in own.items()}
    return written | {name: getattr(content.event, name) for name in _OF_CONTENT}


def amendment_over(quote: Quote) -> None:
    """Give an inquiry back the event as it is in force once no amendment is open, in the caller's transaction.

    The caller has locked the quote with its inquiry.
    """
    if quote.amends_id is None or Quote.objects.filter(amends=quote.amends_id, status__in=OPEN).exists():
        return
    order = Order.objects.select_for_update(of=("self",)).select_related("quote__inquiry").get(pk=quote.amends_id)
    if order.event_in_force is None:
        return
    names = ("window_start", "window_end", *order.event_in_force)
    Inquiry.objects.filter(pk=quote.inquiry_id).update(**{name: getattr(order.event, name) for name in names})
    Order.objects.filter(pk=order.pk).update(event_in_force=None)


def amendments_void(order: Order, *, by: str, at: datetime) -> None:
    """Withdraw what would change an order that is over, in the caller's transaction, which has locked the number."""
    for one in Quote.objects.filter(amends=order, status__in=OPEN).order_by("pk"):
        changes: dict[str, Any] = {"replaces": None} if one.status == QuoteStatus.DRAFT else {}
        transition(one, QuoteEvent.WITHDRAW, by=by, at=at, params={"order": order.number}, answered_at=at, **changes)
        amendment_over(one)
