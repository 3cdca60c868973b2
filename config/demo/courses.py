"""Whole stories of the demo, in steps of time: every story stops at each moment, so that all are built in its order."""

from collections.abc import Callable, Generator, Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from heapq import heapify, heappop, heapreplace
from typing import Any, Final, TypeVar

from catalog.kitchen.payment_schedule import READY, PaymentRow
from catalog.products.models import Product
from catalog.taxes.models import TaxCategory
from config.demo.measured import cooling_measured, probed_in_force
from config.demo.stories import (
    OWNER,
    Story,
    approved,
    closed,
    composed,
    deposit_paid,
    inquired,
    invoiced,
    paid,
    sent,
)
from orders.approvals.messages import message_no_need
from orders.approvals.services import ApprovalEvidence, quote_ask_change, quote_decline
from orders.cooling_log.selectors import book_now
from orders.cooling_log.too_early import too_early
from orders.invoices.credit_notes import credit_note_issue
from orders.invoices.models import Payment
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.models import Order
from orders.orders.services import order_deliver, order_start
from orders.quotes.amendments.services import amendment_begin
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.fine_words import fine_sentences
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_revise, quote_withdraw, quotes_expire

R = TypeVar("R")
#: A story: it gives the moment of what comes next, and does it when it is resumed.
Course = Generator[datetime, None, R]


def at_once(course: Course[R]) -> R:
    """Run one story to its end; return what it returns."""
    while True:
        try:
            next(course)
        except StopIteration as end:
            result: R = end.value
            return result


def in_order_of_time(courses: Iterable[Course[Any]]) -> None:
    """Run stories beside each other, always the one whose next moment is the earliest: numbers follow dates."""
    waiting = [(at, place, course) for place, course in enumerate(courses) if (at := next(course, None)) is not None]
    heapify(waiting)
    while waiting:
        _, place, course = waiting[0]
        at = next(course, None)
        if at is None:
            heappop(waiting)
        else:
            heapreplace(waiting, (at, place, course))


def _due(order: Order) -> int:
    invoice = order.invoices.filter(kind="380").exclude(number=None).get()
    return int(invoice.due_minor)


def to_quote(story: Story, *, reserve_day: bool = False, payments: Sequence[PaymentRow] = ()) -> Course[Quote]:
    """Build a story up to a quote sent about six weeks before the event."""
    asked = story.starts - timedelta(days=46, hours=5)
    yield asked
    draft = inquired(story, asked)
    yield asked + timedelta(hours=20)
    draft = composed(story, draft, asked + timedelta(hours=20))
    yield asked + timedelta(hours=21)
    return sent(story, draft, asked + timedelta(hours=21), reserve_day=reserve_day, payments=payments)


def to_order(story: Story, *, reserve_day: bool = False) -> Course[Order]:
    """Build a story up to an approved order with its deposit paid."""
    quote = yield from to_quote(story, reserve_day=reserve_day)
    at = story.starts - timedelta(days=41)
    yield at
    order = approved(story, quote, at)
    yield at + timedelta(days=3)
    deposit_paid(order, at + timedelta(days=3))
    return order


def late_deposit(story: Story) -> Course[None]:
    """Approved, and the deposit is not paid; the rest is due two weeks before the event."""
    quote = yield from to_quote(story, payments=READY["before_event"].rows)
    yield story.starts - timedelta(days=41)
    approved(story, quote, story.starts - timedelta(days=41))


def begun(order: Order, at: datetime) -> None:
    """Start production; whoever does has seen what would be older than it keeps."""
    order = Order.objects.select_related("quote__inquiry__customer").get(pk=order.pk)
    early = too_early(order, book_now(), at=at)
    mark = early.mark if early else ""
    order_start(order_id=order.pk, early=mark, together=probed_in_force(), by="tomas", at=at)


def in_production(story: Story, at: datetime) -> Course[None]:
    """Work on it has begun."""
    order = yield from to_order(story)
    yield at
    begun(order, at)


def delivered(order: Order, story: Story) -> Course[None]:
    """Start the order the day before, measure what has to be measured, and deliver it in its window."""
    yield story.starts - timedelta(days=1)
    begun(order, story.starts - timedelta(days=1))
    yield story.starts + timedelta(minutes=20)
    cooling_measured(order, story.starts, fails_first=story.number % 7 == 3)
    order_deliver(order_id=order.pk, by="tomas", at=story.starts + timedelta(minutes=20))


def _invoiced(story: Story) -> Course[Order]:
    """Delivered, and invoiced the day after."""
    order = yield from to_order(story)
    yield from delivered(order, story)
    yield story.starts + timedelta(days=1)
    invoiced(order, story.starts + timedelta(days=1))
    order.refresh_from_db()
    return order


def _settled(order: Order, at: datetime) -> Course[None]:
    """Paid, and closed a day later."""
    yield at
    if _due(order):
        paid(order, _due(order), at, key="balance")
    yield at + timedelta(days=1)
    closed(order, at + timedelta(days=1))


def all_paid(story: Story) -> Course[None]:
    """Delivered, invoiced, paid and closed."""
    order = yield from _invoiced(story)
    yield from _settled(order, story.starts + timedelta(days=6))


