"""A change is approved while somebody pays, cancels, approves it too or begins production: one order of events."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from threading import Barrier
from typing import Any

import pytest
from django.db import connections

from orders.documents.content import content_read
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import order_money
from orders.invoices.services import invoice_draft, invoice_issue
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.quotes.models import Quote
from orders.quotes.send.services import quote_withdraw
from orders.records.errors import OrderError
from orders.records.states import OrderStatus, QuoteStatus
from tests.factories import BY
from tests.integration.orders.amending import AGREED, agree, amend_send
from tests.integration.orders.builders import order_make, pay

pytestmark = pytest.mark.django_db(transaction=True)


def both(*works: Callable[[], Any]) -> list[Any]:
    """Do several things in threads that start together; a refusal is an outcome."""
    start = Barrier(len(works))

    def one(work: Callable[[], Any]) -> Any:
        try:
            start.wait(timeout=120)
            return work()
        except OrderError as refusal:
            return refusal
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(one, works))


def sent_change() -> tuple[Order, Quote]:
    order = order_make()
    line = content_read(order.quote.content).lines[0]
    return order, amend_send(order, {line.product: line.units + 12})


def in_force(order: Order) -> Order:
    """Return the order as it is now, once everything of it is seen to agree."""
    order = Order.objects.select_related("quote").get(pk=order.pk)
    content = content_read(order.quote.content)
    assert order.quote.status == QuoteStatus.APPROVED
    assert Quote.objects.filter(number=order.quote.number, status=QuoteStatus.APPROVED).count() == 1
    assert [one.units for one in order.lines.all()] == [one.units for one in content.lines]
    assert order.total_minor == content.total_minor
    return order


def test_two_approvals_of_a_change_are_one() -> None:
    order, sent = sent_change()
    found = both(lambda: agree(sent), lambda: agree(sent), lambda: agree(sent))
    assert len({one.pk for one in found}) == 1
    assert in_force(order).quote == sent


def test_a_payment_beside_the_approval_stays_with_the_order() -> None:
    order, sent = sent_change()
    both(lambda: agree(sent), lambda: pay(order, 5000, "deposit", at=AGREED, idempotency_key="once"))
    assert Payment.objects.get().amount_minor == 5000
    assert order_money(in_force(order)).received == 5000


def test_an_invoice_beside_the_approval_bills_what_was_in_force_for_it() -> None:
    order, sent = sent_change()
    first = order.total_minor

    def invoice() -> Any:
        draft = invoice_draft(order_id=order.pk, by=BY, at=AGREED)
        return invoice_issue(invoice_id=draft.pk, by=BY, at=AGREED)

    _, issued = both(lambda: agree(sent), invoice_or_gone(invoice))
    order = in_force(order)
    assert order.quote == sent
    if issued is not None:
        assert issued.total_minor in (first, order.total_minor)


def invoice_or_gone(invoice: Callable[[], Any]) -> Callable[[], Any]:
    """Issue an invoice, unless its draft was discarded because the order was changed at that moment."""

    def work() -> Any:
        try:
            return invoice()
        except Invoice.DoesNotExist:
            return None

    return work


def test_of_canceling_and_approving_a_change_one_is_first() -> None:
    order, sent = sent_change()

    def cancel() -> Order:
        return order_cancel(order_id=order.pk, reason="Off", by=BY, at=AGREED)

    both(lambda: agree(sent), cancel)
    order, sent = in_force(order), Quote.objects.get(pk=sent.pk)
    assert order.status == OrderStatus.CANCELED
    assert (sent.status == QuoteStatus.APPROVED) == (order.quote == sent)
    assert sent.status in (QuoteStatus.APPROVED, QuoteStatus.WITHDRAWN)
    assert order.event_in_force is None


def test_of_withdrawing_and_approving_a_change_one_is_refused() -> None:
    order, sent = sent_change()
    later = AGREED + timedelta(minutes=1)
    found = both(lambda: agree(sent), lambda: quote_withdraw(quote_id=sent.pk, by=BY, at=later))
    assert sum(isinstance(one, OrderError) for one in found) == 1
    in_force(order)
