"""Why a quote costs what it costs, and what another margin, discount or quantity would make of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.utils.safestring import SafeString

from catalog import display
from catalog.models import Kitchen
from catalog.pictures.makeup import MakeUp, price_makeup
from catalog.pictures.margins import MarginRow, margins
from catalog.selectors.books import book_current
from catalog.selectors.kitchen import kitchen
from costing.book import Book
from costing.brief import Brief
from costing.engine import estimate
from costing.errors import InputErrors
from costing.estimates import Estimate
from costing.explain import Explanation, explain
from costing.money import minor_digits, step_up, to_minor
from orders.briefs import Table, brief_of, brief_of_quote, table_of
from orders.models import Quote
from orders.selectors.drafts import Reckoned, Reckoning, Trouble, reckon_with, reckoned_lines, troubles_of
from orders.selectors.quotes import draft_full
from orders.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class WhyLine:
    """A line with how each of its figures came about, by the figure's name."""

    reckoned: Reckoned
    how: Mapping[str, Explanation]


@dataclass(frozen=True, slots=True)
class Why:
    """Why a quote costs what it costs; a sent one by the Book it was sent with."""

    quote: Quote
    frozen: bool
    estimate: Estimate | None
    lines: tuple[WhyLine, ...]
    totals: Mapping[str, Explanation]
    delivery: Mapping[str, Explanation]
    ingredients: tuple["WhyIngredient", ...]
    prices_picture: SafeString
    margins_picture: SafeString
    troubles: tuple[Trouble, ...]


@dataclass(frozen=True, slots=True)
class WhyIngredient:
    """An ingredient of the order: what is needed, bought and paid."""

    name: str
    base: str
    as_purchased: Fraction
    cost: Fraction
    packs: str
    leftover_value: Fraction | None
    how: Mapping[str, Explanation]


def quote_why(quote_id: int, *, day: date) -> Why:
    """Explain a quote: a draft by today's Book, a sent one by the Book and Brief it was sent with.

    Raises Quote.DoesNotExist.
    """
    quote = draft_full(quote_id)
    frozen = quote.status != QuoteStatus.DRAFT and quote.book is not None
    if frozen and quote.book is not None:
        book, brief = Book.from_json(quote.book.body), Brief.from_json(quote.brief)
    else:
        book, brief = book_current(), brief_of_quote(quote, day=day)
    if not brief.lines:
        return _nothing(quote, ())
    try:
        found = estimate(book, brief)
    except InputErrors as errors:
        return _nothing(quote, troubles_of(errors.errors, table_of(quote), book))
    return _why(quote, book, found, explain(book, brief, found), frozen=frozen)


def _nothing(quote: Quote, troubles: tuple[Trouble, ...]) -> Why:
    return Why(quote, False, None, (), {}, {}, (), SafeString(""), SafeString(""), troubles)


def _why(quote: Quote, book: Book, found: Estimate, how: Mapping[str, Explanation], *, frozen: bool) -> Why:
    order = [line.product.code for line in quote.lines.all()]
    lines = reckoned_lines(book, found, order)
    places = {line.product: place for place, line in enumerate(found.lines)}
    return Why(
        quote=quote,
        frozen=frozen,
        estimate=found,
        lines=tuple(WhyLine(line, _under(how, f"/lines/{places[line.product.code]}/")) for line in lines),
        totals=_under(how, "/totals/"),
        delivery=_under(how, "/delivery/"),
        ingredients=tuple(_ingredients(book, found, how)),
        prices_picture=made_of(lines, found.currency),
        margins_picture=margins(_margin_rows(book, lines)),
        troubles=(),
    )


def _under(how: Mapping[str, Explanation], place: str) -> dict[str, Explanation]:
    return {key[len(place) :]: told for key, told in how.items() if key.startswith(place)}


def made_of(lines: Sequence[Reckoned], currency: str) -> SafeString:
    """Draw what each line's net amount is made of: ingredients, packaging, labour, overhead and margin."""
    return price_makeup([_make_up(line) for line in lines], currency=currency)


def _make_up(line: Reckoned) -> MakeUp:
    one = line.line
    return MakeUp(line.product.name, one.net, one.ingredients, one.packaging, one.labour, one.overhead)


def _margin_rows(book: Book, lines: Sequence[Reckoned]) -> list[MarginRow]:
    return [
        MarginRow(
            line.product.name,
            line.line.margin,
            book.price_rule(line.line.rule).margin,
            book.kitchen.floor_margin,
        )
        for line in lines
        if line.line.margin is not None
    ]


def _ingredients(book: Book, found: Estimate, how: Mapping[str, Explanation]) -> Sequence[WhyIngredient]:
    rows = [
        WhyIngredient(
            name=book.ingredient(one.ingredient).name,
            base=one.base,
            as_purchased=one.as_purchased,
            cost=one.cost,
            packs=", ".join(f"{pack.count} × {display.measure(pack.size)}" for pack in one.packs or ()),
            leftover_value=one.leftover_value,
            how=_under(how, f"/ingredients/{place}/"),
        )
        for place, one in enumerate(found.ingredients)
    ]
    return sorted(rows, key=lambda row: row.name.casefold())


@dataclass(frozen=True, slots=True)
class Compared:
    """A draft as it stands and as it would be."""

    before: Reckoning
    after: Reckoning

    @property
    def rows(self) -> list[tuple[Reckoned | None, Reckoned]]:
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
        before=_reckoned(book, table, quote, profile, day),
        after=_reckoned(book, changed_table(book, table, quote, change, day=day), quote, profile, day),
    )


def _reckoned(book: Book, table: Table, quote: Quote, profile: Kitchen, day: date) -> Reckoning:
    return reckon_with(book, table, enquiry=quote.enquiry, kitchen=profile, day=day)


def changed_table(book: Book, table: Table, quote: Quote, change: Change, *, day: date) -> Table:
    """Return the table with a change in it. A margin becomes prices given by hand, from the changed units' costs.

    A table that cannot be priced comes back with quantity and discount changed only.
    """
    if change.discount is not None:
        table = replace(table, discount=change.discount)
    if change.product and change.units:
        table = table.with_line(change.product, units=change.units)
    if change.margin is None:
        return table
    brief = brief_of(table, enquiry=quote.enquiry, currency=book.currency, day=day)
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
