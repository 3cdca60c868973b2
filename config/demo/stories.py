"""Stories of inquiries in the demo, built with the same services that the pages call."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from decimal import ROUND_CEILING, Decimal
from math import inf
from typing import Final

from django.utils import timezone

from catalog.kitchen.cancellation import rows_read
from catalog.products.models import Product
from catalog.taxes.models import TaxCategory
from config.demo.measured import cooling_measured, overrides_recorded, probed_in_force
from config.demo.people import Person, Place, address_of
from orders.approvals.messages import messages_mark_read
from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
    quote_ask_change,
    quote_decline,
)
from orders.inquiries.customer_services import CustomerData
from orders.inquiries.models import Inquiry
from orders.inquiries.services import InquiryData, inquiry_add
from orders.invoices.credit_notes import credit_note_issue
from orders.invoices.models import Payment
from orders.invoices.payments import payment_record
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.models import Order
from orders.orders.services import order_close, order_deliver, order_start
from orders.planning.slots import Budget, slot_found
from orders.quotes.amendments.services import amendment_begin
from orders.quotes.cooling.perishables import unstated_mark
from orders.quotes.draft.dessert_table import DessertTable, TableLine, table_of
from orders.quotes.draft.services import Terms, draft_save, draft_terms
from orders.quotes.files import quote_document
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.quotes.send.services import quote_revise, quote_send, quote_withdraw, quotes_expire

OWNER: Final = "odile"
BOOKS: Final = "nadia"
#: Product and its share of the pieces; a share of 0 is a centrepiece, one of it.
TABLES: Final[tuple[tuple[tuple[str, int], ...], ...]] = (
    (
        ("custard-tartlet", 25),
        ("orange-cup", 20),
        ("mousse-glass", 25),
        ("almond-squares", 20),
        ("coconut-cup", 10),
        ("almond-raspberry-10", 0),
    ),
    (("lemon-tartlet", 40), ("buttermilk-glass", 35), ("almond-squares", 25)),
    (("mousse-glass", 50), ("custard-tartlet", 50), ("chocolate-hazelnut-10", 0)),
    (("almond-squares", 60), ("coconut-cup", 40), ("pear-buckwheat-tart", 0)),
    (("orange-cup", 40), ("lemon-tartlet", 30), ("coconut-cup", 30), ("custard-tart-9", 0)),
    (("custard-tartlet", 60), ("mousse-glass", 40)),
)


@dataclass(frozen=True, slots=True)
class Story:
    """An inquiry to build: who, where, when, for how many, and with which table."""

    number: int
    person: Person
    place: Place
    day: date
    hour: int
    guests: int
    table: int | None
    pieces: str = "2"
    pickup: bool = False
    allergies: tuple[str, ...] = ()
    need_counts: Mapping[str, int] = field(default_factory=dict)
    allergy_note: str = ""
    note: str = ""
    budget: int | None = None
    #: Product and how many of it, beside the table.
    cakes: tuple[tuple[str, int], ...] = ()

    @property
    def starts(self) -> datetime:
        """When the window begins, in the kitchen's zone."""
        return timezone.make_aware(datetime.combine(self.day, time(self.hour)))


def inquired(story: Story, at: datetime) -> Quote:
    """Add the inquiry; return its empty draft."""
    data = InquiryData(
        title=story.person.occasion,
        window_start=story.starts,
        window_end=story.starts + timedelta(minutes=45),
        hand_over=Inquiry.HandOver.PICKUP if story.pickup else Inquiry.HandOver.DELIVERY,
        place="" if story.pickup else story.place.name,
        km=None if story.pickup else Decimal(story.place.km),
        minutes=None if story.pickup else Decimal(story.place.minutes),
        crew=2 if story.guests >= 100 else 1,
        setup_minutes=None if story.pickup else Decimal(40 if story.guests >= 100 else 20),
        guests=story.guests,
        pieces_per_guest=Decimal(story.pieces),
        budget_minor=story.budget,
        allergies=story.allergies,
        need_counts=story.need_counts,
        allergy_note=story.allergy_note,
        # Of every fifth customer without needs nobody has asked yet.
        asked_none=not story.allergies and not story.allergy_note and story.number % 5 != 0,
        note=story.note,
    )
    customer = CustomerData(
        name=story.person.name,
        email=address_of(story.person),
        kind=story.person.kind,
        address=f"{story.number + 3} Ferry Road\nPort Merrin",
    )
    inquiry = inquiry_add(data=data, customer=customer, idempotency_key=f"demo-{story.number}", by=OWNER, at=at)
    return inquiry.quotes.get()


