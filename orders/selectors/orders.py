"""Orders and what was paid for them."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, TypedDict
from zoneinfo import ZoneInfo

from django.db.models import BigIntegerField, Case, F, OuterRef, Q, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce

from catalog.selectors.kitchen import kitchen
from orders.content import QuoteContent, content_read
from orders.models import AuditEntry, Invoice, Order, Payment
from orders.states import InvoiceStatus, OrderStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


class Received(TypedDict):
    """What :func:`with_received` adds."""

    received: int


#: An order that must still be made or handed over.
AHEAD = (OrderStatus.CONFIRMED, OrderStatus.IN_PRODUCTION)


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
    is_note = When(kind=Invoice.Kind.CREDIT_NOTE, then=-F("total_minor"))
    return Case(is_note, default=F("total_minor"), output_field=BigIntegerField())


def order_money(order: Order) -> OrderMoney:
    """Add up an order's documents and payments: two queries."""
    issued = Invoice.objects.filter(order=order).exclude(status=InvoiceStatus.DRAFT)
    sums = issued.aggregate(
        invoiced=Sum("total_minor", filter=Q(kind=Invoice.Kind.INVOICE), default=0),
        credited=Sum("total_minor", filter=Q(kind=Invoice.Kind.CREDIT_NOTE), default=0),
    )
    received = Payment.objects.filter(order=order).aggregate(all=Sum("amount_minor", default=0))["all"]
    return OrderMoney(order.total_minor, order.deposit_minor, received, sums["invoiced"], sums["credited"])


def sum_of(queryset: QuerySet[Any], field: str, outer: str, ref: str = "pk") -> Coalesce:
    """Give the sum of related rows as a subquery, zero when there are none."""
    rows = queryset.order_by().filter(**{outer: OuterRef(ref)}).values(outer).annotate(sum=Sum(field)).values("sum")
    return Coalesce(Subquery(rows, output_field=BigIntegerField()), Value(0), output_field=BigIntegerField())


def with_received(orders: QuerySet[Order]) -> "QuerySet[WithAnnotations[Order, Received]]":
    """Add ``received``: what came in for each order."""
    return orders.annotate(received=sum_of(Payment.objects.all(), "amount_minor", "order"))


def orders_listed(*, which: str = "ahead", find: str = "") -> "QuerySet[WithAnnotations[Order, Received]]":
    """List orders with customer and what came in: ``ahead``, ``behind`` (made, not closed), ``closed``, ``all``."""
    orders = with_received(Order.objects.select_related("customer"))
    statuses = {
        "ahead": AHEAD,
        "behind": (OrderStatus.HANDED_OVER,),
        "closed": (OrderStatus.CLOSED, OrderStatus.CANCELLED),
    }.get(which)
    if statuses:
        orders = orders.filter(status__in=statuses)
    if find:
        orders = orders.filter(Q(number__icontains=find) | Q(title__icontains=find) | Q(customer__name__icontains=find))
    return orders.order_by("window_start", "pk") if which == "ahead" else orders.order_by("-window_start", "-pk")


def content_of_order(order: Order) -> QuoteContent:
    """Read what the customer approved."""
    return content_read(order.quote.content)


_EVENTS = {
    "confirm": "order confirmed",
    "start": "production begun",
    "hand_over": "handed over",
    "close": "order closed",
    "cancel": "order cancelled",
    "note": "note for the kitchen changed",
    "deposit": "deposit recorded",
    "payment": "payment recorded",
    "refund": "refund recorded",
    "draft": "invoice drafted",
    "drop": "draft dropped",
    "issue": "document issued",
    "pay_part": "invoice part paid",
    "pay_all": "invoice paid or credited in full",
    "unpay": "invoice open again",
    "mail sent": "document mailed",
}


def order_history(order: Order) -> list[tuple[AuditEntry, str]]:
    """List who did what to the order and its documents, with words for it."""
    documents = list(order.invoices.values_list("pk", flat=True))
    entries = AuditEntry.objects.filter(
        Q(document="order", document_pk=order.pk) | Q(document="invoice", document_pk__in=documents)
    )
    return [(entry, _EVENTS.get(entry.event, entry.event)) for entry in entries]


def kitchen_zone() -> ZoneInfo:
    """Return the kitchen's time zone."""
    return ZoneInfo(kitchen().time_zone)


def local_day(moment: datetime, zone: ZoneInfo | None = None) -> date:
    """Return the date of a moment where the kitchen is."""
    return moment.astimezone(zone or kitchen_zone()).date()
