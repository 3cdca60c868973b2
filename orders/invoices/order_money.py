"""An order's money: agreed total, deposit, invoiced, credited, received, and the balance."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypedDict

from django.db.models import BigIntegerField, Case, Count, F, OuterRef, Q, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce

from orders.invoices.models import IS_CHARGE, IS_CREDIT_NOTE, IS_INVOICE, Invoice, Payment
from orders.orders.models import Order
from orders.records.states import InvoiceStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


class Received(TypedDict):
    """The annotation added by :func:`with_received`."""

    received: int


@dataclass(frozen=True)
class OrderMoney:
    """Agreed, invoiced and paid amounts of an order; whole minor units.

    ``settled`` is what of the ``credited`` settles changes of the order: the agreed total is without it already.
    ``retained`` is what the kitchen retains of an order canceled by its terms while no invoice has charged it; None of
    every other order, and once it is charged.
    """

    total: int
    deposit: int
    received: int
    invoiced: int
    credited: int
    settled: int = 0
    retained: int | None = None

    @property
    def balance(self) -> int:
        """Invoiced, or retained of a canceled order, less received; a negative balance belongs to the customer."""
        asked = self.invoiced - self.credited if self.retained is None else self.retained
        return asked - self.received

    @property
    def billed(self) -> bool:
        """Whether the balance is what is asked for: of an invoice, or of a cancellation by the terms."""
        return bool(self.invoiced) or self.retained is not None

    @property
    def credit(self) -> int:
        """The customer's credit: money that no document has used."""
        return max(0, -self.balance)

    @property
    def spare(self) -> int:
        """What can be used for another order: the credit; before an invoice what was paid over the agreed total."""
        return self.credit if self.billed else max(0, self.received - (self.total - self.given_back))

    @property
    def unused(self) -> int:
        """The amount a new invoice deducts as paid before (negative when refunds exceed payments)."""
        return self.received + self.credited - self.invoiced

    @property
    def given_back(self) -> int:
        """What was credited of the agreed total, for other reasons than a change."""
        return self.credited - self.settled

    @property
    def agreed_open(self) -> int:
        """The unpaid part of the agreed total."""
        return max(0, self.total - self.given_back - self.received)


def signed_total() -> Case:
    """Return a document's total in SQL; credit notes are negative."""
    is_note = When(IS_CREDIT_NOTE, then=-F("total_minor"))
    return Case(is_note, default=F("total_minor"), output_field=BigIntegerField())


def sign_of(kind: str) -> int:
    """Return how a document's amounts count: those of a credit note below zero."""
    return -1 if kind == Invoice.Kind.CREDIT_NOTE else 1


def order_money(order: Order) -> OrderMoney:
    """Add up an order's documents and payments: two queries."""
    issued = Invoice.objects.filter(order=order).exclude(status=InvoiceStatus.DRAFT)
    sums = issued.aggregate(
        invoiced=Sum("total_minor", filter=IS_INVOICE, default=0),
        credited=Sum("total_minor", filter=IS_CREDIT_NOTE, default=0),
        settled=Sum("total_minor", filter=IS_CREDIT_NOTE & Q(settles__isnull=False), default=0),
        charged=Count("pk", filter=IS_CHARGE),
    )
    retained = None if sums.pop("charged") else order.retained_minor
    received = Payment.objects.filter(order=order).aggregate(all=Sum("amount_minor", default=0))["all"]
    return OrderMoney(order.total_minor, order.deposit_minor, received, **sums, retained=retained)


def sum_of(queryset: QuerySet[Any], field: str, outer: str, ref: str = "pk") -> Coalesce:
    """Return the sum of related rows as a subquery, zero when there are none."""
    rows = queryset.order_by().filter(**{outer: OuterRef(ref)}).values(outer).annotate(sum=Sum(field)).values("sum")
    return Coalesce(Subquery(rows, output_field=BigIntegerField()), Value(0), output_field=BigIntegerField())


def with_received(orders: QuerySet[Order]) -> QuerySet[WithAnnotations[Order, Received]]:
    """Annotate each order with ``received``, the sum of its payments less refunds."""
    return orders.annotate(received=sum_of(Payment.objects.all(), "amount_minor", "order"))
