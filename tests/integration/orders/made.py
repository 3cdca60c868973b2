"""Orders, invoices and payments for tests, brought about by the services that make them in life."""

from datetime import datetime, timedelta
from typing import Any

from django.utils.crypto import get_random_string

from catalog.models import Kitchen
from orders.models import Invoice, Order, Payment, Quote
from orders.services.answers import Witness, quote_approve
from orders.services.credit_notes import credit_note_issue
from orders.services.invoices import invoice_draft, invoice_issue
from orders.services.payments import payment_record
from orders.services.quotes import quote_send
from tests.factories import BY, NOW, draft_make, kitchen_make

#: When the customer said yes: two days after the enquiry.
YES = NOW + timedelta(days=2)
LATER = YES + timedelta(days=20)


def order_make(*, at: datetime = YES, **facts: Any) -> Order:
    """Return the order of an approved quote; makes the small kitchen when there is none."""
    if not Kitchen.objects.exists():
        kitchen_make()
    quote = draft_make(**facts)
    Quote.objects.filter(pk=quote.pk).update(valid_until=at + timedelta(days=7), override_reason="a test's price")
    sent = quote_send(quote_id=quote.pk, by=BY, at=at - timedelta(hours=1))
    quote_approve(quote_id=sent.pk, content_sha256=sent.content_sha256, name="Ida Fenwick", witness=Witness(), at=at)
    return Order.objects.get(quote=sent)


def pay(order: Order, amount_minor: int, kind: str = "payment", *, at: datetime = LATER, **facts: Any) -> Payment:
    """Record money on an order."""
    values: dict[str, Any] = {
        "method": "30",
        "received_on": at.date(),
        "once": get_random_string(32),
        "by": BY,
        "at": at,
    }
    return payment_record(order_id=order.pk, kind=kind, amount_minor=amount_minor, **{**values, **facts})


def invoice_make(order: Order, *, at: datetime = LATER, mail: bool = False) -> Invoice:
    """Draft and issue an order's invoice."""
    draft = invoice_draft(order_id=order.pk, by=BY, at=at)
    return invoice_issue(invoice_id=draft.pk, mail=mail, by=BY, at=at)


def credit(invoice: Invoice, amounts: dict[int, int] | None = None, *, at: datetime = LATER, **facts: Any) -> Invoice:
    """Issue a credit note."""
    values: dict[str, Any] = {"reason": "Twelve tarts arrived broken.", "once": get_random_string(32), "by": BY}
    return credit_note_issue(invoice_id=invoice.pk, amounts=amounts, at=at, **{**values, **facts})
