"""The rows and totals of a credit note, from what is left of an invoice."""

from collections.abc import Mapping

from catalog.records.reasons import Reason
from costing.money.allocation import sum_by_code
from orders.invoices.content import credit_row
from orders.invoices.models import Invoice
from orders.invoices.selectors import CreditableRow, creditable, left_by_code
from orders.invoices.totals import DocumentTotals, Row, TaxKind, compute_totals
from orders.records.errors import NothingToCredit, TooMuchCredited
from orders.records.money import from_minor


def credit_totals(
    invoice: Invoice, amounts: Mapping[int, int] | None, *, reach: Mapping[str, int] | None = None
) -> DocumentTotals:
    """Compute the totals of a credit note; ``reach`` is as in :func:`compute_totals`.

    Raises
    ------
    NothingToCredit, TooMuchCredited
        When nothing, or less than the amount, is left to credit.
    """
    rows = creditable(invoice)
    left = left_by_code(rows)
    credited = _all_left(rows) if amounts is None else _chosen(invoice, rows, amounts)
    if not credited:
        raise NothingToCredit(invoice=str(invoice), left=from_minor(sum(left.values()), invoice.currency))
    _within(invoice, credited, left)
    taxes = list(invoice.taxes.all())
    kinds = [TaxKind(tax.tax_code, tax.tax_name, tax.untdid, tax.exempt_reason, tax.rate) for tax in taxes]
    gross = invoice.prices == "gross"
    agreed = {tax.tax_code: tax.taxable_minor + (tax.tax_minor if gross else 0) for tax in taxes}
    before = {code: agreed[code] - left.get(code, 0) for code in agreed}
    return compute_totals(credited, kinds, invoice.prices, before, reach=reach)


def _all_left(rows: list[CreditableRow]) -> list[Row]:
    return [credit_row(row.line, row.left) for row in rows if row.left]


def _chosen(invoice: Invoice, rows: list[CreditableRow], amounts: Mapping[int, int]) -> list[Row]:
    chosen = []
    for row in rows:
        amount = amounts.get(row.line.pk, 0)
        if not amount:
            continue
        if not 0 < amount <= row.left:
            raise TooMuchCredited(
                most=from_minor(max(row.left, 0), invoice.currency), what=row.line.name, invoice=invoice.number
            )
        chosen.append(credit_row(row.line, amount))
    return chosen


def _within(invoice: Invoice, credited: list[Row], left: Mapping[str, int]) -> None:
    """Refuse more than is left at any tax rate: a discount on the whole reduces what is left of its goods."""
    names = dict(invoice.taxes.values_list("tax_code", "tax_name"))
    sums = sum_by_code((row.tax_code, row.amount_minor) for row in credited)
    for code in left:
        if sums.get(code, 0) > left[code]:
            raise TooMuchCredited(
                most=from_minor(left[code], invoice.currency),
                what=Reason("taxed_as", {"tax": names[code]}),
                invoice=invoice.number,
            )
