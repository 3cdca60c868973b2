"""The arithmetic of invoices and credit notes: plain numbers in, plain numbers out.

Products and one-off extras are invoice lines. A discount is a document level allowance (BG-20); surcharge, top-up and
delivery are document level charges (BG-21): so no line ever has a negative price (BR-27).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from costing.money.rounding import half_up

LINE: Final = "line"
ALLOWANCE: Final = "allowance"
CHARGE: Final = "charge"

Prices = Literal["net", "gross"]


@dataclass(frozen=True)
class TaxKind:
    """A tax category at its rate, as frozen in the approved quote."""

    code: str
    name: str
    untdid: str
    exempt_reason: str
    rate: Decimal


@dataclass(frozen=True)
class Row:
    """What is charged, as the customer agreed it: the amount has tax in it when the prices are gross."""

    name: str
    amount_minor: int
    tax_code: str
    kind: str = LINE
    quantity: Decimal = Decimal(1)
    unit_code: str = "C62"
    unit_price_minor: int = 0
    source: int | None = None  # the invoice's row that a credit note's row takes back


@dataclass(frozen=True)
class TaxSum:
    """The sum and the tax of one category and rate (BG-23)."""

    tax: TaxKind
    taxable_minor: int
    tax_minor: int


@dataclass(frozen=True)
class DocumentTotals:
    """A document that adds up: rows, their nets in the same order, taxes and totals."""

    rows: tuple[Row, ...]
    nets: tuple[int, ...]
    taxes: tuple[TaxSum, ...]

    @property
    def net_minor(self) -> int:
        """Total without tax (BT-109): lines, less allowances, with charges."""
        return sum(self.nets)

    @property
    def tax_minor(self) -> int:
        """Total tax (BT-110)."""
        return sum(tax.tax_minor for tax in self.taxes)

    @property
    def total_minor(self) -> int:
        """Total with tax (BT-112)."""
        return self.net_minor + self.tax_minor


def tax_on(agreed_minor: int, rate: Decimal, prices: str) -> int:
    """Give the tax on what was agreed at one rate: added to net prices, contained in gross ones.

    Rounded once, half up on the absolute value (EN 16931 BR-CO-17 as its official Schematron rounds).
    """
    share = Fraction(rate)
    if prices == "gross":
        share /= 1 + share
    return half_up(agreed_minor * share)


def allocate_amounts(total: int, exact: Sequence[Fraction]) -> list[int]:
    """Round each to whole minor units so that together they give the total: largest remainder, ties to the first."""
    if not exact:
        return []
    floors = [value.numerator // value.denominator for value in exact]
    every, some = divmod(total - sum(floors), len(exact))
    by_remainder = sorted(range(len(exact)), key=lambda i: (floors[i] - exact[i], i))
    lucky = set(by_remainder[:some])
    return [floor + every + (i in lucky) for i, floor in enumerate(floors)]


def agreed_by_code(rows: Sequence[Row]) -> dict[str, int]:
    """Sum the agreed amounts of each tax code."""
    sums: dict[str, int] = {}
    for row in rows:
        sums[row.tax_code] = sums.get(row.tax_code, 0) + row.amount_minor
    return sums


def compute_totals(
    rows: Sequence[Row], taxes: Sequence[TaxKind], prices: str, credited: Mapping[str, int] | None = None
) -> DocumentTotals:
    """Make up an invoice, or a credit note when part of the invoice may have been credited before.

    ``credited`` is what was agreed and already credited by tax code. A credit note's tax is the tax on all that is
    credited so far less the tax of the notes before: the first note is exact by itself, and when everything is
    credited the notes give the invoice's tax to the cent.
    """
    before = credited or {}
    sums = agreed_by_code(rows)
    taken: list[TaxSum] = []
    for tax in taxes:
        if tax.code in sums:
            agreed, earlier = sums[tax.code], before.get(tax.code, 0)
            due = tax_on(earlier + agreed, tax.rate, prices) - tax_on(earlier, tax.rate, prices)
            taken.append(TaxSum(tax, agreed - due if prices == "gross" else agreed, due))
    return DocumentTotals(tuple(rows), _nets(rows, taken, prices), tuple(taken))


def _nets(rows: Sequence[Row], taxes: Sequence[TaxSum], prices: str) -> tuple[int, ...]:
    """Give each row's amount without tax; per rate they add up to the taxable sum."""
    if prices != "gross":
        return tuple(row.amount_minor for row in rows)
    nets = [0] * len(rows)
    for tax in taxes:
        places = [i for i, row in enumerate(rows) if row.tax_code == tax.tax.code]
        exact = [Fraction(rows[i].amount_minor) / (1 + Fraction(tax.tax.rate)) for i in places]
        for i, net in zip(places, allocate_amounts(tax.taxable_minor, exact), strict=True):
            nets[i] = net
    return tuple(nets)


def applied(due_minor: int, paid_minor: int, credited_minor: int) -> str:
    """Say where an issued invoice stands: ``issued``, ``part_paid`` or ``paid`` (paid or credited in full)."""
    if due_minor - paid_minor - credited_minor <= 0:
        return "paid"
    return "part_paid" if paid_minor > 0 else "issued"


AGES: Final = ("not due yet", "1 to 30 days", "31 to 60 days", "61 to 90 days", "over 90 days")


def age_of(days_late: int) -> int:
    """Give the place in :data:`AGES` of something so many days past its due date."""
    if days_late <= 0:
        return 0
    return min((days_late - 1) // 30 + 1, 4)
