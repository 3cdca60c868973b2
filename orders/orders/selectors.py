"""Lists of orders, and the data of an order's page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from django.db.models import Q, QuerySet

from orders.documents.content import QuoteContent, content_read
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import OrderMoney, Received, order_money, with_received
from orders.invoices.selectors import standing_invoice, with_open
from orders.orders.informing import NOBODY_TO_INFORM, Informing, informing
from orders.orders.models import Order
from orders.quotes.draft.allergens import NOTHING_CHANGED, SinceQuote, since_now
from orders.records.models import AuditEntry
from orders.records.states import ORDERS_AHEAD, OrderStatus
from orders.records.transitions import allowed_events

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


def orders_listed(*, which: str = "ahead", find: str = "") -> QuerySet[WithAnnotations[Order, Received]]:
    """List orders with customer and what came in: ``ahead``, ``behind`` (made, not closed), ``closed``, ``all``."""
    orders = with_received(Order.objects.select_related("customer"))
    statuses = {
        "ahead": ORDERS_AHEAD,
        "behind": (OrderStatus.DELIVERED,),
        "closed": (OrderStatus.CLOSED, OrderStatus.CANCELED),
    }.get(which)
    if statuses:
        orders = orders.filter(status__in=statuses)
    if find:
        orders = orders.filter(Q(number__icontains=find) | Q(title__icontains=find) | Q(customer__name__icontains=find))
    return orders.order_by("window_start", "pk") if which == "ahead" else orders.order_by("-window_start", "-pk")


#: Statuses of orders of which somebody may still eat.
_EATEN_YET: Final = (*ORDERS_AHEAD, OrderStatus.DELIVERED)


@dataclass(frozen=True)
class OrderPage:
    """The order's content; money, documents and history only for those who see money."""

    content: QuoteContent
    events: frozenset[str]
    since: SinceQuote = NOTHING_CHANGED
    informing: Informing = NOBODY_TO_INFORM
    money: OrderMoney | None = None
    documents: Sequence[Invoice] | None = None
    payments: QuerySet[Payment] | None = None
    history: QuerySet[AuditEntry] | None = None
    can_be_invoiced: bool = False


def order_page(order: Order, *, money: bool) -> OrderPage:
    """Return the data of an order's page in a fixed number of queries."""
    content, events = content_read(order.quote.content), allowed_events(order)
    since = since_now([(content, order.quote.inquiry)])[0] if order.status in _EATEN_YET else NOTHING_CHANGED
    known = informing({order.pk: since})[order.pk]
    if not money:
        return OrderPage(content, events, since, known)
    documents = list(with_open(order.invoices.select_related("credits")).order_by("pk"))
    money_retained = order.canceled_money == Order.CanceledMoney.KEEP
    return OrderPage(
        content=content,
        events=events,
        since=since,
        informing=known,
        money=order_money(order),
        documents=documents,
        payments=order.payments.select_related("invoice", "reverses", "reversed_by"),
        history=order_history(order),
        can_be_invoiced=(order.status != OrderStatus.CANCELED or money_retained) and standing_invoice(order) is None,
    )


def order_history(order: Order) -> QuerySet[AuditEntry]:
    """Return who did what to the order and its documents, the earliest first."""
    documents = list(order.invoices.values_list("pk", flat=True))
    return AuditEntry.objects.filter(
        Q(document="order", document_pk=order.pk) | Q(document="invoice", document_pk__in=documents)
    )
