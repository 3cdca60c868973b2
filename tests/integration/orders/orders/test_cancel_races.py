"""An order is canceled by its terms while somebody pays, cancels it too or approves a change: one order of events."""

from typing import Any

import pytest

from catalog.kitchen.models import Kitchen
from catalog.taxes.models import TaxCategory
from orders.documents.content import content_read
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import order_money
from orders.orders.cancel_services import Decision, order_cancel_by_terms
from orders.orders.canceling import canceling
from orders.orders.models import Order
from orders.records.cancel_errors import CancelingChanged
from orders.records.errors import TransitionNotAllowed
from orders.records.states import OrderStatus
from tests.factories import BY, kitchen_make
from tests.integration.orders.amending import AGREED, agree, amend_send
from tests.integration.orders.builders import order_make, pay
from tests.integration.orders.quotes.amendments.test_amendment_races import both, in_force

pytestmark = pytest.mark.django_db(transaction=True)


def order() -> Order:
    """Return an order of which half is retained from 60 days before the event on."""
    kitchen_make(cancellation_table=[{"days": 60, "share": "0.5"}])
    Kitchen.objects.update(cancellation_tax=TaxCategory.objects.order_by("pk").first())
    return order_make()


def canceler(order: Order, *, seen: str = "") -> Any:
    decision = Decision(by="customer", reason="Off", seen=seen)
    return lambda: order_cancel_by_terms(order_id=order.pk, decision=decision, by=BY, at=AGREED)


def agrees(order: Order) -> Order:
    """Return a canceled order as it is now, once what is retained is seen to follow from what was in force."""
    order = in_force(order)
    assert order.status == OrderStatus.CANCELED
    assert order.retained_minor == round((order.total_minor + 0.1) / 2)
    assert Invoice.objects.get(order=order).total_minor == order.retained_minor
    money = order_money(order)
    assert money.balance == order.retained_minor - money.received
    return order


def test_a_payment_beside_the_cancellation_counts_against_what_is_retained() -> None:
    found = order()
    both(canceler(found), lambda: pay(found, 5000, "deposit", at=AGREED, idempotency_key="once"))
    assert Payment.objects.get().amount_minor == 5000
    assert order_money(agrees(found)).received == 5000


def test_by_what_was_shown_before_a_payment_nothing_is_decided() -> None:
    found = order()
    seen = canceling(found, at=AGREED).mark  # type: ignore[union-attr]  # it has a table
    refused, _ = both(canceler(found, seen=seen), lambda: pay(found, 5000, "deposit", at=AGREED))
    if isinstance(refused, CancelingChanged):
        assert Order.objects.get().status == OrderStatus.CONFIRMED
    else:
        agrees(found)


def test_of_two_cancellations_one_is_refused() -> None:
    found = order()
    outcomes = both(canceler(found), canceler(found))
    assert sum(isinstance(one, TransitionNotAllowed) for one in outcomes) == 1
    agrees(found)


def test_of_canceling_and_approving_a_change_one_is_first() -> None:
    found = order()
    line = content_read(found.quote.content).lines[0]
    sent = amend_send(found, {line.product: line.units + 12})
    both(lambda: agree(sent), canceler(found))
    assert agrees(found).event_in_force is None
