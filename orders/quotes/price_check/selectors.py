"""The price check of a quote; ``as_sent``: with the Book it was sent with. ``floor`` is a margin [share]."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from math import ceil

from catalog.book.selectors import book_current
from catalog.kitchen.selectors import kitchen
from catalog.taxes.names import category_name
from costing.contract import Book, Estimate, Explanation, InputErrors, read_book, read_brief
from costing.contract.estimate import IngredientEstimate, PackCount, TaxEstimate
from costing.estimating.engine import estimate
from costing.estimating.explain import explain
from orders.documents.content import content_read
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
    pieces: int | None
    cost: Fraction
    packs: tuple[PackCount, ...]
    leftover_value: Fraction | None
    how: Explanations


@dataclass(frozen=True, slots=True)
class OrderPart:
    """A part of the order's price before tax [currency]; ``lines`` are the products' shares of a cost, by name.

    ``kind`` is ingredients, packaging, labour, overhead, delivery, extras or margin. Only a margin may be negative.
    """

    kind: str
    amount: Fraction
    lines: tuple[tuple[str, Fraction], ...] = ()


@dataclass(frozen=True, slots=True)
class ExplainedTax:
    """A tax of the order: its category's name, its figures, and how the tax came about."""

    name: str
    tax: TaxEstimate
    how: Explanation | None


@dataclass(frozen=True, slots=True)
class PriceCheck:
    """The price check of a quote; ``as_sent`` if computed with the Book it was sent with. ``floor`` is a margin
    [share]. ``names`` are what codes in explanations stand for: products, extras, price rules' products, taxes.
    """

    quote: Quote
    as_sent: bool = False
    tax_name: str = ""
    floor: Fraction = Fraction(0)
    estimate: Estimate | None = None
    problems: tuple[Problem, ...] = ()
    lines: tuple[ExplainedLine, ...] = ()
    taxes: tuple[ExplainedTax, ...] = ()
    totals: Explanations = field(default_factory=dict)
    delivery: Explanations = field(default_factory=dict)
    ingredients: tuple[ExplainedIngredient, ...] = ()
    names: Mapping[str, str] = field(default_factory=dict)

    @property
    def per_guest(self) -> Fraction | None:
        """The total with tax for each guest, where their number is known."""
        guests = self.quote.inquiry.guests
        return self.estimate.totals.total / guests if self.estimate and guests else None

    @property
    def below_floor(self) -> bool:
        """Whether the products earn less than the kitchen's floor margin."""
        return self.estimate is not None and self.estimate.totals.below_floor

    @property
    def parts(self) -> tuple[OrderPart, ...]:
        """What the order's revenue before tax consists of: each cost there is, and last the margin."""
        if self.estimate is None:
            return ()
        totals, delivery = self.estimate.totals, self.estimate.delivery
        costs = [
            _part("ingredients", [(line.product.name, line.line.ingredients) for line in self._estimated]),
            _part("packaging", [(line.product.name, line.line.packaging) for line in self._estimated]),
            _part("labour", [(line.product.name, line.line.labor) for line in self._estimated]),
            _part("overhead", [(line.product.name, line.line.overhead) for line in self._estimated]),
        ]
        if delivery is not None:
            costs.append(OrderPart("delivery", delivery.cost))
        rest = totals.cost - sum((part.amount for part in costs), Fraction(0))
        if rest > _NOTHING and self.quote.extras.all():
            costs.append(OrderPart("extras", rest))
        return (*costs, OrderPart("margin", totals.revenue - totals.cost))

    @property
    def _estimated(self) -> tuple[EstimatedLine, ...]:
        return tuple(line.estimated for line in self.lines)


#: Costs are correct to at least thirty decimals; what differs by less is no cost.
_NOTHING = Fraction(1, 10**20)


def _part(kind: str, lines: list[tuple[str, Fraction]]) -> OrderPart:
    return OrderPart(kind, sum((amount for _, amount in lines), Fraction(0)), tuple(lines))


def price_check(quote: Quote, *, day: date) -> PriceCheck:
    """Explain a quote with rows: a draft by today's Book, a sent one by the Book and Brief it was sent with."""
    as_sent = quote.status != QuoteStatus.DRAFT and quote.book is not None
    if as_sent and quote.book is not None:
        book, brief = _with_names(read_book(quote.book.body), quote), read_brief(quote.brief)
    else:
        book, brief = book_current(), brief_of_quote(quote, day=day)
    if not brief.lines:
        return PriceCheck(quote)
    try:
        found = estimate(book, brief)
    except InputErrors as errors:
        return PriceCheck(quote, problems=problems_of_errors(errors.errors, table_of(quote), book))
    return _explained(quote, book, found, explain(book, brief, found), as_sent=as_sent)


def _with_names(book: Book, quote: Quote) -> Book:
    """Return the Book a quote was sent with, its taxes with the names they have in the quote: a Book has only codes."""
    names = {tax.code: tax.name for tax in content_read(quote.content).taxes}
    return replace(book, taxes=tuple(replace(tax, name=names.get(tax.code, "")) for tax in book.taxes))


def _explained(quote: Quote, book: Book, found: Estimate, how: Explanations, *, as_sent: bool) -> PriceCheck:
    places = {line.product: place for place, line in enumerate(found.lines)}
    lines = estimated_lines(book, found, [line.product.code for line in quote.lines.all()])
    totals = _under(how, "/totals/")
    return PriceCheck(
        quote=quote,
        as_sent=as_sent,
        tax_name=content_read(quote.content).tax_name if as_sent else kitchen().tax_name,
        floor=book.kitchen.floor_margin,
        estimate=found,
        lines=tuple(ExplainedLine(line, _under(how, f"/lines/{places[line.product.code]}/")) for line in lines),
        taxes=tuple(
            ExplainedTax(category_name(book.tax(tax.code).name, tax.code), tax, totals.get(f"taxes/{place}/tax"))
            for place, tax in enumerate(found.totals.taxes)
        ),
        totals=totals,
        delivery=_under(how, "/delivery/"),
        ingredients=tuple(sorted(_ingredients(book, found, how), key=lambda one: one.name.casefold())),
        names=_names(quote, book, found),
    )


def _names(quote: Quote, book: Book, found: Estimate) -> dict[str, str]:
    """Return what the codes in explanations are called; an extra's code is its place, as the Brief counts them."""
    return {
        **{tax.code: category_name(tax.name, tax.code) for tax in book.taxes},
        **{f"extra-{place}": extra.name for place, extra in enumerate(quote.extras.all(), start=1)},
        **{line.product: book.product(line.product).name for line in found.lines},
    }


def _under(how: Explanations, place: str) -> dict[str, Explanation]:
    return {key[len(place) :]: explanation for key, explanation in how.items() if key.startswith(place)}


def _pieces(one: IngredientEstimate, grams_each: Fraction | None) -> int | None:
    """Return how many pieces cover the mass of what has a piece weight, such as eggs; None of anything else."""
    return None if grams_each is None or one.base == "each" else ceil(one.as_purchased / grams_each)


def _ingredients(book: Book, found: Estimate, how: Explanations) -> Iterator[ExplainedIngredient]:
    for place, one in enumerate(found.ingredients):
        yield ExplainedIngredient(
            name=book.ingredient(one.ingredient).name,
            base=one.base,
            as_purchased=one.as_purchased,
            pieces=_pieces(one, book.ingredient(one.ingredient).grams_each),
            cost=one.cost,
            packs=one.packs or (),
            leftover_value=one.leftover_value,
            how=_under(how, f"/ingredients/{place}/"),
        )
