"""Receivables: open invoices by age, orders without an invoice, customers' credits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

from django.db.models import Case, Count, Exists, F, IntegerField, OuterRef, Q, QuerySet, Sum, Value, When
from djmoney.money import Money

from orders.invoices.models import IS_CHARGE, IS_INVOICE, Invoice, OrderAccount, Payment
from orders.invoices.order_money import sum_of, with_received
from orders.invoices.parts import open_parts, with_parts
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
    return with_open(invoices.select_related("order__customer")).order_by("pay_on", "pk")


def receivables_by_age(*, today: date, currency: str) -> list[Age]:
    """Sum open amounts by age class, all classes in order: one query, two more where an invoice is due in parts.

    Each part has its own age, and its invoice counts in each class that has something of it.
    """
    due = [When(due_on__gte=today - step * _STEP, then=Value(step)) for step in range(len(AGES) - 1)]
    rows = (
        open_invoices()
        .filter(currency=currency, next_on=None)
        .order_by()
        .annotate(age=Case(*due, default=Value(len(AGES) - 1), output_field=IntegerField()))
        .values("age")
        .annotate(documents=Count("pk"), sum=Sum("open"))
        .values_list("age", "documents", "sum")
    )
    found = {age: (documents, amount) for age, documents, amount in rows}
    for invoice in with_parts(open_invoices().filter(currency=currency, next_on__isnull=False)):
        for age, amount in _by_age(invoice, today).items():
            documents, so_far = found.get(age, (0, 0))
            found[age] = (documents + 1, so_far + amount)
    ages = [(code, *found.get(place, (0, 0))) for place, code in enumerate(AGES)]
    return [Age(code, documents, from_minor(amount, currency)) for code, documents, amount in ages]


def _by_age(invoice: WithAnnotations[Invoice, OpenMoney], today: date) -> dict[int, int]:
    """Return what is open of an invoice by the place of its age class."""
    found: dict[int, int] = {}
    for one in open_parts(invoice):
        age = min(-(-max(0, (today - one.due_on).days) // _STEP.days), len(AGES) - 1)
        found[age] = found.get(age, 0) + one.open
    return found


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


def charges_waiting() -> QuerySet[Order]:
    """Return canceled orders of which something is retained that no invoice has charged, the earliest canceled first.

    Those of which nothing is retained are not among them.
    """
    orders = Order.objects.filter(~Exists(_charges()), status=OrderStatus.CANCELED, retained_minor__gt=0)
    return orders.select_related("customer").order_by("canceled_at", "pk")


def _charges(order: str = "pk") -> QuerySet[Invoice]:
    """Return the issued charges of the order that a column of the query around it names."""
    return Invoice.objects.filter(IS_CHARGE, order=OuterRef(order)).exclude(status=InvoiceStatus.DRAFT)


def refunds_due() -> list[Credit]:
    """List what is to be refunded of canceled orders."""
    return [credit for credit in credits_held() if credit.order.canceled_money == Order.CanceledMoney.REFUND]


def credits_held() -> list[Credit]:
    """List customers' credits after an invoice or a cancellation: two queries, of the orders in credit alone.

    A payment before the invoice is no credit, because the invoice will use it. Money that the kitchen retains from a
    canceled order is none either, nor what its terms retain before an invoice charges it. Two currencies of one order
    are two accounts: they are never added.
    """
    accounts: dict[int, list[Money]] = {}
    over = OrderAccount.objects.filter(received_minor__gt=F("asked_minor")).order_by("order_id", "currency")
    rows = over.annotate(charged=Exists(_charges("order_id"))).values_list(
        "order_id", "currency", "received_minor", "asked_minor", "charged", "order__retained_minor"
    )
    for order, currency, received, asked, charged, retained in rows:
        left = received - (asked if charged or retained is None else retained)
        if left > 0:
            accounts.setdefault(order, []).append(from_minor(left, currency))
    issued = Invoice.objects.filter(order=OuterRef("pk")).exclude(status=InvoiceStatus.DRAFT)
    held = Order.objects.filter(Exists(issued) | Q(status=OrderStatus.CANCELED), pk__in=accounts)
    orders = held.exclude(canceled_money=Order.CanceledMoney.KEEP).select_related("customer")
    return [Credit(order, amount) for order in orders for amount in accounts[order.pk]]


def payments_listed(*, first: date | None = None, last: date | None = None, find: str = "") -> QuerySet[Payment]:
    """List payments, the latest first, with order, customer, invoice and whether a row was reversed."""
    payments = Payment.objects.select_related("order__customer", "invoice", "reverses", "reversed_by", "receipt")
    if first:
        payments = payments.filter(received_on__gte=first)
    if last:
        payments = payments.filter(received_on__lte=last)
    if find:
        payments = payments.filter(order__customer__name__icontains=find) | payments.filter(
            order__number__icontains=find
        )
    return payments.order_by("-received_on", "-pk")
