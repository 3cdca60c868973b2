"""Orders as lists and their history."""

from typing import TYPE_CHECKING

from django.db.models import Q, QuerySet

from orders.orders.models import Order
from orders.records.models import AuditEntry
from orders.records.states import OrderStatus

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations
from orders.invoices.order_money import Received, with_received

#: An order that must still be made or handed over.
AHEAD = (OrderStatus.CONFIRMED, OrderStatus.IN_PRODUCTION)


def orders_listed(*, which: str = "ahead", find: str = "") -> "QuerySet[WithAnnotations[Order, Received]]":
    """List orders with customer and what came in: ``ahead``, ``behind`` (made, not closed), ``closed``, ``all``."""
    orders = with_received(Order.objects.select_related("customer"))
    statuses = {
        "ahead": AHEAD,
        "behind": (OrderStatus.DELIVERED,),
        "closed": (OrderStatus.CLOSED, OrderStatus.CANCELED),
    }.get(which)
    if statuses:
        orders = orders.filter(status__in=statuses)
    if find:
        orders = orders.filter(Q(number__icontains=find) | Q(title__icontains=find) | Q(customer__name__icontains=find))
    return orders.order_by("window_start", "pk") if which == "ahead" else orders.order_by("-window_start", "-pk")


_EVENTS = {
    "confirm": "order confirmed",
    "start": "production begun",
    "deliver": "handed over",
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
