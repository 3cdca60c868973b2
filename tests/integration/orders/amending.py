"""Changes of orders for tests, made by the product's services."""

from datetime import datetime, timedelta
from typing import Any

from orders.approvals.models import Approval
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.orders.models import Order
from orders.quotes.amendments.services import amendment_begin
from orders.quotes.draft.dessert_table import table_of
from orders.quotes.draft.services import draft_save
from orders.quotes.models import Quote
from tests.factories import BY, pdf_stored
from tests.integration.orders.builders import YES
from tests.sending import quote_send_seen

#: When a change is begun: a day after the order was confirmed.
BEGUN = YES + timedelta(days=1)
AGREED = BEGUN + timedelta(hours=3)


def amend_begin(order: Order, units: dict[str, int] | None = None, *, at: datetime = BEGUN, **facts: Any) -> Quote:
    """Begin a change, with other units of some products (0 takes one off)."""
    draft = amendment_begin(order_id=order.pk, by=BY, at=at)
    table = table_of(draft)
    for code, count in (units or {}).items():
        table = table.with_line(code, units=count)
    table = type(table)(
        lines=tuple(line for line in table.lines if line.units),
        extras=table.extras,
        discount=facts.get("discount", table.discount),
        rush=table.rush,
    )
    return draft_save(quote_id=draft.pk, table=table, by=BY, at=at)


def amend_send(order: Order, units: dict[str, int] | None = None, *, at: datetime = BEGUN, **facts: Any) -> Quote:
    """Send a change of an order; nothing is approved yet."""
    draft = amend_begin(order, units, at=at, **facts)
    Quote.objects.filter(pk=draft.pk).update(override_reason="a test's price")
    return pdf_stored(quote_send_seen(quote_id=draft.pk, by=BY, at=at))


def agree(quote: Quote, *, at: datetime = AGREED) -> Approval:
    """Approve a change as the customer does."""
    quote.refresh_from_db()
    return quote_approve(
        quote_id=quote.pk, content_sha256=quote.content_sha256, name="Ida Fenwick", evidence=ApprovalEvidence(), at=at
    )


def amend(order: Order, units: dict[str, int] | None = None, *, at: datetime = BEGUN, **facts: Any) -> Order:
    """Change an order, approved by the customer."""
    agree(amend_send(order, units, at=at, **facts), at=at + timedelta(hours=3))
    return Order.objects.get(pk=order.pk)
