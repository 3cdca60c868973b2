"""An approval makes an order; it is made, handed over, closed, or canceled with a decision about the money."""

from datetime import timedelta

import pytest

from catalog.kitchen.selectors import local_day
from orders.documents.content import content_read
from orders.invoices.order_money import order_money
from orders.orders.models import Order
from orders.orders.services import order_cancel, order_close, order_deliver, order_note, order_start
from orders.records.errors import DecideTheMoney, NotInvoiced, NotPaid, TransitionNotAllowed
from orders.records.models import AuditEntry
from tests.factories import BY
from tests.integration.orders.builders import LATER, YES, invoice_make, order_make, pay
from tests.refusals import refused

pytestmark = pytest.mark.django_db


def test_an_approval_makes_the_order_that_was_agreed() -> None:
    order = order_make()
    content = content_read(order.quote.content)
    assert order.number == "O-00001"
    assert order.status == "confirmed"
    assert (order.total_minor, order.deposit_minor) == (content.total_minor, content.deposit_minor)
    assert order.deposit_due_on == local_day(YES) + timedelta(days=content.deposit_days)
    lines = [(line.product.code, line.name, line.units) for line in order.lines.select_related("product")]
    assert lines == [(line.product, line.name, line.units) for line in content.lines]


def test_a_late_evening_approval_counts_its_days_where_the_kitchen_is() -> None:
    evening = YES.replace(hour=23, minute=30)  # already the next day in UTC
    order = order_make(at=evening)
    days = content_read(order.quote.content).deposit_days
    assert order.deposit_due_on == evening.date() + timedelta(days=days)


def test_a_product_whose_code_changed_since_is_found_by_the_quotes_line() -> None:
    from catalog.products.models import Product
    from orders.approvals.services import ApprovalEvidence, quote_approve
    from orders.quotes.models import Quote
    from orders.quotes.send.services import quote_send
    from tests.factories import draft_make, kitchen_make

    kitchen_make()
    quote = draft_make()
    Quote.objects.filter(pk=quote.pk).update(valid_until=YES + timedelta(days=7), override_reason="a test's price")
    sent = quote_send(quote_id=quote.pk, by=BY, at=YES)
    tart = Product.objects.get(code="custard-tart")
    Product.objects.filter(pk=tart.pk).update(code="custard-tart-2")
    quote_approve(quote_id=sent.pk, content_sha256=sent.content_sha256, name="Ida", evidence=ApprovalEvidence(), at=YES)
    assert tart.pk in set(Order.objects.get(quote=sent).lines.values_list("product_id", flat=True))


def test_it_is_made_delivered_and_closed_when_paid() -> None:
    order = order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    order_deliver(order_id=order.pk, note="Taken by the venue.", by=BY, at=LATER)
    with pytest.raises(NotInvoiced):
        order_close(order_id=order.pk, by=BY, at=LATER)
    invoice = invoice_make(order)
    pay(order, invoice.due_minor - 1)
    with refused(NotPaid, match=r"\$0\.01 is open"):
        order_close(order_id=order.pk, by=BY, at=LATER)
    pay(order, 1)
    assert order_close(order_id=order.pk, by=BY, at=LATER).status == "closed"
    events = AuditEntry.objects.filter(document="order", document_pk=order.pk).values_list("event", flat=True)
    assert list(events) == ["confirm", "start", "deliver", "payment", "payment", "close"]


def test_it_cannot_be_started_twice_or_canceled_after_hand_over() -> None:
    order = order_make()
    order_start(order_id=order.pk, by=BY, at=LATER)
    with pytest.raises(TransitionNotAllowed):
        order_start(order_id=order.pk, by=BY, at=LATER)
    order_deliver(order_id=order.pk, by=BY, at=LATER)
    with pytest.raises(TransitionNotAllowed):
        order_cancel(order_id=order.pk, reason="too late", by=BY, at=LATER)


def test_cancelling_without_money_needs_no_decision() -> None:
    order = order_cancel(order_id=order_make().pk, reason="The wedding is off.", by=BY, at=LATER)
    assert (order.status, order.canceled_money) == ("canceled", "")


def test_money_that_came_in_is_decided_on_before_an_order_is_canceled() -> None:
    order = order_make()
    pay(order, order.deposit_minor, "deposit")
    with refused(DecideTheMoney, match="came in for O-00001"):
        order_cancel(order_id=order.pk, reason="The wedding is off.", by=BY, at=LATER)
    assert Order.objects.get(pk=order.pk).status == "confirmed"
    order_cancel(order_id=order.pk, reason="The wedding is off.", money="refund", by=BY, at=LATER)
    assert order_money(order).credit == order.deposit_minor
    pay(order, order.deposit_minor, "refund")
    assert order_money(order).received == 0


def test_the_note_for_the_kitchen_is_kept_with_who_wrote_it() -> None:
    order = order_make()
    order_note(order_id=order.pk, note="No candles.", by="kim", at=LATER)
    order_note(order_id=order.pk, note="No candles.", by="kim", at=LATER)
    assert Order.objects.get(pk=order.pk).note == "No candles."
    assert AuditEntry.objects.filter(event="note", by="kim").count() == 1
