"""Payments and refunds. A row is never changed: a mistake is reversed by another row."""

from datetime import date, datetime
from typing import Any

from django.db import IntegrityError, transaction

from orders.invoices.mails import payment_mail_ask
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import order_money
from orders.invoices.running_sums import payment_counted
from orders.invoices.selectors import standing_invoice
from orders.invoices.services import settle
from orders.orders.models import Order
from orders.records.errors import AlreadyReversed, RecordedBefore, TooMuchBack
from orders.records.money import from_minor
from orders.records.transitions import audit


@transaction.atomic(durable=True)
def payment_record(
    *,
    order_id: int,
    kind: str,
    method: str,
    amount_minor: int,
    received_on: date,
    reference: str = "",
    note: str = "",
    idempotency_key: str,
    confirm: bool = False,
    by: str,
    at: datetime,
) -> Payment:
    """Record a deposit, a payment or a refund; the amount is above zero for all three.

    With ``confirm`` the customer gets a mail that confirms it, where there is an address.

    A payment after the invoice was issued belongs to the invoice; earlier payments are deducted when it is issued. With
    an idempotency key that was used before, the row recorded with it is returned.

    Raises
    ------
    TooMuchBack
        When a refund exceeds the customer's credit.
    RecordedBefore
        When the key was used for another payment: somebody went back to a submitted form and changed it.
    """
    order = Order.objects.select_for_update().select_related("customer").get(pk=order_id)
    money = {"kind": kind, "method": method, "amount_minor": _signed(kind, amount_minor), "received_on": received_on}
    known = Payment.objects.filter(idempotency_key=idempotency_key).first()
    if known is not None:
        return _same(known, order, money)
    if kind == Payment.Kind.REFUND:
        _may_go_back(order, amount_minor)
    details: dict[str, Any] = {"reference": reference, "note": note, "idempotency_key": idempotency_key}
    details |= {"recorded_at": at, "recorded_by": by}
    payment = _added(Payment(order=order, invoice=standing_invoice(order), currency=order.currency, **money, **details))
    _audit_and_settle(payment, by=by, at=at)
    if confirm:
        payment_mail_ask(payment, at=at)
    return payment


def _signed(kind: str, amount_minor: int) -> int:
    return -amount_minor if kind == Payment.Kind.REFUND else amount_minor


def _same(known: Payment, order: Order, money: dict[str, Any]) -> Payment:
    """Return the row recorded with the same form, unless its values differ."""
    if known.order_id != order.pk or any(getattr(known, name) != value for name, value in money.items()):
        raise RecordedBefore(amount=from_minor(known.amount_minor, known.currency))
    return known


def _may_go_back(order: Order, amount_minor: int) -> None:
    credit = order_money(order).credit
    if amount_minor > credit:
        raise TooMuchBack(most=from_minor(credit, order.currency), customer=order.customer.name, order=order.number)


def _added(payment: Payment) -> Payment:
    """Add the row; if the same form was sent twice at the same moment, return the first row."""
    try:
        with transaction.atomic():
            payment.save(force_insert=True)
            payment_counted(payment)
    except IntegrityError:
        return Payment.objects.get(idempotency_key=payment.idempotency_key)
    return payment


def _audit_and_settle(payment: Payment, *, by: str, at: datetime) -> None:
    params = {"amount_minor": payment.amount_minor, "currency": payment.currency, "method": payment.method}
    audit(payment.order, payment.kind, by=by, at=at, params=params)
    if payment.invoice is not None:
        settle(payment.invoice, by=by, at=at)


@transaction.atomic(durable=True)
def payment_reverse(*, payment_id: int, note: str, by: str, at: datetime) -> Payment:
    """Reverse a mistaken row by adding another.

    When an invoice deducted the payment as paid before, the reversing row belongs to that invoice, which is then owed
    again.

    Raises
    ------
    AlreadyReversed
        When it was reversed before, or is itself such a row.
    """
    payment = Payment.objects.select_related("order", "invoice").get(pk=payment_id)
    order = Order.objects.select_for_update().get(pk=payment.order_id)
    if payment.reverses_id or Payment.objects.filter(reverses=payment).exists():
        raise AlreadyReversed
    reversal = Payment(
        order=order,
        invoice=_used_by(payment) or payment.invoice,
        kind=payment.kind,
        method=payment.method,
        amount_minor=-payment.amount_minor,
        currency=payment.currency,
        received_on=payment.received_on,
        reference=payment.reference,
        note=note,
        reverses=payment,
        idempotency_key=f"reverses-{payment.pk}",
        recorded_at=at,
        recorded_by=by,
    )
    reversal.save(force_insert=True)
    payment_counted(reversal)
    _audit_and_settle(reversal, by=by, at=at)
    return reversal


def _used_by(payment: Payment) -> Invoice | None:
    """Return the standing invoice that deducted the payment when it was issued."""
    invoice = standing_invoice(payment.order)
    if invoice is None or not invoice.prepaid_minor or invoice.issued_at is None:
        return None
    return invoice if invoice.issued_at >= payment.recorded_at else None