def composed(story: Story, draft: Quote, at: datetime, *, guests: int | None = None) -> Quote:
    """Save the table of the draft."""
    return draft_save(quote_id=draft.pk, table=table_for(story, guests or story.guests), by=OWNER, at=at, guests=guests)


def table_for(story: Story, guests: int) -> DessertTable:
    """Allocate guests × pieces to the table's products, each rounded up to its sale multiple; add the story's cakes."""
    shares = () if story.table is None else TABLES[story.table]
    codes = [code for code, _ in (*shares, *story.cakes)]
    products = Product.objects.in_bulk(codes, field_name="code")
    pieces = Decimal(story.pieces) * guests
    lines = [_line(products[code], share, pieces) for code, share in shares]
    lines += [TableLine(products[code].pk, code, count) for code, count in story.cakes]
    return DessertTable(lines=tuple(lines))


def _line(product: Product, share: int, pieces: Decimal) -> TableLine:
    if not share:
        return TableLine(product.pk, product.code, 1)
    lots = (pieces * share / (100 * product.sale_multiple)).to_integral_value(ROUND_CEILING)
    return TableLine(product.pk, product.code, max(int(lots), 1) * product.sale_multiple, share=Decimal(share) / 100)


def sent(
    story: Story, draft: Quote, at: datetime, *, valid_days: int | None = None, reserve_day: bool = False
) -> Quote:
    """Send the quote and make its PDF, which an approval needs; it is valid as long as usual, or for so many days.

    Where its day is kept, a place is looked for without a clock, so that it is found on a slow machine too.
    """
    until = timezone.localtime(at + timedelta(days=valid_days or 0))
    terms = Terms(
        valid_until=until.replace(hour=23, minute=59, second=0) if valid_days else None,
        deposit_share=draft.deposit_share,
        deposit_days=draft.deposit_days,
        balance_days=draft.balance_days,
        final_count_on=draft.final_count_on,
        final_count_usual=draft.final_count_usual,
        cancellation_terms=draft.cancellation_terms,
        cancellation_table=rows_read(draft.cancellation_table),
        note="We would be glad to make your table. Tell us if anything should be different.",
    )
    draft_terms(quote_id=draft.pk, terms=terms, by=OWNER, at=at)
    overrides_recorded(draft, by=OWNER, at=at)
    check = send_check(quotes_with_rows().get(pk=draft.pk), at=at)
    quote = quote_send(
        quote_id=draft.pk,
        by=OWNER,
        at=at,
        settled=True,
        not_asked_seen=True,
        unstated_seen=unstated_mark(check.unstated),
        read=[one.mark for one in check.to_read],
        together=probed_in_force() if reserve_day else None,
        reserve_day=reserve_day,
        place=slot_found(quotes_with_rows().get(pk=draft.pk), at=at, budget=PATIENT) if reserve_day else None,
    )
    quote_document(quote_id=quote.pk, at=at)
    return quote


def approved(story: Story, quote: Quote, at: datetime) -> Order:
    """Approve the quote as the customer."""
    quote_approve(
        quote_id=quote.pk,
        content_sha256=quote.content_sha256,
        name=story.person.name,
        evidence=ApprovalEvidence(),
        at=at,
    )
    return Order.objects.get(quote_id=quote.pk)


