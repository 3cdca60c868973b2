"""Who is billed for an order: the customer as approved, or what was put right before the invoice."""

from dataclasses import asdict
from typing import Any, Final

from catalog.records.versions import version_mark
from orders.documents.content import QuoteContent
from orders.orders.models import Order

#: What can be put right without the customer's approval; what the order costs is none of it.
BILL_TO: Final = ("name", "address", "country", "tax_number")


def buyer_of(order: Order, content: QuoteContent) -> dict[str, Any]:
    """Return the buyer of an order's invoice."""
    return asdict(content.customer) | (order.bill_to or {})


def bill_to_version(order: Order) -> str:
    """Return the version of who is billed for an order, as stored."""
    return version_mark([order.bill_to, order.quote_id])
