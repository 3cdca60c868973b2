"""All that an order's page shows."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from orders.documents.content import QuoteContent, content_read
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import OrderMoney, order_money
from orders.invoices.selectors import standing_invoice, with_open
from orders.orders.models import Order
from orders.orders.selectors import order_history
from orders.records.models import AuditEntry
from orders.records.states import ORDER_TRANSITIONS, OrderStatus


@dataclass(frozen=True)
class OrderPage:
    """The order's content; money, documents and history only for those who see money."""

    content: QuoteContent
    events: frozenset[str]
    money: OrderMoney | None = None
    documents: Sequence[Invoice] | None = None
    payments: QuerySet[Payment] | None = None
    history: list[tuple[AuditEntry, str]] | None = None
    can_be_invoiced: bool = False
    makes: bool = False
    owner: bool = False


def order_page(order: Order, *, money: bool, makes: bool = False, owner: bool = False) -> OrderPage:
    """Read an order's page: constant queries."""
    content, events = content_read(order.quote.content), frozenset(ORDER_TRANSITIONS[order.status])
    if not money:
        return OrderPage(content, events, makes=makes, owner=owner)
    documents = list(with_open(order.invoices.select_related("credits")).order_by("pk"))
    kept = order.canceled_money == Order.CanceledMoney.KEEP
    return OrderPage(
        content=content,
        events=events,
        money=order_money(order),
        documents=documents,
        payments=order.payments.select_related("invoice", "reverses", "reversed_by"),
        history=order_history(order),
        makes=makes,
        owner=owner,
        can_be_invoiced=(order.status != OrderStatus.CANCELED or kept) and standing_invoice(order) is None,
    )
