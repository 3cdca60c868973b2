"""Receivables: open invoices by age, orders without an invoice, customers' credits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from django.db.models import Case, Count, F, IntegerField, QuerySet, Sum, Value, When
from djmoney.money import Money

from orders.invoices.models import IS_INVOICE, Invoice, Payment
from orders.invoices.order_money import signed_total, sum_of, with_received
from orders.invoices.selectors import OPEN, OpenMoney, issued_notes, with_open
from orders.orders.models import Order
from orders.records.money import from_minor
from orders.records.states import InvoiceStatus, OrderStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

#: Age classes by days past the due date. Classes of 30 days are common practice, no source.
AGES: Final = ("not_due", "days_1_to_30", "days_31_to_60", "days_61_to_90", "days_over_90")
_STEP: Final = timedelta(days=30)


@dataclass(frozen=True)
class Age:
    """The open amount of one age class, named by its code."""

    code: str
    documents: int
    open: Money


@dataclass(frozen=True)
class Credit:
    """An order and its customer's credit."""

    order: Order
    amount: Money


def open_invoices() -> QuerySet[WithAnnotations[Invoice, OpenMoney]]:
    """Return the invoices with an open amount, the longest due first."""
    invoices = Invoice.objects.filter(IS_INVOICE, status__in=OPEN)
    return with_open(invoices.select_related("order__customer")).order_by("due_on", "pk")


def receivables_by_age(*, today: date, currency: str) -> list[Age]:
    """Sum open amounts by age class, all classes in order: one query."""
    due = [When(due_on__gte=today - step * _STEP, then=Value(step)) for step in range(len(AGES) - 1)]
    rows = (
        open_invoices()
        .filter(currency=currency)
        .order_by()
        .annotate(age=Case(*due, default=Value(len(AGES) - 1), output_field=IntegerField()))
        .values("age")
        .annotate(documents=Count("pk"), sum=Sum("open"))
        .values_list("age", "documents", "sum")
    )
    found = {age: (documents, amount) for age, documents, amount in rows}
    ages = [(code, *found.get(place, (0, 0))) for place, code in enumerate(AGES)]
    return [Age(code, documents, from_minor(amount, currency)) for code, documents, amount in ages]


def currencies_owed() -> list[str]:
    """Return the currencies with open amounts."""
    return sorted(set(open_invoices().order_by().values_list("currency", flat=True)))


def not_invoiced() -> QuerySet[Order]:
    """Return orders that were handed over and have no invoice that stands, with ``received``."""
    standing = Invoice.objects.filter(IS_INVOICE).exclude(status=InvoiceStatus.DRAFT)
    orders = with_received(Order.objects.filter(status=OrderStatus.DELIVERED, total_minor__gt=0)).annotate(
        invoiced=sum_of(standing, "total_minor", "order"), credited=sum_of(issued_notes(), "total_minor", "order")
    )
    return orders.filter(invoiced__lte=F("credited")).select_related("customer").order_by("delivered_at", "pk")


def credits_held() -> list[Credit]:
    """List customers' credits after an invoice or a cancellation: three queries.

    A payment before the invoice is no credit, because the invoice will use it. Money that the kitchen retains from a
    canceled order is none either.
    """
    paid = Payment.objects.order_by().values_list("order", "currency").annotate(sum=Sum("amount_minor"))
    issued = Invoice.objects.exclude(status=InvoiceStatus.DRAFT).order_by()
    asked = _by_order(issued.values_list("order", "currency").annotate(sum=Sum(signed_total())))
    over: dict[int, Money] = {}
    for pk, (currency, minor) in _by_order(paid).items():
        asked_currency, asked_minor = asked.get(pk, (currency, 0))
        if minor > asked_minor or currency != asked_currency:
            over[pk] = from_minor(minor, currency) - from_minor(asked_minor, asked_currency)
    orders = Order.objects.filter(pk__in=over).exclude(canceled_money=Order.CanceledMoney.KEEP)
    return [
        Credit(order, over[order.pk])
        for order in orders.select_related("customer")
        if order.pk in asked or order.status == OrderStatus.CANCELED
    ]


def _by_order(rows: Iterable[tuple[int, str, int]]) -> dict[int, tuple[str, int]]:
    """Return the sums (currency, minor units) by order; an order has one currency, two are a TypeError.

    Integers, not ``Money``, for speed: there is a row for every order ever made, and few have a credit.
    """
    sums: dict[int, tuple[str, int]] = {}
    for order, currency, minor in rows:
        if order in sums:
            raise TypeError(f"order {order}: {sums[order][0]} + {currency}")
        sums[order] = currency, minor
    return sums


def payments_listed(*, first: date | None = None, last: date | None = None, find: str = "") -> QuerySet[Payment]:
    """List payments, the latest first, with order, customer, invoice and whether a row was reversed."""
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
