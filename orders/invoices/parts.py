"""What is due of an invoice, payment by payment.

What is paid fills them in their order, what is credited cuts the last. What was paid before the invoice and reversed
after it is owed with the first. Invoices are as :func:`with_open` reads them: ``paid`` and ``credited`` are theirs.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet
from django.db.models.functions import Coalesce

from catalog.kitchen.payment_schedule import after_invoice
from orders.documents.content import QuoteContent
from orders.invoices.models import Invoice, InvoicePart

#: When the first payment of an invoice that is not paid is due, in a query.
NEXT_ON = Coalesce("next_on", "due_on")


@dataclass(frozen=True, slots=True)
class DuePart:
    """A payment of an invoice: its day, its amount and what of it is open; minor units."""

    invoice: Invoice
    due_on: date
    amount: int
    open: int


def parts_due(*, due_minor: int, on: date, content: QuoteContent) -> list[tuple[date, int]]:
    """Return the days and amounts of what an invoice issued ``on`` a day leaves to pay, as its content divides it."""
    rows = content.payments_after
    found = after_invoice(max(0, due_minor), rows, last_days=content.balance_days)
    return [(on + timedelta(days=one.days), one.amount_minor) for one in found]


def parts_added(invoice: Invoice, parts: Iterable[tuple[date, int]]) -> None:
    """Write the payments of a draft that is issued, in the caller's transaction."""
    InvoicePart.objects.bulk_create(
        InvoicePart(invoice=invoice, position=place, due_on=day, amount_minor=amount)
        for place, (day, amount) in enumerate(parts)
    )


def open_parts(invoice: Any) -> list[DuePart]:
    """Return what is open of an invoice, what is due first first; no query for one that is due on one day."""
    return [one for one in _parts(invoice, paid=invoice.paid, credited=invoice.credited) if one.open > 0]


def all_parts(invoice: Any) -> list[DuePart]:
    """Return all payments of an invoice that is due in several, as they stand; none of any other."""
    if invoice.next_on is None:
        return []
    return list(_parts(invoice, paid=invoice.paid, credited=invoice.credited))


def next_part_on(invoice: Invoice, *, paid: int, credited: int) -> date | None:
    """Return when the first payment of an invoice in several that is not paid is due; of one that is paid the last."""
    if invoice.next_on is None:
        return None
    parts = list(_parts(invoice, paid=paid, credited=credited))
    return next((one.due_on for one in parts if one.open > 0), parts[-1].due_on)


def open_by(invoices: Iterable[Any], day: date) -> list[DuePart]:
    """Return what is open of invoices and due by a day, the longest due first."""
    found = (one for invoice in invoices for one in open_parts(invoice) if one.due_on <= day)
    return sorted(found, key=lambda one: (one.due_on, one.invoice.pk))


def with_parts(invoices: QuerySet[Any]) -> QuerySet[Any]:
    """Read the payments of invoices along."""
    return invoices.prefetch_related("parts")


def _parts(invoice: Invoice, *, paid: int, credited: int) -> Iterator[DuePart]:
    asked, upto = invoice.due_minor - credited, 0
    for day, amount in _rows(invoice):
        start, upto = upto, upto + amount
        filled = paid if not start else max(start, paid)
        yield DuePart(invoice, day, amount, max(0, min(upto, asked) - filled))


def _rows(invoice: Invoice) -> list[tuple[date, int]]:
    if invoice.next_on is not None:
        return [(one.due_on, one.amount_minor) for one in invoice.parts.all()]
    return [] if invoice.due_on is None else [(invoice.due_on, invoice.due_minor)]
