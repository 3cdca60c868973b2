"""An order's payments before its invoice: when each is due, what of it is open, and the orders that owe one.

What is paid fills them in their order. Once an invoice is issued it asks for the whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import TYPE_CHECKING, TypedDict

from django.db.models import F, QuerySet
from django.db.models.functions import Least

from orders.documents.content import QuoteContent
from orders.invoices.models import Payment, ScheduledPayment
from orders.invoices.order_money import sum_of
from orders.orders.models import Order
from orders.quotes.terms.dates import deposit_due
from orders.records.states import ORDERS_AHEAD

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

Kind = ScheduledPayment.Kind


class Missing(TypedDict):
    """The annotations of scheduled payments that are not paid in full; minor units."""

    received: int
    missing: int


def deposit_due_on(content: QuoteContent, *, approved_on: date) -> date | None:
    """Return the due date of the deposit of an approved quote; None without a deposit."""
    if not content.deposit_minor:
        return None
    return deposit_due(approved_on=approved_on, days=content.deposit_days, latest_on=content.deposit_latest_on)


def scheduled_of(order: Order, content: QuoteContent, *, approved_on: date) -> list[ScheduledPayment]:
    """Return the payments of an approved content as rows of its order; not saved. Those of one day are one.

    Whoever approves after the day of a payment has until the end of the day of the approval. A change of an order
    keeps the day of what was due before it was sent.
    """
    found = sorted(_dated(order, content, approved_on), key=lambda one: one[1])
    rows: list[ScheduledPayment] = []
    upto = 0
    for day, of_day in groupby(found, key=lambda one: one[1]):
        parts = list(of_day)
        amount = sum(amount for _, _, amount in parts)
        kind = Kind.DEPOSIT if all(kind == Kind.DEPOSIT for kind, _, _ in parts) else Kind.PAYMENT
        upto += amount
        facts = {"kind": kind, "amount_minor": amount, "upto_minor": upto, "due_on": day}
        rows.append(ScheduledPayment(order=order, position=len(rows), **facts))
    return rows


def _dated(order: Order, content: QuoteContent, approved_on: date) -> Iterator[tuple[str, date, int]]:
    if content.deposit_minor and order.deposit_due_on is not None:
        yield Kind.DEPOSIT, order.deposit_due_on, content.deposit_minor
    for one in content.payments_before:
        stays = content.amends is not None and one.due_on < content.sent_at.date()
        yield Kind.PAYMENT, one.due_on if stays else max(one.due_on, approved_on), one.amount_minor


@dataclass(frozen=True, slots=True)
class Scheduled:
    """A payment before the invoice: its amount and what of it is open, in minor units; by how many days it is late."""

    kind: str
    amount: int
    open: int
    due_on: date
    late_days: int = 0


def schedule_of(order: Order, *, received: int, today: date) -> tuple[Scheduled, ...]:
    """Return an order's payments before its invoice as they stand, in their order; one query."""
    return tuple(
        Scheduled(one.kind, one.amount_minor, left, one.due_on, max(0, (today - one.due_on).days) if left else 0)
        for one in order.scheduled.all()
        for left in [min(one.amount_minor, max(0, one.upto_minor - received))]
    )


def scheduled_late(*, today: date) -> QuerySet[WithAnnotations[ScheduledPayment, Missing]]:
    """Return the payments of upcoming orders that were due before today and are not paid in full."""
    return _missing(ScheduledPayment.objects.filter(due_on__lt=today))


def scheduled_waiting(*, today: date) -> QuerySet[WithAnnotations[ScheduledPayment, Missing]]:
    """Return the payments of upcoming orders that are not due yet and not paid in full."""
    return _missing(ScheduledPayment.objects.filter(due_on__gte=today))


def _missing(rows: QuerySet[ScheduledPayment]) -> QuerySet[WithAnnotations[ScheduledPayment, Missing]]:
    received = sum_of(Payment.objects.all(), "amount_minor", "order", "order")
    short = rows.filter(order__status__in=ORDERS_AHEAD).annotate(received=received)
    short = short.filter(received__lt=F("upto_minor")).annotate(
        missing=Least(F("amount_minor"), F("upto_minor") - F("received"))
    )
    return short.select_related("order__customer").order_by("due_on", "order", "position")
