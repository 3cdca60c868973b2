"""Stories of inquiries in the demo, built with the same services that the pages call."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import ROUND_CEILING, Decimal
from math import inf
from typing import Final

from django.utils import timezone

from catalog.kitchen.cancellation import rows_read
from catalog.kitchen.payment_schedule import PaymentRow
from catalog.products.models import Product
from config.demo.measured import overrides_recorded, probed_in_force
from config.demo.people import Person, Place, address_of
from orders.approvals.services import (
    ApprovalEvidence,
    quote_approve,
)
from orders.inquiries.customer_services import CustomerData
from orders.inquiries.models import Inquiry
from orders.inquiries.services import InquiryData, inquiry_add
from orders.invoices.models import Payment
from orders.invoices.payments import payment_record
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.orders.services import order_close
from orders.planning.slots import Budget, slot_found
from orders.quotes.cooling.perishables import unstated_mark
from orders.quotes.cooling.services import cooling_overrides_record
from orders.quotes.draft.dessert_table import DessertTable, TableLine
from orders.quotes.draft.services import Terms, draft_save, draft_terms
from orders.quotes.files import quote_document
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from orders.quotes.send.services import quote_send

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
    story: Story,
    draft: Quote,
    at: datetime,
    *,
    valid_days: int | None = None,
    reserve_day: bool = False,
    payments: Sequence[PaymentRow] = (),
) -> Quote:
    """Send the quote and make its PDF, which an approval needs; it is valid as long as usual, or for so many days.

    ``payments`` are due before the event.

    Where its day is kept, a place is looked for without a clock, so that it is found on a slow machine too.
    """
    until = timezone.localtime(at + timedelta(days=valid_days or 0))
    terms = Terms(
        valid_until=until.replace(hour=23, minute=59, second=0) if valid_days else None,
        deposit_share=draft.deposit_share,
        deposit_days=draft.deposit_days,
        balance_days=draft.balance_days,
        payments_before=tuple(payments),
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
        together=probed_in_force(),
        reserve_day=reserve_day,
        place=slot_found(quotes_with_rows().get(pk=draft.pk), at=at, budget=PATIENT) if reserve_day else None,
    )
    quote_document(quote_id=quote.pk, at=at)
    return quote


def approved(story: Story, quote: Quote, at: datetime) -> Order:
    """Approve the quote as the customer, once the owner has said what is measured of what it shares by now."""
    cooling_overrides_record(quote_id=quote.pk, overrides=(), by=OWNER, at=at, together=probed_in_force())
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


def invoiced(order: Order, at: datetime) -> int:
    """Issue the balance invoice; return its id."""
    draft = invoice_draft(order_id=order.pk, by=OWNER, at=at)
    invoice_issue(invoice_id=draft.pk, mail=True, by=OWNER, at=at)
    return int(draft.pk)


def closed(order: Order, at: datetime) -> None:
    """Close an order that is paid."""
    order_close(order_id=order.pk, by=OWNER, at=at)