def paid(order: Order, amount: int, at: datetime, *, kind: str = Payment.Kind.PAYMENT, key: str) -> Payment:
    """Record a payment or a refund."""
    return payment_record(
        order_id=order.pk,
        kind=kind,
        method=Payment.Method.TRANSFER,
        amount_minor=amount,
        received_on=timezone.localtime(at).date(),
        reference=order.number,
        idempotency_key=f"demo-{order.pk}-{key}",
        by=BOOKS,
        at=at,
    )


#: How far it is looked for the place of a quote whose day is kept.
PATIENT: Final = Budget(inf, 60, 400)


def deposit_paid(order: Order, at: datetime) -> None:
    """Record the deposit."""
    if order.deposit_minor:
        paid(order, order.deposit_minor, at, kind=Payment.Kind.DEPOSIT, key="deposit")


def delivered(order: Order, story: Story) -> None:
    """Start the order the day before, measure what has to be measured, and deliver it in its window."""
    order_start(order_id=order.pk, together=probed_in_force(), by="tomas", at=story.starts - timedelta(days=1))
    cooling_measured(order, story.starts, fails_first=story.number % 7 == 3)
    order_deliver(order_id=order.pk, by="tomas", at=story.starts + timedelta(minutes=20))


def invoiced(order: Order, at: datetime) -> int:
    """Issue the balance invoice; return its id."""
    draft = invoice_draft(order_id=order.pk, by=OWNER, at=at)
    invoice_issue(invoice_id=draft.pk, mail=True, by=OWNER, at=at)
    return int(draft.pk)


def closed(order: Order, at: datetime) -> None:
    """Close an order that is paid."""
    order_close(order_id=order.pk, by=OWNER, at=at)


# ---- whole stories ------------------------------------------------------------------------------------------------


def _due(order: Order) -> int:
    invoice = order.invoices.filter(kind="380").exclude(number=None).get()
    return int(invoice.due_minor)


def to_quote(story: Story, *, reserve_day: bool = False) -> Quote:
    """Build a story up to a quote sent about six weeks before the event."""
    asked = story.starts - timedelta(days=46, hours=5)
    draft = composed(story, inquired(story, asked), asked + timedelta(hours=20))
    return sent(story, draft, asked + timedelta(hours=21), reserve_day=reserve_day)


def to_order(story: Story, *, reserve_day: bool = False) -> Order:
    """Build a story up to an approved order with its deposit paid."""
    quote = to_quote(story, reserve_day=reserve_day)
    order = approved(story, quote, story.starts - timedelta(days=41))
    deposit_paid(order, story.starts - timedelta(days=38))
    return order


def all_paid(story: Story) -> None:
    """Delivered, invoiced, paid and closed."""
    order = to_order(story)
    delivered(order, story)
    invoiced(order, story.starts + timedelta(days=1))
    order.refresh_from_db()
    if _due(order):
        paid(order, _due(order), story.starts + timedelta(days=6), key="balance")
    closed(order, story.starts + timedelta(days=7))


