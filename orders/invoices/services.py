"""Invoices: made up from what the customer approved, numbered when issued, never changed after."""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen, local_day
from catalog.records.reasons import Reason
from orders.documents.content import QuoteContent, content_read
from orders.documents.store import pdf_ask
from orders.invoices.arithmetic import ALLOWANCE, CHARGE, DocumentTotals, Row, TaxKind, applied, compute_totals
from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax
from orders.invoices.order_money import order_money
from orders.invoices.selectors import draft_invoice, paid_and_credited, standing_invoice
from orders.orders.models import Order
from orders.records.errors import AlreadyInvoiced, CanceledOrder, DoesNotAddUp, TransitionNotAllowed
from orders.records.numbers import number_next
from orders.records.states import InvoiceEvent, InvoiceStatus, OrderStatus
from orders.records.transitions import audit, transition

#: UN/ECE Recommendation 20: H87 piece, C62 one.
PIECE, ONE = "H87", "C62"
_EVENTS = {
    InvoiceStatus.PAID: InvoiceEvent.PAY_ALL,
    InvoiceStatus.PART_PAID: InvoiceEvent.PAY_PART,
    InvoiceStatus.ISSUED: InvoiceEvent.UNPAY,
}


def rows_of(content: QuoteContent) -> Iterator[Row]:
    """Turn what was approved into rows: products and extras are lines, the rest allowances and charges."""
    for line in content.lines:
        yield Row(
            line.name,
            line.amount_minor,
            line.tax,
            quantity=Decimal(line.units),
            unit_code=PIECE,
            unit_price_minor=line.unit_price_minor,
        )
    for extra in content.extras:
        yield Row(extra.name, extra.amount_minor, extra.tax, unit_code=ONE, unit_price_minor=extra.amount_minor)
    for charge in content.charges:
        kind = ALLOWANCE if charge.amount_minor < 0 else CHARGE
        yield Row(charge.name, charge.amount_minor, charge.tax, kind, unit_price_minor=charge.amount_minor)


def totals_of(content: QuoteContent) -> DocumentTotals:
    """Make up the invoice of what was approved.

    Raises
    ------
    DoesNotAddUp
        When the rows give other totals than the customer approved.
    """
    taxes = [
        TaxKind(tax.code, f"{content.tax_name}, {tax.name}"[:80], tax.untdid, tax.exempt_reason, tax.rate)
        for tax in content.taxes
    ]
    sheet = compute_totals(tuple(rows_of(content)), taxes, content.prices)
    approved = (content.net_minor, content.tax_minor, content.total_minor)
    if (sheet.net_minor, sheet.tax_minor, sheet.total_minor) != approved:
        raise DoesNotAddUp(what=Reason("quote", {"number": content.number}))
    return sheet


def write_totals(invoice: Invoice, sheet: DocumentTotals) -> None:
    """Write a document's rows and taxes. An inner step without a transaction of its own."""
    kinds = {tax.tax.code: tax.tax for tax in sheet.taxes}
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            position=place,
            kind=row.kind,
            credits_id=row.source,
            name=row.name,
            quantity=format(row.quantity, "f"),
            unit_code=row.unit_code,
            unit_price_minor=row.unit_price_minor,
            amount_minor=row.amount_minor,
            net_minor=net,
            tax_code=row.tax_code,
            tax_name=kinds[row.tax_code].name,
            untdid=kinds[row.tax_code].untdid,
            rate=format(kinds[row.tax_code].rate, "f"),
        )
        for place, (row, net) in enumerate(zip(sheet.rows, sheet.nets, strict=True))
    )
    InvoiceTax.objects.bulk_create(
        InvoiceTax(
            invoice=invoice,
            position=place,
            tax_code=tax.tax.code,
            tax_name=tax.tax.name,
            untdid=tax.tax.untdid,
            exempt_reason=tax.tax.exempt_reason,
            rate=format(tax.tax.rate, "f"),
            taxable_minor=tax.taxable_minor,
            tax_minor=tax.tax_minor,
        )
        for place, tax in enumerate(sheet.taxes)
    )


@transaction.atomic(durable=True)
def invoice_draft(*, order_id: int, by: str, at: datetime) -> Invoice:
    """Draft the order's invoice; a draft that is there already is given back.

    Raises
    ------
    AlreadyInvoiced
        When an issued invoice stands.
    CancelledOrder
        When the order is canceled and its money is not kept.
    DoesNotAddUp
        When the approved content does not add up.
    """
    order = Order.objects.select_for_update().select_related("quote").get(pk=order_id)
    draft = draft_invoice(order)
    if draft is not None:
        return draft
    _may_be_invoiced(order)
    content = content_read(order.quote.content)
    sheet = totals_of(content)
    prepaid = order_money(order).unused
    invoice = Invoice.objects.create(
        order=order,
        created_at=at,
        supply_on=local_day(order.window_start),
        currency=content.currency,
        prices=content.prices,
        seller=asdict(content.kitchen),
        buyer=asdict(content.customer),
        note=payment_words(kitchen()),
        net_minor=sheet.net_minor,
        tax_minor=sheet.tax_minor,
        total_minor=sheet.total_minor,
        prepaid_minor=prepaid,
        due_minor=sheet.total_minor - prepaid,
    )
    write_totals(invoice, sheet)
    audit(invoice, "draft", after=invoice.status, by=by, at=at)
    return invoice


