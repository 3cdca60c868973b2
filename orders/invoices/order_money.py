"""An order's money: what was agreed, the deposit, what was invoiced and credited, what came in, and the balance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from django.db.models import BigIntegerField, Case, F, OuterRef, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce

from orders.invoices.models import IS_CREDIT_NOTE, IS_INVOICE, Invoice, Payment
from orders.orders.models import Order
from orders.records.states import InvoiceStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


class Received(TypedDict):
    """What :func:`with_received` adds."""

    received: int


@dataclass(frozen=True)
class OrderMoney:
    """What was agreed, invoiced and paid for an order; whole minor units."""

    total: int
    deposit: int
    received: int
    invoiced: int
    credited: int

    @property
    def balance(self) -> int:
        """What the documents ask for less what came in: below zero is the customer's."""
        return self.invoiced - self.credited - self.received

    @property
    def credit(self) -> int:
        """What the customer has to their credit: money no document has used."""
        return max(0, -self.balance)

    @property
    def unused(self) -> int:
        """What a new invoice takes off as paid before (below zero when more went back than came in)."""
        return -self.balance

    @property
    def deposit_open(self) -> int:
        """What is missing of the deposit."""
        return max(0, self.deposit - self.received)

    @property
    def agreed_open(self) -> int:
        """What is missing of all that was agreed."""
        return max(0, self.total - self.credited - self.received)


def signed_total() -> Case:
    """Give a document's total in SQL: credit notes count below zero."""
    is_note = When(IS_CREDIT_NOTE, then=-F("total_minor"))
    return Case(is_note, default=F("total_minor"), output_field=BigIntegerField())


def order_money(order: Order) -> OrderMoney:
    """Add up an order's documents and payments: two queries."""
    issued = Invoice.objects.filter(order=order).exclude(status=InvoiceStatus.DRAFT)
    sums = issued.aggregate(
        invoiced=Sum("total_minor", filter=IS_INVOICE, default=0),
        credited=Sum("total_minor", filter=IS_CREDIT_NOTE, default=0),
    )
    received = Payment.objects.filter(order=order).aggregate(all=Sum("amount_minor", default=0))["all"]
    return OrderMoney(order.total_minor, order.deposit_minor, received, sums["invoiced"], sums["credited"])


def sum_of(queryset: QuerySet[Any], field: str, outer: str, ref: str = "pk") -> Coalesce:
    """Give the sum of related rows as a subquery, zero when there are none."""
    rows = queryset.order_by().filter(**{outer: OuterRef(ref)}).values(outer).annotate(sum=Sum(field)).values("sum")
    return Coalesce(Subquery(rows, output_field=BigIntegerField()), Value(0), output_field=BigIntegerField())


def with_received(orders: QuerySet[Order]) -> QuerySet[WithAnnotations[Order, Received]]:
    """Add ``received``: what came in for each order."""
    return orders.annotate(received=sum_of(Payment.objects.all(), "amount_minor", "order"))