def part_paid(story: Story) -> None:
    """Invoiced; about half of the balance was paid."""
    order = to_order(story)
    delivered(order, story)
    invoiced(order, story.starts + timedelta(days=1))
    paid(order, max(_due(order) // 2, 1), story.starts + timedelta(days=9), key="half")


def unpaid(story: Story) -> None:
    """Invoiced; nothing was paid."""
    order = to_order(story)
    delivered(order, story)
    invoiced(order, story.starts + timedelta(days=1))


def credited(story: Story) -> None:
    """A tray arrived late: a part of the invoice was credited, the rest was paid."""
    order = to_order(story)
    delivered(order, story)
    invoice = order.invoices.get(pk=invoiced(order, story.starts + timedelta(days=1)))
    line = invoice.lines.order_by("position").first()
    if line is None:
        return
    credit_note_issue(
        invoice_id=invoice.pk,
        reason="One tray arrived after the cake was cut.",
        amounts={line.pk: line.amount_minor // 4},
        idempotency_key=f"demo-credit-{story.number}",
        by=OWNER,
        at=story.starts + timedelta(days=3),
    )


def overpaid(story: Story) -> None:
    """The customer paid too much and got the rest back."""
    order = to_order(story)
    delivered(order, story)
    invoiced(order, story.starts + timedelta(days=1))
    paid(order, _due(order) + 5000, story.starts + timedelta(days=5), key="balance")
    paid(order, 5000, story.starts + timedelta(days=8), kind=Payment.Kind.REFUND, key="back")


def declined(story: Story) -> None:
    """Declined by the customer."""
    quote = to_quote(story)
    quote_decline(
        quote_id=quote.pk,
        reason="We found somebody nearer to the hall. Thank you for your trouble.",
        evidence=ApprovalEvidence(),
        at=story.starts - timedelta(days=40),
    )
    messages_mark_read(quote_id=quote.pk, at=story.starts - timedelta(days=39))


def expired(story: Story) -> None:
    """Expired without an answer."""
    to_quote(story)
    quotes_expire(at=story.starts - timedelta(days=20))


def withdrawn(story: Story) -> None:
    """Withdrawn, because the kitchen was full."""
    quote = to_quote(story)
    quote_withdraw(
        quote_id=quote.pk, reason="The cold room is full that weekend.", by=OWNER, at=story.starts - timedelta(days=42)
    )


def revised(story: Story) -> None:
    """Revised for fewer guests; the second revision was approved."""
    quote = to_quote(story)
    quote_ask_change(
        quote_id=quote.pk,
        text="We will be fewer than we thought. Could you quote for a quarter less?",
        evidence=ApprovalEvidence(),
        at=story.starts - timedelta(days=43),
    )
    at = story.starts - timedelta(days=42)
    draft = quote_revise(quote_id=quote.pk, by=OWNER, at=at)
    fewer = replace(story, guests=story.guests * 3 // 4)
    second = sent(fewer, composed(fewer, draft, at, guests=fewer.guests), at + timedelta(hours=2))
    order = approved(fewer, second, at + timedelta(days=2))
    deposit_paid(order, at + timedelta(days=5))
    delivered(order, fewer)
    invoiced(order, fewer.starts + timedelta(days=1))
    paid(order, _due(order), fewer.starts + timedelta(days=4), key="balance")
    closed(order, fewer.starts + timedelta(days=5))


def changed(story: Story) -> None:
    """Changed after the approval: one lot more of the first dessert, which the customer approved; paid and closed."""
    order = to_order(story)
    at = story.starts - timedelta(days=30)
    draft = amendment_begin(order_id=order.pk, by=OWNER, at=at)
    table = table_of(draft)
    line = table.lines[0]
    more = line.units + Product.objects.get(code=line.code).sale_multiple
    draft = draft_save(quote_id=draft.pk, table=table.with_line(line.code, units=more), by=OWNER, at=at)
    order = approved(story, sent(story, draft, at + timedelta(hours=1)), at + timedelta(days=1))
    delivered(order, story)
    invoiced(order, story.starts + timedelta(days=1))
    paid(order, _due(order), story.starts + timedelta(days=6), key="balance")
    closed(order, story.starts + timedelta(days=7))


def canceled(story: Story) -> None:
    """Canceled by the customer two weeks ahead: what the terms say is charged."""
    order, at = to_order(story), story.starts - timedelta(days=15)
    tax = TaxCategory.objects.get(code="service").pk
    decision = Decision(Order.CanceledBy.CUSTOMER, "The party was called off.", tax_id=tax)
    order_cancel_by_terms(order_id=order.pk, decision=decision, by=OWNER, at=at)
    invoiced(order, at + timedelta(hours=1))


PAST: Final[Sequence[Callable[[Story], None]]] = (
    *(all_paid, all_paid, declined, all_paid, revised, expired, all_paid, overpaid),
    *(all_paid, withdrawn, all_paid, credited, all_paid, canceled, changed, declined),
)