def _may_be_invoiced(order: Order) -> None:
    if order.status == OrderStatus.CANCELED and order.canceled_money != Order.CanceledMoney.KEEP:
        raise CanceledOrder(order=order.number)
    standing = standing_invoice(order)
    if standing is not None:
        raise AlreadyInvoiced(order=order.number, invoice=standing.number)


def payment_words(profile: Kitchen) -> str:
    """Give what an invoice says below its totals: how to pay, and the wording the law asks for."""
    return "\n\n".join(text.strip() for text in (profile.payment_details, profile.tax_note) if text.strip())


@transaction.atomic(durable=True)
def invoice_issue(*, invoice_id: int, mail: bool = False, by: str, at: datetime) -> Invoice:
    """Give the draft its number and date and what was paid before; from then on it never changes.

    Raises
    ------
    TransitionNotAllowed, ChangedMeanwhile
        When it is issued already.
    """
    invoice = Invoice.objects.select_related("order__quote").get(pk=invoice_id)
    if invoice.kind != Invoice.Kind.INVOICE or invoice.status != InvoiceStatus.DRAFT:
        raise TransitionNotAllowed(what=str(invoice), status=invoice.status, event="issue")
    order = Order.objects.select_for_update().get(pk=invoice.order_id)
    content = content_read(invoice.order.quote.content)
    today = local_day(at)
    prepaid = order_money(order).unused
    issue(
        invoice,
        series="invoice",
        by=by,
        at=at,
        mail=mail,
        issued_on=today,
        due_on=today + timedelta(days=content.balance_days),
        prepaid_minor=prepaid,
        due_minor=invoice.total_minor - prepaid,
    )
    settle(invoice, by=by, at=at)
    return invoice


def issue(invoice: Invoice, *, series: str, by: str, at: datetime, mail: bool, **changes: Any) -> None:
    """Number and issue a draft, and ask for its PDF. An inner step without a transaction of its own."""
    changes |= {"number": number_next(series), "issued_at": at, "issued_by": by}
    changes["content_sha256"] = content_hash(invoice, changes)
    transition(invoice, InvoiceEvent.ISSUE, by=by, at=at, **changes)
    pdf_ask(
        kind="invoice_pdf",
        payload={"invoice": invoice.pk, "mail": mail},
        about=f"invoice:{invoice.pk}",
        what=invoice.kind_and_number,
        at=at,
    )


def content_hash(invoice: Invoice, changes: Mapping[str, Any]) -> str:
    """Return the SHA-256 over all an issued document says: its own fields, rows and taxes, as canonical JSON."""
    own = [field.attname for field in invoice._meta.concrete_fields if field.attname not in _NOT_CONTENT]
    body = {
        "document": {name: changes.get(name, getattr(invoice, name)) for name in own},
        "lines": _plain_rows(invoice.lines.all(), InvoiceLine),
        "taxes": _plain_rows(invoice.taxes.all(), InvoiceTax),
    }
    text = json.dumps(body, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()


_NOT_CONTENT = frozenset({"status", "content_sha256", "pdf_id", "idempotency_key", "created_at", "issued_at"})


def _plain_rows(rows: Any, model: type[InvoiceLine | InvoiceTax]) -> Sequence[dict[str, Any]]:
    return list(rows.values(*[f.attname for f in model._meta.concrete_fields if f.attname not in ("id", "invoice_id")]))


def settle(invoice: Invoice, *, by: str, at: datetime) -> None:
    """Move an issued invoice to where its payments and credit notes put it. An inner step."""
    paid, credited = paid_and_credited(invoice)
    target = applied(invoice.due_minor, paid, credited)
    if target != invoice.status:
        transition(invoice, _EVENTS[InvoiceStatus(target)], by=by, at=at)


@transaction.atomic(durable=True)
def invoice_drop(*, invoice_id: int, by: str, at: datetime) -> Order:
    """Drop a draft. What is issued stays: only a credit note undoes it.

    Raises
    ------
    TransitionNotAllowed
        When it is issued.
    """
    invoice = Invoice.objects.select_related("order").get(pk=invoice_id)
    order = invoice.order
    if invoice.status != InvoiceStatus.DRAFT:
        raise TransitionNotAllowed(what=str(invoice), status=invoice.status, event="drop")
    audit(invoice, "drop", before=invoice.status, by=by, at=at)
    invoice.delete()
    return order
