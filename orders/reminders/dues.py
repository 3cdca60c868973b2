"""What there is to remind customers of, kind by kind, as it is now."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from catalog.kitchen.selectors import kitchen_zone
from orders.approvals.models import Message
from orders.invoices.models import IS_INVOICE, Invoice, ScheduledPayment
from orders.invoices.parts import open_parts, with_parts
from orders.invoices.receivables import open_invoices
from orders.invoices.schedule import scheduled_late, scheduled_waiting
from orders.orders.models import Order
from orders.quotes.models import Quote
from orders.records.states import ORDERS_AHEAD, InvoiceStatus, OrderStatus, QuoteStatus
from orders.reminders.kinds import KINDS, Kind

#: How long after the event things that were not brought back are looked for.
_LOOKED_FOR: Final = timedelta(days=120)
#: The columns of a quote that are long and that no reminder reads in a list.
_LONG: Final = ("content", "brief", "estimate")


@dataclass(frozen=True, slots=True)
class Due:
    """Something to remind a customer of.

    ``day`` is the day it is about, ``since`` when the customer heard of it first: what was due before never goes out.
    ``number`` is the quote's, ``named`` the number of what it is about; ``amount_minor`` is what is open.
    """

    kind: Kind
    pk: int
    day: date
    since: datetime
    quote: Quote
    customer: str
    email: str
    title: str
    window_start: datetime
    named: str
    order: Order | None = None
    amount_minor: int = 0
    currency: str = ""
    things: tuple[str, ...] = ()

    @property
    def number(self) -> str:
        """The number of the quote."""
        return self.quote.number

    @property
    def key(self) -> tuple[str, int, date]:
        """What makes it one: no other reminder of its kind about this document and day goes out."""
        return self.kind.code, self.pk, self.day


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked: at which moment, in the kitchen's zone; of one document or of one quote's number alone, or all."""

    at: datetime
    zone: ZoneInfo
    pk: int | None = None
    number: str = ""

    @property
    def today(self) -> date:
        """The kitchen's day."""
        return self.at.astimezone(self.zone).date()

    def of(self, rows: QuerySet[Any], number: str, key: str = "pk") -> QuerySet[Any]:
        """Return those of some rows that are asked about; ``number`` and ``key`` are the paths to the quote's number
        and to the document's key.
        """
        rows = rows if self.pk is None else rows.filter(**{key: self.pk})
        return rows.filter(**{number: self.number}) if self.number else rows


def _validity(asked: Asked) -> Iterator[Due]:
    """Find quotes that wait for an answer; none where the customer waits for one."""
    last = Message.objects.filter(quote=OuterRef("pk")).order_by("-pk").values("kind")[:1]
    waiting = Quote.objects.filter(status=QuoteStatus.SENT, valid_until__gt=asked.at, inquiry__closed_at=None)
    quotes = asked.of(waiting, "number")
    quotes = quotes.annotate(wrote=Subquery(last)).filter(Q(wrote=None) | ~Q(wrote=Message.Kind.CHANGE))
    yield from (_of_quote(quote, asked) for quote in _read(quotes))


def _read(quotes: QuerySet[Quote]) -> QuerySet[Quote]:
    return quotes.select_related("inquiry__customer").defer(*_LONG)


def _of_quote(quote: Quote, asked: Asked) -> Due:
    """Return that a quote's validity ends; a quote that was sent has both moments."""
    inquiry, sent = quote.inquiry, quote.sent_at or asked.at
    return Due(
        kind=KINDS["validity"],
        pk=quote.pk,
        day=(quote.valid_until or sent).astimezone(asked.zone).date(),
        since=sent,
        quote=quote,
        customer=inquiry.customer.name,
        email=inquiry.customer.email,
        title=inquiry.title,
        window_start=inquiry.window_start,
        named=quote.number,
    )


def _of_order(kind: str, order: Order, day: date, **facts: Any) -> Due:
    return Due(
        **{
            "kind": KINDS[kind],
            "pk": order.pk,
            "day": day,
            "since": order.confirmed_at,
            "quote": order.quote,
            "customer": order.customer.name,
            "email": order.customer.email,
            "title": order.title,
            "window_start": order.window_start,
            "named": order.number,
            "order": order,
            "currency": order.currency,
            **facts,
        }
    )


def _with_quote(orders: QuerySet[Any], asked: Asked) -> QuerySet[Any]:
    return (
        asked.of(orders, "quote__number")
        .select_related("customer", "quote")
        .defer(*(f"quote__{name}" for name in _LONG))
    )


def _scheduled(code: str, rows: QuerySet[Any], asked: Asked) -> Iterator[Due]:
    """Find payments of schedules that are open; once an invoice is issued it asks for the whole."""
    of_kind = ScheduledPayment.Kind.DEPOSIT if code.startswith("deposit") else ScheduledPayment.Kind.PAYMENT
    issued = Invoice.objects.filter(IS_INVOICE, order=OuterRef("order")).exclude(status=InvoiceStatus.DRAFT)
    rows = rows.filter(~Exists(issued), kind=of_kind, order__window_end__gt=asked.at)
    rows = asked.of(rows, "order__quote__number", key="order")
    for one in rows.select_related("order__quote").defer(*(f"order__quote__{name}" for name in _LONG)):
        yield _of_order(code, one.order, one.due_on, amount_minor=one.missing)


def _scheduled_due(code: str, asked: Asked) -> Iterator[Due]:
    return _scheduled(code, scheduled_waiting(today=asked.today), asked)


