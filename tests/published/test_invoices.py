"""Invoices against the official examples of a published billing specification, recomputed by our own arithmetic.

Source: OpenPEPPOL peppol-bis-invoice-3, rules/examples/*.xml (commit 78d7f7d, 2025-05-29), read from the data file.
Amounts in cents. Item allowances inside a line are part of its net amount there, so the line nets are taken as the
example states them. The rules BR-CO-10 to -17 are those of EN 16931 (CEN/TC 434 validation artefacts v1.3.16).
"""

import json
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from costing.money.allocation import sum_by_code
from orders.invoices.totals import ALLOWANCE, CHARGE, LINE, Row, TaxKind, compute_totals, tax_on

VALUES = json.loads((Path(__file__).parent / "costing_values.json").read_text())
EXAMPLES = {
    value["id"].removeprefix("peppol.example."): value for value in VALUES if value["id"].startswith("peppol.example.")
}


def cents(amount: str) -> int:
    whole = Decimal(amount) * 100
    assert whole == int(whole)
    return int(whole)


def kind_of(category: str, percent: str | None) -> TaxKind:
    rate = Decimal(percent or 0) / 100
    return TaxKind(f"{category}{rate.normalize():f}", category, category, "", rate)


def taxes_of(value: dict[str, Any]) -> list[TaxKind]:
    return [kind_of(row["cat"], row["rate"]) for row in value["expected"]["breakdown"]]


def rows_of(value: dict[str, Any]) -> list[Row]:
    """Return the example's lines, allowances and charges; ours carry the sign with the amount."""
    rows = [
        Row(f"line {number}", cents(line["net"]), kind_of(line["vat"], line["rate"]).code)
        for number, line in enumerate(value["inputs"]["lines"])
    ]
    for other in value["inputs"]["document_allowances_charges"]:
        kind, sign = (CHARGE, 1) if other["charge"] == "true" else (ALLOWANCE, -1)
        rows.append(Row(kind, sign * cents(other["amount"]), kind_of(other["vat"], other["rate"]).code, kind))
    return rows


def test_all_eight_examples_are_there() -> None:
    assert sorted(EXAMPLES) == [
        "Allowance-example",
        "Vat-category-S",
        "base-creditnote-correction",
        "base-example",
        "base-negative-inv-correction",
        "vat-category-E",
        "vat-category-O",
        "vat-category-Z",
    ]


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_official_example_comes_out_to_the_cent(name: str) -> None:
    value = EXAMPLES[name]
    totals = {key: cents(amount) for key, amount in value["expected"]["totals"].items()}
    totals_found = compute_totals(rows_of(value), taxes_of(value), "net")
    sums = {
        kind: sum(net for row, net in zip(totals_found.rows, totals_found.nets, strict=True) if row.kind == kind)
        for kind in (LINE, ALLOWANCE, CHARGE)
    }
    assert sums[LINE] == totals["LineExtensionAmount"]  # BR-CO-10
    assert -sums[ALLOWANCE] == totals.get("AllowanceTotalAmount", 0)  # BR-CO-11
    assert sums[CHARGE] == totals.get("ChargeTotalAmount", 0)  # BR-CO-12
    assert totals_found.net_minor == totals["TaxExclusiveAmount"]  # BR-CO-13
    assert totals_found.tax_minor == cents(value["expected"]["vat_total"])  # BR-CO-14
    assert totals_found.total_minor == totals["TaxInclusiveAmount"]  # BR-CO-15
    assert totals_found.total_minor - totals.get("PrepaidAmount", 0) == totals["PayableAmount"]  # BR-CO-16
    found = [(tax.tax.untdid, tax.taxable_minor, tax.tax_minor) for tax in totals_found.taxes]
    printed = [(row["cat"], cents(row["taxable"]), cents(row["tax"])) for row in value["expected"]["breakdown"]]
    assert found == printed  # BR-CO-17


@pytest.mark.parametrize("name", EXAMPLES)
def test_agreed_with_the_tax_in_it_the_official_example_has_the_same_nets_and_taxes(name: str) -> None:
    """What each row of the examples comes to with its tax is whole cents, so nothing is lost on the way there."""
    value = EXAMPLES[name]
    rates = {tax.code: Fraction(tax.rate) for tax in taxes_of(value)}
    net_rows = rows_of(value)
    gross_rows = [
        Row(row.name, int(row.amount_minor * (1 + rates[row.tax_code])), row.tax_code, row.kind) for row in net_rows
    ]
    net, gross = compute_totals(net_rows, taxes_of(value), "net"), compute_totals(gross_rows, taxes_of(value), "gross")
    sums = sum_by_code((row.tax_code, row.amount_minor) for row in gross_rows)
    assert sum(sums.values()) == cents(value["expected"]["totals"]["TaxInclusiveAmount"])
    assert (gross.nets, gross.taxes) == (net.nets, net.taxes)
    assert gross.total_minor == net.total_minor


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_tax_on_each_taxable_amount_is_the_one_printed(name: str) -> None:
    for row, tax in zip(EXAMPLES[name]["expected"]["breakdown"], taxes_of(EXAMPLES[name]), strict=True):
        taxable, printed = cents(row["taxable"]), cents(row["tax"])
        assert tax_on(taxable, tax.rate, "net") == tax_on(taxable + printed, tax.rate, "gross") == printed


def test_the_official_credit_note_takes_the_whole_example_back() -> None:
    """base-creditnote-correction.xml: the same figures as base-example.xml, type code 381."""
    value = EXAMPLES["base-creditnote-correction"]
    assert value["inputs"]["type"] == "381"
    taxes, rows = taxes_of(value), rows_of(EXAMPLES["base-example"])
    note = compute_totals(rows, taxes, "net", {taxes[0].code: 0})
    assert note.total_minor == cents(value["expected"]["totals"]["TaxInclusiveAmount"])
    assert note == compute_totals(rows_of(value), taxes, "net")
