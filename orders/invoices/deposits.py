"""Deposits: the due date, and the orders whose deposit is not paid in full."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from django.db.models import F, QuerySet

from orders.documents.content import QuoteContent
from orders.invoices.order_money import Received, with_received
from orders.orders.models import Order
from orders.quotes.terms.dates import deposit_due
from orders.records.states import ORDERS_AHEAD

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations


def deposit_due_on(content: QuoteContent, *, approved_on: date) -> date | None:
    """Return the due date of the deposit of an approved quote; None without a deposit."""
    if not content.deposit_minor:
        return None
    return deposit_due(approved_on=approved_on, days=content.deposit_days, latest_on=content.deposit_latest_on)


def deposits_late(*, today: date) -> QuerySet[WithAnnotations[Order, Received]]:
    """Return upcoming orders whose deposit was due before today and is not paid in full, with ``received``."""
    return _missing(Order.objects.filter(deposit_due_on__lt=today))


def deposits_waiting(*, today: date) -> QuerySet[WithAnnotations[Order, Received]]:
    """Return upcoming orders whose deposit is not due yet and not paid in full, with ``received``."""
    return _missing(Order.objects.filter(deposit_due_on__gte=today))


def _missing(orders: QuerySet[Order]) -> QuerySet[WithAnnotations[Order, Received]]:
    short = with_received(orders.filter(status__in=ORDERS_AHEAD, deposit_minor__gt=0)).filter(
        received__lt=F("deposit_minor")
    )
    return short.select_related("customer").order_by("deposit_due_on", "pk")
