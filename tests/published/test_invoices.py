"""Invoices against the official examples of a published billing specification, recomputed by our own arithmetic.

Source: OpenPEPPOL peppol-bis-invoice-3, rules/examples/*.xml (commit 78d7f7d, 2025-05-29). Amounts in cents. Item
allowances inside a line are part of its net amount there, so the line nets are taken as the example states them.
"""

from decimal import Decimal

import pytest

from orders.invoices.totals import ALLOWANCE, CHARGE, Row, TaxKind, compute_totals

S25, S15 = TaxKind("S25", "S", "S", "", Decimal("0.25")), TaxKind("S15", "S", "S", "", Decimal("0.15"))
E0, Z0, O0 = (TaxKind(code, code, code, "", Decimal(0)) for code in ("E", "Z", "O"))

# example: rows, taxes, (net, tax, gross, prepaid, due), {code: (taxable, tax)}
EXAMPLES = {
    "Allowance-example": (
        [
            Row("line 1", 400_000, "S25"),
            Row("line 2", 100_000, "E"),
            Row("line 3", 90_000, "S25"),
            Row("charge", 20_000, "S25", CHARGE),
            Row("allowance", -20_000, "S25", ALLOWANCE),
        ],
        [S25, E0],
        (590_000, 122_500, 712_500, 100_000, 612_500),
        {"S25": (490_000, 122_500), "E": (100_000, 0)},
    ),
    "Vat-category-S": (
        [
            Row("line 1", 400_000, "S25"),
            Row("line 2", 200_000, "S15"),
            Row("line 3", 90_000, "S25"),
            Row("charge", 20_000, "S25", CHARGE),
            Row("allowance", -10_000, "S25", ALLOWANCE),
        ],
        [S25, S15],
        (700_000, 155_000, 855_000, 0, 855_000),
        {"S25": (500_000, 125_000), "S15": (200_000, 30_000)},
    ),
    "base-example": (
        [Row("7 days", 280_000, "S25"), Row("-3 days", -150_000, "S25"), Row("freight", 2_500, "S25", CHARGE)],
        [S25],
        (132_500, 33_125, 165_625, 0, 165_625),
        {"S25": (132_500, 33_125)},
    ),
    "base-negative-inv-correction": (
        [Row("-7 days", -280_000, "S25"), Row("3 days", 150_000, "S25"), Row("freight", -2_500, "S25", CHARGE)],
        [S25],
        (-132_500, -33_125, -165_625, 0, -165_625),
        {"S25": (-132_500, -33_125)},
    ),
    "vat-category-E": ([Row("item", 120_000, "E")], [E0], (120_000, 0, 120_000, 0, 120_000), {"E": (120_000, 0)}),
    "vat-category-O": ([Row("item", 320_000, "O")], [O0], (320_000, 0, 320_000, 0, 320_000), {"O": (320_000, 0)}),
    "vat-category-Z": ([Row("item", 120_000, "Z")], [Z0], (120_000, 0, 120_000, 0, 120_000), {"Z": (120_000, 0)}),
}


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_official_example_comes_out_to_the_cent(name: str) -> None:
    rows, taxes, (net, tax, gross, prepaid, due), breakdown = EXAMPLES[name]
    sheet = compute_totals(rows, taxes, "net")
    assert (sheet.net_minor, sheet.tax_minor, sheet.total_minor) == (net, tax, gross)
    assert sheet.total_minor - prepaid == due  # BR-CO-16
    assert {t.tax.code: (t.taxable_minor, t.tax_minor) for t in sheet.taxes} == breakdown


def test_the_official_credit_note_takes_the_whole_example_back() -> None:
    """base-creditnote-correction.xml: the same figures as base-example.xml, type code 381."""
    rows, taxes, (net, tax, gross, _, _), _ = EXAMPLES["base-example"]
    note = compute_totals(rows, taxes, "net", {"S25": 0})
    assert (note.net_minor, note.tax_minor, note.total_minor) == (net, tax, gross)
