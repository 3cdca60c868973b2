"""What-if: a quote with another margin, discount or quantities. Nothing is written."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.book.selectors import book_current
from costing.contract import Book, Brief, InputErrors
from costing.estimating.engine import estimate
from costing.money.rounding import minor_digits, step_up, to_minor
from orders.quotes.draft.dessert_table import DessertTable, brief_of, table_of
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine, estimate_draft_with
from orders.quotes.models import Quote


@dataclass(frozen=True, slots=True)
class Comparison:
    """A draft as it stands and as it would be."""

    before: DraftEstimate
    after: DraftEstimate

    @property
    def rows(self) -> list[tuple[EstimatedLine | None, EstimatedLine]]:
        """The lines after the change, each with the line before."""
        before = self.before.by_code
        return [(before.get(line.product.code), line) for line in self.after.lines]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What to try: a margin for every price, a discount [shares], other quantities by product code."""

    margin: Decimal | None = None
    discount: Decimal | None = None
    units: Mapping[str, int] = field(default_factory=dict)

    @property
    def changes(self) -> bool:
        """Whether anything is to be tried."""
        return self.margin is not None or self.discount is not None or bool(self.units)


def draft_now(quote: Quote, *, day: date) -> DraftEstimate:
    """Compute a draft as it is saved. The quote comes with its rows."""
    return estimate_draft_with(book_current(), table_of(quote), inquiry=quote.inquiry, day=day)


def what_if(quote: Quote, change: WhatIf, *, before: DraftEstimate, day: date) -> Comparison:
    """Compare a draft, computed before, with the same draft changed. The quote comes with its rows."""
    book = before.book or book_current()
    changed = changed_table(book, before.table, quote, change, day=day)
    return Comparison(before=before, after=estimate_draft_with(book, changed, inquiry=quote.inquiry, day=day))


def changed_table(book: Book, table: DessertTable, quote: Quote, change: WhatIf, *, day: date) -> DessertTable:
    """Return the table with a change applied. A margin becomes prices given by hand, from the changed costs.

    If the table cannot be priced, only quantities and discount are changed.
    """
    if change.discount is not None:
        table = replace(table, discount=change.discount)
    for code, units in change.units.items():
        table = table.with_line(code, units=units)
    if change.margin is None:
        return table
    brief = brief_of(table, inquiry=quote.inquiry, currency=book.currency, day=day)
    try:
        found = estimate(book, brief, warn=False)
    except InputErrors:
        return table
    for line in found.lines:
        price = _price_at(book, brief, line.product, line.unit_cost, Fraction(change.margin))
        table = table.with_line(line.product, unit_price_minor=to_minor(price, minor_digits(book.currency)))
    return table


def _price_at(book: Book, brief: Brief, product: str, unit_cost: Fraction, margin: Fraction) -> Fraction:
    """Return the price that gives a margin, as the rules compute it: including tax if prices do, rounded up."""
    rate = Fraction(0)
    if book.kitchen.prices == "gross" and not brief.tax_exempt:
        rate = book.tax(book.product(product).tax).rate_on(brief.tax_date) or rate
    return step_up(unit_cost / (1 - margin) * (1 + rate), book.kitchen.price_step)
