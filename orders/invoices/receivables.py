"""What is owed: open invoices by age, deposits that are late, credit customers have."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.db.models import (
    Case,
    Count,
    F,
    IntegerField,
    QuerySet,
    Sum,
    Value,
    When,
)

from orders.invoices.arithmetic import AGES
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import Received, signed_total, sum_of, with_received
from orders.invoices.selectors import OPEN, OpenMoney, issued_notes, with_open
from orders.orders.models import Order
from orders.orders.selectors import AHEAD
from orders.records.states import InvoiceStatus, OrderStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


@dataclass(frozen=True)
class Age:
    """Open money of one age."""

    name: str
    documents: int
    open: int


@dataclass(frozen=True)
class Credit:
    """An order and what its customer has to their credit."""

    order: Order
    amount: int


def open_invoices() -> "QuerySet[WithAnnotations[Invoice, OpenMoney]]":
    """Return the invoices on which something is open, the longest due first."""
    invoices = Invoice.objects.filter(kind=Invoice.Kind.INVOICE, status__in=OPEN)
    return with_open(invoices.select_related("order__customer")).order_by("due_on", "pk")


def receivables_by_age(*, today: date, currency: str) -> list[Age]:
    """Sum what is open by how long it has been due, all ages in order: one query.

    The steps of 30 days are common practice, no source.
    """
    late = [
        When(due_on__gte=today, then=Value(0)),
        *(When(due_on__gte=today - timedelta(days=30 * step), then=Value(step)) for step in (1, 2, 3)),
    ]
    rows = (
        open_invoices()
        .filter(currency=currency)
        .order_by()
        .annotate(age=Case(*late, default=Value(4), output_field=IntegerField()))
        .values("age")
        .annotate(documents=Count("pk"), sum=Sum("open"))
        .values_list("age", "documents", "sum")
    )
    found = {age: (documents, amount) for age, documents, amount in rows}
    return [Age(name, *found.get(place, (0, 0))) for place, name in enumerate(AGES)]


def currencies_owed() -> list[str]:
    """Return the currencies in which something is open."""
    return sorted(set(open_invoices().order_by().values_list("currency", flat=True)))


def deposits_late(*, today: date) -> "QuerySet[WithAnnotations[Order, Received]]":
    """Return orders ahead whose deposit was due before today and did not come in full, with ``received``."""
    orders = with_received(Order.objects.filter(status__in=AHEAD, deposit_due_on__lt=today, deposit_minor__gt=0))
    return orders.filter(received__lt=F("deposit_minor")).select_related("customer").order_by("deposit_due_on", "pk")


def deposits_waiting(*, today: date) -> "QuerySet[WithAnnotations[Order, Received]]":
    """Return orders ahead whose deposit is not due yet and did not come in full, with ``received``."""
    orders = with_received(Order.objects.filter(status__in=AHEAD, deposit_due_on__gte=today, deposit_minor__gt=0))
    return orders.filter(received__lt=F("deposit_minor")).select_related("customer").order_by("deposit_due_on", "pk")


def not_invoiced() -> QuerySet[Order]:
    """Return orders that were handed over and have no invoice that stands, with ``received``."""
    standing = Invoice.objects.filter(kind=Invoice.Kind.INVOICE).exclude(status=InvoiceStatus.DRAFT)
    orders = with_received(Order.objects.filter(status=OrderStatus.DELIVERED, total_minor__gt=0)).annotate(
        invoiced=sum_of(standing, "total_minor", "order"), taken_back=sum_of(issued_notes(), "total_minor", "order")
    )
    return orders.filter(invoiced__lte=F("taken_back")).select_related("customer").order_by("delivered_at", "pk")


def credits_held() -> list[Credit]:
    """List what customers have to their credit after an invoice or a cancellation: three queries.

    Money that came in before the invoice is no credit: the invoice will use it. What the kitchen keeps of a
    canceled order is none either.
    """
    received = dict(Payment.objects.order_by().values_list("order").annotate(received=Sum("amount_minor")))
    issued = Invoice.objects.exclude(status=InvoiceStatus.DRAFT).order_by()
    asked = dict(issued.values_list("order").annotate(asked=Sum(signed_total())))
    over = {pk: amount - asked.get(pk, 0) for pk, amount in received.items() if amount > asked.get(pk, 0)}
    orders = Order.objects.filter(pk__in=over).exclude(canceled_money=Order.CanceledMoney.KEEP)
    return [
        Credit(order, over[order.pk])
        for order in orders.select_related("customer")
        if order.pk in asked or order.status == OrderStatus.CANCELED
    ]


def payments_listed(*, first: date | None = None, last: date | None = None, find: str = "") -> QuerySet[Payment]:
    """List payments, the latest first, with order, customer, invoice and whether a row was taken back."""
    payments = Payment.objects.select_related("order__customer", "invoice", "reverses", "reversed_by")
    if first:
        payments = payments.filter(received_on__gte=first)
    if last:
        payments = payments.filter(received_on__lte=last)
    if find:
        payments = payments.filter(order__customer__name__icontains=find) | payments.filter(
            order__number__icontains=find
        )
    return payments.order_by("-received_on", "-pk")
