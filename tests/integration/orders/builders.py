"""Orders, invoices and payments for tests, created by the product's services."""

from collections.abc import Collection
from datetime import datetime, timedelta
from typing import Any

from catalog.kitchen.models import Kitchen
from orders.approvals.services import ApprovalEvidence, quote_approve
from orders.invoices.credit_notes import credit_note_issue
from orders.invoices.models import Invoice, Payment
from orders.invoices.payments import payment_record
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.quotes.models import Quote
from tests.cooling_kitchen import override_make
from tests.factories import BY, NOW, draft_make, kitchen_make, pdf_stored
from tests.remembered import next_key, remembered
from tests.sending import own_read, quote_send_seen, shares_nothing

#: When the customer approved: two days after the inquiry.
YES = NOW + timedelta(days=2)
LATER = YES + timedelta(days=20)


@remembered
def order_make(*, at: datetime = YES, unchecked: Collection[str] = (), **facts: Any) -> Order:
    """Return the order of an approved quote, sent with what is ``unchecked``; makes the small kitchen without one.

    What breaks the cooling rule only together with other orders is not asked: it came, or changed, after the approval.
    """
    if not Kitchen.objects.exists():
        kitchen_make()
    quote = draft_make(**facts)
    # Of an event that is near the usual days end before the work begins.
    near = quote.inquiry.window_start - at < timedelta(days=14)
    valid_until = None if near else at + timedelta(days=7)
    Quote.objects.filter(pk=quote.pk).update(valid_until=valid_until, override_reason="a test's price")
    override_make(quote)
    with shares_nothing():
        sent = pdf_stored(quote_send_seen(quote_id=quote.pk, by=BY, at=at - timedelta(hours=1), unchecked=unchecked))
        evidence, digest = ApprovalEvidence(), sent.content_sha256
        quote_approve(quote_id=sent.pk, content_sha256=digest, name="Ida Fenwick", evidence=evidence, at=at)
    return Order.objects.get(quote=sent)


def pay(order: Order, amount_minor: int, kind: str = "payment", *, at: datetime = LATER, **facts: Any) -> Payment:
    """Record money on an order."""
    values: dict[str, Any] = {
        "method": "30",
        "received_on": at.date(),
        "idempotency_key": next_key(Payment),
        "by": BY,
        "at": at,
    }
    return payment_record(order_id=order.pk, kind=kind, amount_minor=amount_minor, **{**values, **facts})


@remembered
def invoice_make(order: Order, *, at: datetime = LATER, mail: bool = False) -> Invoice:
    """Draft and issue an order's invoice."""
    draft = invoice_draft(order_id=order.pk, by=BY, at=at)
    return invoice_issue(invoice_id=draft.pk, mail=mail, by=BY, at=at)


def credit(invoice: Invoice, amounts: dict[int, int] | None = None, *, at: datetime = LATER, **facts: Any) -> Invoice:
    """Issue a credit note."""
    values: dict[str, Any] = {
        "reason": "Twelve tarts arrived broken.",
        "idempotency_key": next_key(Invoice),
        "by": BY,
    }
    values["read"] = own_read(invoice.order.quote, facts.get("reason", values["reason"]))
    return credit_note_issue(invoice_id=invoice.pk, amounts=amounts, at=at, **{**values, **facts})
