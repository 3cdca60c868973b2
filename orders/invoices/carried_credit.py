"""A customer's credit of one order used for another of theirs: a refund there, a payment here, of one day."""

from datetime import datetime
from typing import Any, Final

from django.db import transaction

from catalog.kitchen.selectors import local_day
from orders.invoices.models import Payment
from orders.invoices.order_money import OrderMoney, order_money
from orders.invoices.payments import payment_add
from orders.orders.models import Order
from orders.records.cancel_errors import CreditGone
from orders.records.money import from_minor
from orders.records.states import ORDERS_AHEAD, OrderStatus

#: Statuses of orders that credit can be used for.
_USABLE: Final = (*ORDERS_AHEAD, OrderStatus.DELIVERED)


def spare_of(order: Order, money: OrderMoney) -> int:
    """Return what of an order's money can be used for another; nothing that the kitchen keeps by its terms."""
    if order.canceled_money == Order.CanceledMoney.KEEP:
        return 0
    return money.credit if order.canceled_at else money.spare


def open_of(money: OrderMoney) -> int:
    """Return what is not paid of an order."""
    return max(0, money.balance) if money.billed else money.agreed_open


def carried_to(order: Order) -> list[tuple[Order, int]]:
    """Return the customer's other orders that can use credit of one, and what is not paid of each."""
    others = Order.objects.filter(customer=order.customer_id, currency=order.currency).exclude(pk=order.pk)
    found = [(one, open_of(order_money(one))) for one in others.filter(status__in=_USABLE)]
    return [(one, left) for one, left in found if left]


@transaction.atomic(durable=True)
def credit_carry(
    *, order_id: int, to_id: int, amount_minor: int, idempotency_key: str, by: str, at: datetime
) -> Payment:
    """Use an order's credit for another order of its customer; return the payment there.

    With an idempotency key that was used before, what was recorded with it is returned.

    Raises
    ------
    Order.DoesNotExist
        If one of them is not there, or they are of two customers or currencies.
    CreditGone
        If it is more than is left of the credit, or than is not paid of the other order.
    """
    # Both are locked, in the order of their keys: nobody pays or carries meanwhile.
    rows = Order.objects.select_for_update(of=("self",)).select_related("customer", "quote")
    orders = {order.pk: order for order in rows.filter(pk__in=[order_id, to_id]).order_by("pk")}
    known = Payment.objects.filter(idempotency_key=idempotency_key).first()
    if known is not None:
        return known.carried_to.order_by("pk")[0]
    source, target = orders.get(order_id), orders.get(to_id)
    if source is None or target is None or not _theirs(source, target):
        raise Order.DoesNotExist
    most = min(spare_of(source, order_money(source)), open_of(order_money(target)))
    if not 0 < amount_minor <= most:
        facts = {"order": source.number, "other": target.number}
        raise CreditGone(most=from_minor(most, source.currency), **facts)
    common: dict[str, Any] = {"method": Payment.Method.CREDIT, "received_on": local_day(at)}
    common |= {"recorded_by": by, "recorded_at": at}
    back = {"kind": Payment.Kind.REFUND, "amount_minor": -amount_minor, "reference": target.number}
    refund = payment_add(source, common | back, idempotency_key)
    paid = {"kind": Payment.Kind.PAYMENT, "amount_minor": amount_minor, "reference": source.number}
    return payment_add(target, common | paid | {"carried_from": refund}, f"carried-{refund.pk}")


def _theirs(source: Order, target: Order) -> bool:
    same = source.customer_id == target.customer_id and source.currency == target.currency
    return same and source.pk != target.pk and target.status in _USABLE