def _scheduled_late(code: str, asked: Asked) -> Iterator[Due]:
    yield from _scheduled(code, scheduled_late(today=asked.today), asked)
    yield from _scheduled(code, scheduled_waiting(today=asked.today), asked)


def _final_count(asked: Asked) -> Iterator[Due]:
    ahead = Order.objects.filter(status__in=ORDERS_AHEAD, final_count_on__gte=asked.today, window_start__gt=asked.at)
    for order in _with_quote(ahead, asked):
        yield _of_order("final_count", order, order.final_count_on)


def _invoices(kind: str, asked: Asked, rows: QuerySet[Any]) -> Iterator[Due]:
    """Find what is open of invoices, each of their payments by itself."""
    rows = asked.of(rows.filter(open__gt=0, due_on__isnull=False), "order__quote__number")
    rows = with_parts(rows.select_related("order__customer", "order__quote"))
    for invoice in rows.defer(*(f"order__quote__{name}" for name in _LONG)):
        facts: dict[str, Any] = {"pk": invoice.pk, "since": invoice.issued_at, "named": invoice.number or ""}
        for one in open_parts(invoice):
            yield _of_order(kind, invoice.order, one.due_on, **facts, amount_minor=one.open, currency=invoice.currency)


def _payment_due(asked: Asked) -> Iterator[Due]:
    waiting = open_invoices().filter(Q(due_on__gte=asked.today) | Q(next_on__isnull=False))
    return (due for due in _invoices("payment_due", asked, waiting) if due.day >= asked.today)


def _payment_late(asked: Asked) -> Iterator[Due]:
    return _invoices("payment_late", asked, open_invoices())


def _things_out(asked: Asked) -> Iterator[Due]:
    """Find what customers still have: molds that leave with a dessert, and what the owner noted."""
    gone = Order.objects.filter(
        status__in=[OrderStatus.DELIVERED, OrderStatus.CLOSED], delivered_at__gt=asked.at - _LOOKED_FOR
    )
    gone = gone.exclude(things_out__back_at__isnull=False)
    for order in _with_quote(gone, asked).select_related("things_out").prefetch_related("lines__product__mold"):
        if things := things_of(order):
            back = order.window_end.astimezone(asked.zone).date() + timedelta(days=_back_days(order))
            yield _of_order("things_out", order, back, since=order.delivered_at, things=things)


def molds_out(order: Order) -> tuple[str, ...]:
    """Return the names of the molds that go to the customer with the desserts of an order."""
    products = [line.product for line in order.lines.all()]
    return tuple(dict.fromkeys(one.mold.name for one in products if one.mold_leaves and one.mold is not None))


def things_of(order: Order) -> tuple[str, ...]:
    """Return all that a customer has of the kitchen: molds by name, then what the owner noted."""
    noted = getattr(order, "things_out", None)
    return (*molds_out(order), *([noted.things] if noted is not None and noted.things else []))


def _back_days(order: Order) -> int:
    return max((line.product.mold_back_days or 0 for line in order.lines.all() if line.product.mold_leaves), default=0)


Find = Callable[[Asked], Iterator[Due]]
FINDS: Final[Mapping[str, Find]] = {
    "validity": _validity,
    "deposit_due": partial(_scheduled_due, "deposit_due"),
    "deposit_late": partial(_scheduled_late, "deposit_late"),
    "scheduled_due": partial(_scheduled_due, "scheduled_due"),
    "scheduled_late": partial(_scheduled_late, "scheduled_late"),
    "final_count": _final_count,
    "payment_due": _payment_due,
    "payment_late": _payment_late,
    "things_out": _things_out,
}


def due_of(kind: str, pk: int, *, at: datetime, day: date) -> Due | None:
    """Return what there is to remind of about one document, as it is now; None where there is nothing.

    Of several it is that of the ``day``, else the first.
    """
    asked = Asked(at, kitchen_zone(), pk=pk)
    dues = list(FINDS[kind](asked))
    found = next((due for due in dues if due.day == day), dues[0] if dues else None)
    return None if found is not None and found.kind.late and found.day >= asked.today else found


def likenesses(kind: Kind, asked: Asked, count: int) -> Iterator[Due]:
    """Return the latest quotes, orders or invoices as if there was something to remind of about each."""
    if kind.document == "quote":
        quotes = Quote.objects.exclude(status=QuoteStatus.DRAFT).filter(
            sent_at__isnull=False, valid_until__isnull=False
        )
        yield from (_of_quote(quote, asked) for quote in _read(quotes)[:count])
        return
    invoices = Invoice.objects.filter(IS_INVOICE, due_on__isnull=False).exclude(status=InvoiceStatus.DRAFT)
    if kind.document == "invoice":
        for invoice in invoices.select_related("order__customer", "order__quote").order_by("-pk")[:count]:
            facts = {"pk": invoice.pk, "named": invoice.number or "", "amount_minor": invoice.due_minor}
            yield _of_order(kind.code, invoice.order, invoice.due_on or asked.today, **facts)
        return
    for order in _with_quote(Order.objects.order_by("-pk"), asked).prefetch_related("lines__product__mold")[:count]:
        day = order.deposit_due_on if kind.money else order.final_count_on
        facts = {"amount_minor": order.deposit_minor, "things": things_of(order)}
        yield _of_order(kind.code, order, day or order.window_end.astimezone(asked.zone).date(), **facts)