def part_paid(story: Story) -> Course[None]:
    """Invoiced; about half of the balance was paid."""
    order = yield from _invoiced(story)
    yield story.starts + timedelta(days=9)
    paid(order, max(_due(order) // 2, 1), story.starts + timedelta(days=9), key="half")


def unpaid(story: Story) -> Course[None]:
    """Invoiced; nothing was paid."""
    yield from _invoiced(story)


def credited(story: Story) -> Course[None]:
    """A tray arrived late: a part of the invoice was credited, the rest was paid."""
    order = yield from _invoiced(story)
    yield story.starts + timedelta(days=3)
    invoice = order.invoices.get()
    line = invoice.lines.earliest("position")
    reason = "One tray arrived after the cake was cut."
    credit_note_issue(
        invoice_id=invoice.pk,
        reason=reason,
        read=own_read(reason, order.quote),
        amounts={line.pk: line.amount_minor // 4},
        idempotency_key=f"demo-credit-{story.number}",
        by=OWNER,
        at=story.starts + timedelta(days=3),
    )


def overpaid(story: Story) -> Course[None]:
    """The customer paid too much and got the rest back."""
    order = yield from _invoiced(story)
    yield story.starts + timedelta(days=5)
    paid(order, _due(order) + 5000, story.starts + timedelta(days=5), key="balance")
    yield story.starts + timedelta(days=8)
    paid(order, 5000, story.starts + timedelta(days=8), kind=Payment.Kind.REFUND, key="back")


def own_read(words: str, quote: Quote) -> list[str]:
    """Return the marks of what the owner has read of her own words to a customer."""
    return [one.mark for one in fine_sentences(words, quote)]


def declined(story: Story) -> Course[None]:
    """Declined by the customer."""
    quote = yield from to_quote(story)
    yield story.starts - timedelta(days=40)
    quote_decline(
        quote_id=quote.pk,
        reason="We found somebody nearer to the hall. Thank you for your trouble.",
        evidence=ApprovalEvidence(),
        at=story.starts - timedelta(days=40),
    )
    yield story.starts - timedelta(days=39)
    message = quote.messages.get().pk
    message_no_need(quote_id=quote.pk, message_id=message, by=OWNER, at=story.starts - timedelta(days=39))


def expired(story: Story) -> Course[None]:
    """Expired without an answer."""
    yield from to_quote(story)
    yield story.starts - timedelta(days=20)
    quotes_expire(at=story.starts - timedelta(days=20))


def withdrawn(story: Story) -> Course[None]:
    """Withdrawn, because the kitchen was full."""
    quote = yield from to_quote(story)
    at = story.starts - timedelta(days=42)
    yield at
    reason = "The cold room is full that weekend."
    quote_withdraw(quote_id=quote.pk, reason=reason, read=own_read(reason, quote), by=OWNER, at=at)


def revised(story: Story) -> Course[None]:
    """Revised for fewer guests; the second revision was approved."""
    quote = yield from to_quote(story)
    at = story.starts - timedelta(days=42)
    yield at - timedelta(days=1)
    quote_ask_change(
        quote_id=quote.pk,
        text="We will be fewer than we thought. Could you quote for a quarter less?",
        evidence=ApprovalEvidence(),
        at=at - timedelta(days=1),
    )
    yield at
    fewer = replace(story, guests=story.guests * 3 // 4)
    draft = composed(fewer, quote_revise(quote_id=quote.pk, by=OWNER, at=at), at, guests=fewer.guests)
    yield at + timedelta(hours=2)
    second = sent(fewer, draft, at + timedelta(hours=2))
    yield at + timedelta(days=2)
    order = approved(fewer, second, at + timedelta(days=2))
    yield at + timedelta(days=5)
    deposit_paid(order, at + timedelta(days=5))
    yield from delivered(order, fewer)
    yield fewer.starts + timedelta(days=1)
    invoiced(order, fewer.starts + timedelta(days=1))
    yield from _settled(order, fewer.starts + timedelta(days=4))


def changed(story: Story) -> Course[None]:
    """Changed after the approval: one lot more of the first dessert, which the customer approved; paid and closed."""
    order = yield from to_order(story)
    at = story.starts - timedelta(days=30)
    yield at
    draft = amendment_begin(order_id=order.pk, by=OWNER, at=at)
    table = table_of(draft)
    line = table.lines[0]
    more = line.units + Product.objects.get(code=line.code).sale_multiple
    draft = draft_save(quote_id=draft.pk, table=table.with_line(line.code, units=more), by=OWNER, at=at)
    yield at + timedelta(hours=1)
    quote = sent(story, draft, at + timedelta(hours=1))
    yield at + timedelta(days=1)
    order = approved(story, quote, at + timedelta(days=1))
    yield from delivered(order, story)
    yield story.starts + timedelta(days=1)
    invoiced(order, story.starts + timedelta(days=1))
    yield from _settled(order, story.starts + timedelta(days=6))


def canceled(story: Story) -> Course[None]:
    """Canceled by the customer two weeks ahead: what the terms say is charged."""
    order = yield from to_order(story)
    at = story.starts - timedelta(days=15)
    yield at
    tax = TaxCategory.objects.get(code="service").pk
    decision = Decision(Order.CanceledBy.CUSTOMER, "The party was called off.", tax_id=tax)
    order_cancel_by_terms(order_id=order.pk, decision=decision, by=OWNER, at=at)
    yield at + timedelta(hours=1)
    invoiced(order, at + timedelta(hours=1))


PAST: Final[Sequence[Callable[[Story], Course[None]]]] = (
    *(all_paid, all_paid, declined, all_paid, revised, expired, all_paid, overpaid),
    *(all_paid, withdrawn, all_paid, credited, all_paid, canceled, changed, declined),
)
