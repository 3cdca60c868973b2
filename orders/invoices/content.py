"""The content of an invoice or a credit note, made from the approved quote or from the invoice.

It is stored with the document and never changes once issued; the document's hash covers all of it.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from catalog.kitchen.models import Kitchen
from catalog.records.reasons import Reason
from orders.documents.content import QuoteContent
from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax
from orders.invoices.totals import ALLOWANCE, CHARGE, LINE, DocumentTotals, Row, TaxKind, compute_totals
from orders.records.errors import DoesNotAddUp

#: UN/ECE Recommendation 20: H87 piece, C62 one.
PIECE, ONE = "H87", "C62"
_NOT_CONTENT: Final = frozenset({"status", "content_sha256", "pdf_id", "idempotency_key", "created_at", "issued_at"})


def rows_of(content: QuoteContent) -> Iterator[Row]:
    """Convert the approved content to rows: products and extras are lines, the rest allowances and charges."""
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
    """Compute the totals of the invoice of an approved content.

    Raises
    ------
    DoesNotAddUp
        When the rows' totals differ from those the customer approved.
    """
    taxes = [
        TaxKind(tax.code, f"{content.tax_name}, {tax.name}"[:80], tax.untdid, tax.exempt_reason, tax.rate)
        for tax in content.taxes
    ]
    totals = compute_totals(tuple(rows_of(content)), taxes, content.prices)
    approved = (content.net_minor, content.tax_minor, content.total_minor)
    if (totals.net_minor, totals.tax_minor, totals.total_minor) != approved:
        raise DoesNotAddUp(what=Reason("quote", {"number": content.number}))
    return totals


def credit_row(line: InvoiceLine, amount: int) -> Row:
    """Return a credit of an amount of an invoice's row: in whole pieces if possible, else as one amount."""
    price = line.unit_price_minor
    pieces = Decimal(amount // price) if price and not amount % price and line.kind == LINE else None
    return Row(
        line.name if pieces is not None or line.kind != LINE else f"Part of the price: {line.name}"[:200],
        amount,
        line.tax_code,
        line.kind if line.kind == ALLOWANCE or amount > 0 else LINE,
        quantity=Decimal(1) if pieces is None else pieces,
        unit_code=ONE if pieces is None else line.unit_code,
        unit_price_minor=amount if pieces is None else price,
        source=line.pk,
    )


def payment_note(kitchen: Kitchen) -> str:
    """Return the text below an invoice's totals: how to pay, and wording required by law."""
    return "\n\n".join(text.strip() for text in (kitchen.payment_details, kitchen.tax_note) if text.strip())


def write_totals(invoice: Invoice, totals: DocumentTotals) -> None:
    """Write a document's rows and taxes. It has no transaction of its own."""
    kinds = {tax.tax.code: tax.tax for tax in totals.taxes}
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
        for place, (row, net) in enumerate(zip(totals.rows, totals.nets, strict=True))
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
        for place, tax in enumerate(totals.taxes)
    )


def content_hash(invoice: Invoice, changes: Mapping[str, Any]) -> str:
    """Return the SHA-256 of an issued document's content: its fields, rows and taxes, as canonical JSON."""
    own = [field.attname for field in invoice._meta.concrete_fields if field.attname not in _NOT_CONTENT]
    body = {
        "document": {name: changes.get(name, getattr(invoice, name)) for name in own},
        "lines": _plain_rows(invoice.lines.all(), InvoiceLine),
        "taxes": _plain_rows(invoice.taxes.all(), InvoiceTax),
    }
    text = json.dumps(body, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain_rows(rows: Any, model: type[InvoiceLine | InvoiceTax]) -> Sequence[dict[str, Any]]:
    return list(rows.values(*[f.attname for f in model._meta.concrete_fields if f.attname not in ("id", "invoice_id")]))
