"""The price check of a quote; ``as_sent``: with the Book it was sent with. ``floor`` is a margin [share]."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from catalog.book.selectors import book_current
from costing.contract import Book, Estimate, Explanation, InputErrors, read_book, read_brief
from costing.contract.estimate import PackCount
from costing.estimating.engine import estimate
from costing.estimating.explain import explain
from orders.quotes.draft.dessert_table import brief_of_quote, table_of
from orders.quotes.draft.estimate import EstimatedLine, Problem, estimated_lines, problems_of_errors
from orders.quotes.models import Quote
from orders.records.states import QuoteStatus

#: Explanations by the figure's name, as the Estimate's JSON has it.
Explanations = Mapping[str, Explanation]


@dataclass(frozen=True, slots=True)
class ExplainedLine:
    """A line with the explanation of each of its figures."""

    estimated: EstimatedLine
    how: Explanations


@dataclass(frozen=True, slots=True)
class ExplainedIngredient:
    """An ingredient of the order: what is needed, bought and paid [g or each, currency]."""

    name: str
    base: str
    as_purchased: Fraction
    cost: Fraction
    packs: tuple[PackCount, ...]
    leftover_value: Fraction | None
    how: Explanations


@dataclass(frozen=True, slots=True)
class PriceCheck:
    """The price check of a quote; ``as_sent`` if computed with the Book it was sent with. ``floor`` is a margin
    [share].
    """

    quote: Quote
    as_sent: bool = False
    floor: Fraction = Fraction(0)
    estimate: Estimate | None = None
    problems: tuple[Problem, ...] = ()
    lines: tuple[ExplainedLine, ...] = ()
    totals: Explanations = field(default_factory=dict)
    delivery: Explanations = field(default_factory=dict)
    ingredients: tuple[ExplainedIngredient, ...] = ()


def price_check(quote: Quote, *, day: date) -> PriceCheck:
    """Explain a quote with rows: a draft by today's Book, a sent one by the Book and Brief it was sent with."""
    as_sent = quote.status != QuoteStatus.DRAFT and quote.book is not None
    if as_sent and quote.book is not None:
        book, brief = read_book(quote.book.body), read_brief(quote.brief)
    else:
        book, brief = book_current(), brief_of_quote(quote, day=day)
    if not brief.lines:
        return PriceCheck(quote)
    try:
        found = estimate(book, brief)
    except InputErrors as errors:
        return PriceCheck(quote, problems=problems_of_errors(errors.errors, table_of(quote), book))
    return _explained(quote, book, found, explain(book, brief, found), as_sent=as_sent)


def _explained(quote: Quote, book: Book, found: Estimate, how: Explanations, *, as_sent: bool) -> PriceCheck:
    places = {line.product: place for place, line in enumerate(found.lines)}
    lines = estimated_lines(book, found, [line.product.code for line in quote.lines.all()])
    return PriceCheck(
        quote=quote,
        as_sent=as_sent,
        floor=book.kitchen.floor_margin,
        estimate=found,
        lines=tuple(ExplainedLine(line, _under(how, f"/lines/{places[line.product.code]}/")) for line in lines),
        totals=_under(how, "/totals/"),
        delivery=_under(how, "/delivery/"),
        ingredients=tuple(sorted(_ingredients(book, found, how), key=lambda one: one.name.casefold())),
    )


def _under(how: Explanations, place: str) -> dict[str, Explanation]:
    return {key[len(place) :]: explanation for key, explanation in how.items() if key.startswith(place)}


def _ingredients(book: Book, found: Estimate, how: Explanations) -> Iterator[ExplainedIngredient]:
    for place, one in enumerate(found.ingredients):
        yield ExplainedIngredient(
            name=book.ingredient(one.ingredient).name,
            base=one.base,
            as_purchased=one.as_purchased,
            cost=one.cost,
            packs=one.packs or (),
            leftover_value=one.leftover_value,
            how=_under(how, f"/ingredients/{place}/"),
        )
