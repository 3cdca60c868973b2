"""The totals of an invoice or credit note, computed from plain values without the database.

Products and one-off extras are invoice lines. A discount is a document level allowance (BG-20); surcharge, top-up and
delivery are document level charges (BG-21): so no line ever has a negative price (BR-27).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final, Literal

from costing.money.allocation import round_to_total, sum_by_code
from costing.money.rounding import half_up

LINE: Final = "line"
ALLOWANCE: Final = "allowance"
CHARGE: Final = "charge"

Prices = Literal["net", "gross"]
#: How far the tax of documents that were each rounded may be apart from the tax of their sum [minor units].
ROUNDED_APART: Final = 3


@dataclass(frozen=True)
class TaxKind:
    """A tax category at its rate, as the approved quote has it."""

    code: str
    name: str
    untdid: str
    exempt_reason: str
    rate: Decimal


@dataclass(frozen=True)
class Row:
    """A charge as the customer agreed it; the amount includes tax when the prices are gross."""

    name: str
    amount_minor: int
    tax_code: str
    kind: str = LINE
    quantity: Decimal = Decimal(1)
    unit_code: str = "C62"
    unit_price_minor: int = 0
    source: int | None = None  # the invoice's row that a credit note's row credits


@dataclass(frozen=True)
class TaxSum:
    """The sum and the tax of one category and rate (BG-23)."""

    tax: TaxKind
    taxable_minor: int
    tax_minor: int


@dataclass(frozen=True)
class DocumentTotals:
    """The totals of a document: rows, their net amounts in the same order, taxes and totals."""

    rows: tuple[Row, ...]
    nets: tuple[int, ...]
    taxes: tuple[TaxSum, ...]

    @property
    def net_minor(self) -> int:
        """Total without tax (BT-109): lines less allowances plus charges."""
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
    """Return the tax on an agreed amount at one rate: added to net prices, contained in gross ones.

    Rounded once, half up on the absolute value (EN 16931 BR-CO-17 as its official Schematron rounds).
    """
    share = Fraction(rate)
    if prices == "gross":
        share /= 1 + share
    return half_up(agreed_minor * share)


def compute_totals(
    rows: Sequence[Row],
    taxes: Sequence[TaxKind],
    prices: str,
    credited: Mapping[str, int] | None = None,
    *,
    reach: Mapping[str, int] | None = None,
) -> DocumentTotals:
    """Compute the totals of an invoice, or of a credit note when part of the invoice may have been credited before.

    ``credited`` are the agreed amounts already credited, by tax code. A credit note's tax is the tax on everything
    credited so far less the tax of the earlier notes. So the first note is exact by itself, and when everything is
    credited the notes add up to the invoice's tax to the cent.

    ``reach`` is the tax by code with which all documents of an order add up to what was agreed; it takes the place of
    a tax that is another by the rounding of the documents before, at most :data:`ROUNDED_APART`.
    """
    before, whole = credited or {}, reach or {}
    sums = sum_by_code((row.tax_code, row.amount_minor) for row in rows)
    charged: list[TaxSum] = []
    for tax in taxes:
        if tax.code in sums:
            agreed, earlier = sums[tax.code], before.get(tax.code, 0)
            due = tax_on(earlier + agreed, tax.rate, prices) - tax_on(earlier, tax.rate, prices)
            if abs(whole.get(tax.code, due) - due) <= ROUNDED_APART:
                due = whole.get(tax.code, due)
            charged.append(TaxSum(tax, agreed - due if prices == "gross" else agreed, due))
    return DocumentTotals(tuple(rows), _nets(rows, charged, prices), tuple(charged))


def _nets(rows: Sequence[Row], taxes: Sequence[TaxSum], prices: str) -> tuple[int, ...]:
    """Return each row's amount without tax; per rate they add up to the taxable sum."""
    if prices != "gross":
        return tuple(row.amount_minor for row in rows)
    nets = [0] * len(rows)
    for tax in taxes:
        places = [i for i, row in enumerate(rows) if row.tax_code == tax.tax.code]
        exact = [Fraction(rows[i].amount_minor) / (1 + Fraction(tax.tax.rate)) for i in places]
        for i, net in zip(places, round_to_total(tax.taxable_minor, exact), strict=True):
            nets[i] = net
    return tuple(nets)


def settled_status(due_minor: int, paid_minor: int, credited_minor: int) -> str:
    """Return the status of an issued invoice: ``issued``, ``part_paid`` or ``paid`` (paid or credited in full)."""
    if due_minor - paid_minor - credited_minor <= 0:
        return "paid"
    return "part_paid" if paid_minor > 0 else "issued"


#: How an issued document stands beside its status: credited in full or in part, and due before today.
CREDITED, PART_CREDITED, OVERDUE = "credited", "part_credited", "overdue"


def stands(
    status: str, *, total_minor: int, prepaid_minor: int, credited_minor: int, open_minor: int, overdue: bool
) -> tuple[str, ...]:
    """Return how an invoice stands: one status, then what else is so of it.

    A deposit that was paid before makes it partly paid, as a payment on it does; what was credited in full is not paid.
    ``open_minor`` is what is due of it less its payments and credits; ``overdue`` counts while something is open.
    """
    if 0 < total_minor <= credited_minor:
        return (CREDITED,)
    first = "part_paid" if status == "issued" and prepaid_minor > 0 and open_minor > 0 else status
    also = [PART_CREDITED] if credited_minor > 0 else []
    return (first, *also, *([OVERDUE] if overdue and open_minor > 0 else []))
