"""What another margin, discount or quantity would make of a quote."""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.book.selectors import book_current
from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen
from costing.contract import Book, Brief, InputErrors
from costing.estimating.engine import estimate
from costing.money.rounding import minor_digits, step_up, to_minor
from orders.quotes.draft.briefs import DessertTable, brief_of, table_of
from orders.quotes.draft.estimate import DraftEstimate, EstimatedLine, estimate_draft_with
from orders.quotes.models import Quote


@dataclass(frozen=True, slots=True)
class Compared:
    """A draft as it stands and as it would be."""

    before: DraftEstimate
    after: DraftEstimate

    @property
    def rows(self) -> list[tuple[EstimatedLine | None, EstimatedLine]]:
        """The lines of after, each with what it was before."""
        was = self.before.by_code
        return [(was.get(line.product.code), line) for line in self.after.lines]


@dataclass(frozen=True, slots=True)
class Change:
    """What to try: a margin for every price, a discount, or another quantity of one product."""

    margin: Decimal | None = None
    discount: Decimal | None = None
    product: str = ""
    units: int | None = None


def what_if(quote: Quote, change: Change, *, day: date) -> Compared:
    """Compare a draft with the same draft changed; nothing is written. ``quote`` comes from ``draft_full``."""
    book, profile, table = book_current(), kitchen(), table_of(quote)
    return Compared(
        before=_estimated(book, table, quote, profile, day),
        after=_estimated(book, changed_table(book, table, quote, change, day=day), quote, profile, day),
    )


def _estimated(book: Book, table: DessertTable, quote: Quote, profile: Kitchen, day: date) -> DraftEstimate:
    return estimate_draft_with(book, table, inquiry=quote.inquiry, kitchen=profile, day=day)


def changed_table(book: Book, table: DessertTable, quote: Quote, change: Change, *, day: date) -> DessertTable:
    """Return the table with a change in it. A margin becomes prices given by hand, from the changed units' costs.

    A table that cannot be priced comes back with quantity and discount changed only.
    """
    if change.discount is not None:
        table = replace(table, discount=change.discount)
    if change.product and change.units:
        table = table.with_line(change.product, units=change.units)
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
    """Return the price that leaves a margin, as the rules reckon it: with tax in it where prices are, rounded up."""
    rate = Fraction(0)
    if book.kitchen.prices == "gross" and not brief.tax_exempt:
        rate = book.tax(book.product(product).tax).rate_on(brief.tax_date) or rate
    return step_up(unit_cost / (1 - margin) * (1 + rate), book.kitchen.price_step)
