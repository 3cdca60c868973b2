"""What stands on a payment request and on a receipt: stored with it as canonical JSON, and read back."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from catalog.kitchen.models import Kitchen
from orders.documents.canonical_text import canonical_json, plain
from orders.documents.content import QuoteContent
from orders.invoices.bill_to import buyer_of
from orders.invoices.how_to_pay_content import bank_of
from orders.invoices.models import Payment
from orders.invoices.order_money import OrderMoney
from orders.invoices.schedule import Scheduled
from orders.orders.models import Order


def _common(order: Order, content: QuoteContent, money: OrderMoney) -> dict[str, Any]:
    return {
        "seller": asdict(content.kitchen),
        "buyer": buyer_of(order, content),
        "order": order.number,
        "event_on": content.event.window_start.date(),
        "currency": order.currency,
        "total_minor": money.total,
        "received_minor": money.received,
    }


def request_text(
    order: Order,
    content: QuoteContent,
    money: OrderMoney,
    asked: Scheduled,
    *,
    number: str,
    day: date,
    kitchen: Kitchen,
) -> str:
    """Return the content of a request for what is open of a payment of the schedule."""
    own = {
        "number": number,
        "issued_on": day,
        "of": asked.kind,
        "payment_minor": asked.amount,
        "amount_minor": asked.open,
        "due_on": asked.due_on,
        "bank": bank_of(kitchen),
    }
    return canonical_json(_common(order, content, money) | own, default=plain)


def receipt_text(
    payment: Payment, amount_minor: int, content: QuoteContent, money: OrderMoney, *, number: str, day: date
) -> str:
    """Return the content of the receipt of a payment; ``money`` is the order's after it."""
    left = money.balance if money.billed else money.agreed_open
    own = {
        "number": number,
        "issued_on": day,
        "of": payment.kind,
        "amount_minor": amount_minor,
        "received_on": payment.received_on,
        "method": payment.method,
        "reference": payment.reference,
        "left_minor": max(0, left),
    }
    return canonical_json(_common(payment.order, content, money) | own, default=plain)


def paper_read(text: str) -> Mapping[str, Any]:
    """Read a content back, with its days as dates."""
    data: dict[str, Any] = json.loads(text)
    days = {name: date.fromisoformat(value) for name, value in data.items() if name.endswith("_on")}
    return data | days
