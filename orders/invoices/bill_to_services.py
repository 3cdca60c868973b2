"""Putting right who is billed for an order, before its invoice; the order itself stays as it was approved."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction

from catalog.records.versions import existing_unchanged
from orders.documents.content import content_read
from orders.invoices.bill_to import BILL_TO, bill_to_version, buyer_of
from orders.invoices.models import IS_INVOICE
from orders.invoices.selectors import standing_invoice
from orders.orders.models import Order
from orders.records.errors import AlreadyInvoiced
from orders.records.states import InvoiceStatus
from orders.records.transitions import audit


@transaction.atomic(durable=True)
def order_bill_to(*, order_id: int, bill_to: Mapping[str, str], by: str, at: datetime, version: str = "") -> Order:
    """Set who is billed; a draft invoice is discarded, so that the next one has it.

    Raises
    ------
    Order.DoesNotExist
        If there is none.
    Overtaken
        If its version is no longer ``version``.
    AlreadyInvoiced
        If an issued invoice stands: it is credited in full first.
    """
    order = existing_unchanged(Order, order_id, version, bill_to_version)
    standing = standing_invoice(order)
    if standing is not None:
        raise AlreadyInvoiced(order=order.number, invoice=standing.number)
    before = buyer_of(order, content_read(order.quote.content))
    after = {name: bill_to[name].strip() for name in BILL_TO}
    if after == {name: before[name] for name in BILL_TO}:
        return order
    order.bill_to = after
    order.save(update_fields=["bill_to"])
    for draft in order.invoices.filter(IS_INVOICE, status=InvoiceStatus.DRAFT):
        audit(draft, "discard", before=draft.status, by=by, at=at)
        draft.delete()
    audit(order, "bill_to", by=by, at=at)
    return order
