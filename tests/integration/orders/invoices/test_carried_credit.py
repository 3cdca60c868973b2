"""Credit of one order used for another of the same customer: a refund there, a payment here, reversed together."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from orders.inquiries.models import Customer
from orders.invoices.carried_credit import carried_to, credit_carry, spare_of
from orders.invoices.models import Payment
from orders.invoices.order_money import order_money
from orders.invoices.payments import payment_reverse
from orders.orders.models import Order
from orders.orders.services import order_cancel
from orders.records.cancel_errors import CreditGone
from orders.records.errors import AlreadyReversed
from tests.factories import BY
from tests.integration.catalog.kitchen_pages import signed_in, text
from tests.integration.orders.builders import LATER, invoice_make, order_make, pay
from tests.refusals import refused
from tests.rules_aside import rules_aside

pytestmark = pytest.mark.django_db


@pytest.fixture
def orders() -> tuple[Order, Order]:
    """Two orders of one customer; more than the first one's total was paid for it: 20.00 more."""
    first, second = order_make(), order_make()
    pay(first, first.total_minor + 2_000)
    return first, second


def carry(source: Order, target: Order, amount_minor: int, **facts: Any) -> Payment:
    """Use credit of an order for another."""
    values: dict[str, Any] = {"idempotency_key": "k" * 32, "by": BY, "at": LATER}
    return credit_carry(order_id=source.pk, to_id=target.pk, amount_minor=amount_minor, **{**values, **facts})


def test_what_is_over_is_used_once_for_another_order(orders: tuple[Order, Order]) -> None:
    first, second = orders
    assert spare_of(first, order_money(first)) == 2_000
    assert [(one.pk, left) for one, left in carried_to(first)] == [(second.pk, second.total_minor)]
    paid = carry(first, second, 1_500)
    assert carry(first, second, 1_500) == paid, "the same form sent twice"
    assert (paid.order, paid.amount_minor, paid.reference, paid.method) == (second, 1_500, first.number, "97")
    assert (order_money(first).received, order_money(second).received) == (first.total_minor + 500, 1_500)
    assert Payment.objects.filter(method="97").count() == 2
    assert paid.receipt.amount_minor == 1_500


@pytest.mark.parametrize("amount", [0, -1, 2_001])
def test_no_more_than_the_credit_is_used(orders: tuple[Order, Order], amount: int) -> None:
    with refused(CreditGone, match=r"At most \$20\.00 of order"):
        carry(*orders, amount)
    assert not Payment.objects.filter(method="97").exists()


def test_no_more_than_is_not_paid_there_and_only_for_the_same_customer(orders: tuple[Order, Order]) -> None:
    first, second = orders
    pay(second, second.total_minor - 700)
    with refused(CreditGone, match=r"At most \$7\.00 of order"):
        carry(first, second, 701)
    stranger = order_make()
    with rules_aside():
        Order.objects.filter(pk=stranger.pk).update(
            customer=Customer.objects.create(name="Somebody Else", created_at=LATER)
        )
    for target in (stranger, first):
        with pytest.raises(Order.DoesNotExist):
            carry(first, target, 100)


def test_a_payment_that_the_invoice_will_use_is_no_credit_yet(orders: tuple[Order, Order]) -> None:
    first, second = orders
    assert spare_of(second, order_money(second)) == 0
    pay(second, second.deposit_minor, "deposit")
    assert spare_of(second, order_money(second)) == 0
    invoice_make(first)
    assert spare_of(first, order_money(first)) == 2_000


def test_money_of_a_canceled_order_is_used_unless_the_kitchen_keeps_it(orders: tuple[Order, Order]) -> None:
    first, second = orders
    order_cancel(order_id=first.pk, reason="Off.", money=Order.CanceledMoney.CREDIT, by=BY, at=LATER)
    first.refresh_from_db()
    whole = first.total_minor + 2_000
    assert spare_of(first, order_money(first)) == whole
    carry(first, second, 5_000)
    assert spare_of(first, order_money(first)) == whole - 5_000
    first.canceled_money = Order.CanceledMoney.KEEP
    assert spare_of(first, order_money(first)) == 0


def test_what_was_carried_is_reversed_on_both_sides(orders: tuple[Order, Order]) -> None:
    first, second = orders
    before = [order_money(one).received for one in orders]
    paid = carry(first, second, 1_500)
    payment_reverse(payment_id=paid.pk, note="for the other order", by=BY, at=LATER)
    assert [order_money(one).received for one in orders] == before
    refund = Payment.objects.get(pk=paid.carried_from_id)
    for one in (paid, refund):
        with pytest.raises(AlreadyReversed):
            payment_reverse(payment_id=one.pk, note="again", by=BY, at=LATER)


def test_the_owner_uses_it_from_the_orders_page(orders: tuple[Order, Order]) -> None:
    first, second = orders
    owner: Client = signed_in("owner")
    assert "Use the credit for another order" in text(owner.get(reverse("order", args=[first.pk])))
    assert "Use the credit for another order" not in text(owner.get(reverse("order", args=[second.pk])))
    address = reverse("order-carry", args=[first.pk])
    page = text(owner.get(address))
    assert "$20.00" in page
    assert second.number in page
    answer = owner.post(address, {"to": second.pk, "amount": "30", "idempotency_key": "p" * 32})
    assert "At most $20.00" in text(answer)
    answer = owner.post(address, {"to": second.pk, "amount": "20", "idempotency_key": "p" * 32}, follow=True)
    assert f"$20.00 used for order {second.number}." in text(answer)
    assert "This order has no credit." in text(owner.get(address))
