"""Settling a change of an order after its invoice: a further invoice as a draft, or credit notes that were reviewed."""

from datetime import datetime

from django.db import transaction

from catalog.kitchen.selectors import kitchen, local_day
from orders.documents.content import content_read
from orders.invoices.changes import ChangeToBill, change_to_bill
from orders.invoices.content import change_note, payment_note
from orders.invoices.credit_notes import note_drafted
from orders.invoices.models import Invoice
from orders.invoices.order_money import order_money
from orders.invoices.selectors import draft_invoice
from orders.invoices.services import draft_add, issue, settle
from orders.orders.models import Order
from orders.records.amend_errors import NothingToSettle
from orders.records.errors import CreditDiffers
from orders.records.money import from_minor


@transaction.atomic(durable=True)
def change_invoice_draft(*, order_id: int, by: str, at: datetime) -> Invoice:
    """Draft the further invoice of what a change adds; an existing draft is returned. It is reviewed and issued there.

    Raises
    ------
    NothingToSettle
        If nothing is to be invoiced.
    """
    order = _locked(order_id)
    draft = draft_invoice(order)
    if draft is not None:
        return draft
    totals = _to_settle(order).further
    if totals is None:
        raise NothingToSettle(order=order.number)
    content = content_read(order.quote.content)
    return draft_add(
        order,
        content,
        totals,
        prepaid=max(0, order_money(order).unused),
        note="\n\n".join(filter(None, [change_note(order), payment_note(kitchen())])),
        settles=order.quote,
        by=by,
        at=at,
    )


@transaction.atomic(durable=True)
def change_credit_issue(
    *, order_id: int, idempotency_key: str, seen_minor: int, mail: bool = False, by: str, at: datetime
) -> list[Invoice]:
    """Issue the credit notes of what a change takes off, as they were reviewed: one for each invoice it is taken from.

    With an idempotency key that was used before, the notes made with it are returned.

    Raises
    ------
    NothingToSettle
        If nothing is to be credited.
    CreditDiffers
        If it is not the total that was reviewed.
    """
    order = _locked(order_id)
    known = Invoice.objects.filter(order=order, idempotency_key=idempotency_key).first()
    if known is not None:
        return list(order.invoices.filter(settles=known.settles, kind=Invoice.Kind.CREDIT_NOTE, pk__gte=known.pk))
    found = _to_settle(order)
    if not found.credits:
        raise NothingToSettle(order=order.number)
    if found.credit_minor != seen_minor:
        raise CreditDiffers(invoice=str(found.credits[0].invoice), total=from_minor(found.credit_minor, order.currency))
    notes = []
    for place, one in enumerate(found.credits):
        key = idempotency_key if not place else None
        note = note_drafted(
            one.invoice,
            order,
            one.totals,
            reason=change_note(order),
            idempotency_key=key,
            at=at,
            settles=order.quote,
        )
        issue(note, series="credit", by=by, at=at, mail=mail, issued_on=local_day(at))
        settle(one.invoice, by=by, at=at)
        notes.append(note)
    return notes


def _locked(order_id: int) -> Order:
    return Order.objects.select_for_update().get(pk=order_id)


def _to_settle(order: Order) -> ChangeToBill:
    found = change_to_bill(order)
    if found is None or found.anew:
        raise NothingToSettle(order=order.number)
    return found
