"""Why a quote costs what it costs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from django.utils.safestring import SafeString

from catalog.book.selectors import book_current
from catalog.web import display
from catalog.web.charts.makeup import MakeUp, price_makeup
from catalog.web.charts.margins import MarginRow, margins
from costing.contract import Book, Estimate, Explanation, InputErrors, read_book, read_brief
from costing.estimating.engine import estimate
from costing.estimating.explain import explain
from orders.quotes.draft.briefs import brief_of_quote, table_of
from orders.quotes.draft.estimate import (
    EstimatedLine,
    Problem,
    estimated_lines,
    problems_of_errors,
)
from orders.quotes.models import Quote
from orders.quotes.selectors import draft_full
from orders.records.states import QuoteStatus


@dataclass(frozen=True, slots=True)
class WhyLine:
    """A line with how each of its figures came about, by the figure's name."""

    estimated: EstimatedLine
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
    problems: tuple[Problem, ...]


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
        book, brief = read_book(quote.book.body), read_brief(quote.brief)
    else:
        book, brief = book_current(), brief_of_quote(quote, day=day)
    if not brief.lines:
        return _nothing(quote, ())
    try:
        found = estimate(book, brief)
    except InputErrors as errors:
        return _nothing(quote, problems_of_errors(errors.errors, table_of(quote), book))
    return _why(quote, book, found, explain(book, brief, found), frozen=frozen)


def _nothing(quote: Quote, problems: tuple[Problem, ...]) -> Why:
    return Why(quote, False, None, (), {}, {}, (), SafeString(""), SafeString(""), problems)


def _why(quote: Quote, book: Book, found: Estimate, how: Mapping[str, Explanation], *, frozen: bool) -> Why:
    order = [line.product.code for line in quote.lines.all()]
    lines = estimated_lines(book, found, order)
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
        problems=(),
    )


def _under(how: Mapping[str, Explanation], place: str) -> dict[str, Explanation]:
    return {key[len(place) :]: told for key, told in how.items() if key.startswith(place)}


def made_of(lines: Sequence[EstimatedLine], currency: str) -> SafeString:
    """Draw what each line's net amount is made of: ingredients, packaging, labor, overhead and margin."""
    return price_makeup([_make_up(line) for line in lines], currency=currency)


def _make_up(line: EstimatedLine) -> MakeUp:
    one = line.line
    return MakeUp(line.product.name, one.net, one.ingredients, one.packaging, one.labor, one.overhead)


def _margin_rows(book: Book, lines: Sequence[EstimatedLine]) -> list[MarginRow]:
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
