"""The content of an invoice or a credit note, made from the approved quote or from the invoice.

It is stored with the document and never changes once issued; the document's hash covers all of it.
"""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, Final

from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.records.reasons import Reason
from orders.documents.canonical_text import canonical_json
from orders.documents.content import QuoteContent, sha256_of
from orders.invoices.models import Invoice, InvoiceLine, InvoiceTax
from orders.invoices.totals import ALLOWANCE, CHARGE, LINE, DocumentTotals, Row, TaxKind, compute_totals
from orders.orders.models import Order
from orders.records.errors import DoesNotAddUp

#: UN/ECE Recommendation 20: H87 piece, C62 one.
PIECE, ONE = "H87", "C62"
#: Columns an issued document's hash covers. They are named, so that a later column changes no hash of before: it is
#: added here with the code that leaves it out where it says nothing.
DOCUMENT_COLUMNS: Final = (
    *("id", "order_id", "kind", "number", "credits_id", "reason", "issued_on", "issued_by", "supply_on", "due_on"),
    *("currency", "prices", "seller", "buyer", "note"),
    *("net_minor", "tax_minor", "total_minor", "prepaid_minor", "due_minor"),
)
LINE_COLUMNS: Final = (
    *("kind", "credits_id", "position", "name", "quantity", "unit_code", "unit_price_minor", "amount_minor"),
    *("net_minor", "tax_code", "tax_name", "untdid", "rate"),
)
#: Of what is due in several payments; left out of the hash where it is one.
PART_COLUMNS: Final = ("position", "amount_minor", "due_on")
TAX_COLUMNS: Final = (
    *("position", "tax_code", "tax_name", "untdid", "exempt_reason", "rate", "taxable_minor", "tax_minor"),
)


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


def tax_kinds(content: QuoteContent) -> list[TaxKind]:
    """Return the taxes of an approved content."""
    return [
        TaxKind(tax.code, f"{content.tax_name}, {tax.name}"[:80], tax.untdid, tax.exempt_reason, tax.rate)
        for tax in content.taxes
    ]


def change_note(order: Order) -> str:
    """Return why there is another document about an order that was changed, as it is printed on it."""
    facts = {"order": order.number, "quote": order.quote.number, "revision": order.quote.revision}
    return gettext("Change of order %(order)s: quote %(quote)s, revision %(revision)s.") % facts


def totals_of(content: QuoteContent) -> DocumentTotals:
    """Compute the totals of the invoice of an approved content.

    Raises
    ------
    DoesNotAddUp
        When the rows' totals differ from those the customer approved.
    """
    totals = compute_totals(tuple(rows_of(content)), tax_kinds(content), content.prices)
    approved = (content.net_minor, content.tax_minor, content.total_minor)
    if (totals.net_minor, totals.tax_minor, totals.total_minor) != approved:
        raise DoesNotAddUp(what=Reason("quote", {"number": content.number}))
    return totals


def credit_row(line: InvoiceLine, amount: int) -> Row:
    """Return a credit of an amount of an invoice's row: in whole pieces if possible, else as one amount."""
    price = line.unit_price_minor
    pieces = Decimal(amount // price) if price and not amount % price and line.kind == LINE else None
    part = gettext("Part of the price: %(item)s") % {"item": line.name}
    return Row(
        line.name if pieces is not None or line.kind != LINE else part[:200],
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
    return hash_of_rows(
        {name: changes.get(name, getattr(invoice, name)) for name in DOCUMENT_COLUMNS},
        list(invoice.lines.values(*LINE_COLUMNS)),
        list(invoice.taxes.values(*TAX_COLUMNS)),
        list(invoice.parts.values(*PART_COLUMNS)),
    )


def hash_of_rows(
    document: Mapping[str, Any],
    lines: Sequence[Mapping[str, Any]],
    taxes: Sequence[Mapping[str, Any]],
    parts: Sequence[Mapping[str, Any]] = (),
) -> str:
    """Return the SHA-256 of plain rows of an issued document."""
    rows = {"document": document, "lines": lines, "taxes": taxes} | ({"parts": parts} if parts else {})
    return sha256_of(canonical_json(rows, default=str))
