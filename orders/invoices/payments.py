"""Payments and refunds. A row is never changed: a mistake is reversed by another row."""

import hashlib
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Final

from django.db import IntegrityError, transaction
from django.db.models import Q, Sum

from orders.invoices.mails import payment_mail_ask
from orders.invoices.models import Invoice, Payment
from orders.invoices.order_money import order_money
from orders.invoices.papers import receipt_issue
from orders.invoices.running_sums import payment_counted
from orders.invoices.selectors import standing_invoices
from orders.invoices.services import settle
from orders.orders.models import Order
from orders.records.errors import AlreadyReversed, RecordedBefore, TooMuchBack
from orders.records.money import from_minor
from orders.records.transitions import audit

#: Most invoices of an order among which one payment is divided.
_PARTS: Final = 30


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

    Money that came in gets its receipt. With ``confirm`` the customer gets a mail that confirms it, with the receipt,
    where there is an address.

    A payment after the invoice was issued belongs to the invoice; earlier payments are deducted when it is issued. With
    an idempotency key that was used before, the row recorded with it is returned. Where several invoices are open, it
    is divided among them, each part a row of its own; the first is returned.

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
    details: dict[str, Any] = {"reference": reference, "note": note, "recorded_at": at, "recorded_by": by}
    first = payment_add(order, {**money, **details}, idempotency_key)
    if confirm:
        payment_mail_ask(first, at=at)
    return first


def payment_add(order: Order, columns: Mapping[str, Any], key: str) -> Payment:
    """Add a payment with its receipt, or a refund, in the caller's transaction, which has locked the order.

    Its signed amount is divided among the invoices that stand; the first part is returned.
    """
    amount, by, at = columns["amount_minor"], columns["recorded_by"], columns["recorded_at"]
    rows = []
    for place, (invoice, part) in enumerate(_parts(order, amount)):
        keyed = {"amount_minor": part, "idempotency_key": part_key(key, place)}
        row = Payment(order=order, invoice=invoice, currency=order.currency, **{**columns, **keyed})
        rows.append(_added(row))
        _audit_and_settle(rows[-1], by=by, at=at)
    if amount > 0:
        receipt_issue(rows[0], amount, by=by, at=at)
    return rows[0]


def _parts(order: Order, amount_minor: int) -> list[tuple[Invoice | None, int]]:
    """Divide an amount among the invoices that stand, the one that is due first, first; what is over is of the last.

    There is one but where a change of the order added to it, and none before it is invoiced. A refund is of the one
    that was paid more than it asks for.
    """
    standing = sorted(standing_invoices(order), key=lambda one: (one.pay_on or date.max, one.pk))
    if len(standing) < 2:
        return [(standing[0] if standing else None, amount_minor)]
    if amount_minor < 0:
        return [(min(standing, key=lambda one: one.open), amount_minor)]
    if (same := next((one for one in standing if one.open == amount_minor), None)) is not None:
        return [(same, amount_minor)]
    parts: list[tuple[Invoice | None, int]] = []
    left = amount_minor
    for invoice in standing:
        part = min(left, max(0, invoice.open))
        if part:
            parts.append((invoice, part))
            left -= part
    if left and parts:
        last, part = parts[-1]
        return [*parts[:-1], (last, part + left)]
    return parts or [(standing[-1], amount_minor)]


def part_key(key: str, place: int) -> str:
    """Return the idempotency key of a part of one payment: the first has the form's own."""
    return key if not place else hashlib.sha256(f"{key}:{place}".encode()).hexdigest()[:32]


def _signed(kind: str, amount_minor: int) -> int:
    return -amount_minor if kind == Payment.Kind.REFUND else amount_minor


def _same(known: Payment, order: Order, money: dict[str, Any]) -> Payment:
    """Return the row recorded with the same form, unless its values differ; it may be the first of several parts."""
    keys = [part_key(known.idempotency_key, place) for place in range(_PARTS)]
    amount = Payment.objects.filter(idempotency_key__in=keys).aggregate(all=Sum("amount_minor"))["all"]
    found = {name: getattr(known, name) for name in money} | {"amount_minor": amount}
    if known.order_id != order.pk or found != money:
        raise RecordedBefore(amount=from_minor(amount, known.currency))
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
    again. Credit that was carried between orders goes back as a whole.

    Raises
    ------
    AlreadyReversed
        When it was reversed before, or is itself such a row.
    """
    payment = Payment.objects.select_related("order", "invoice").get(pk=payment_id)
    others = _carried_with(payment)
    keys = {payment.order_id, *(one.order_id for one in others)}
    orders = {order.pk: order for order in Order.objects.select_for_update().filter(pk__in=keys).order_by("pk")}
    if payment.reverses_id or Payment.objects.filter(reverses=payment).exists():
        raise AlreadyReversed
    reversal, *_ = [_reversed(one, orders[one.order_id], note=note, by=by, at=at) for one in (payment, *others)]
    return reversal


def _carried_with(payment: Payment) -> list[Payment]:
    """Return the other rows of credit that was carried with this one: the refund, and what it became."""
    refund = payment.carried_from or payment
    rows = Payment.objects.filter(Q(pk=refund.pk) | Q(carried_from=refund)).exclude(pk=payment.pk)
    return list(rows.select_related("order", "invoice").order_by("pk"))


def _reversed(payment: Payment, order: Order, *, note: str, by: str, at: datetime) -> Payment:
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
    """Return the standing invoice that deducted the payment when it was issued: the first one after it."""
    standing = (one for one in reversed(standing_invoices(payment.order)) if one.prepaid_minor)
    return next((one for one in standing if one.issued_at and one.issued_at >= payment.recorded_at), None)
