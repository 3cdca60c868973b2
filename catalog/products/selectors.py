"""Products for their list and page: prices by customer kind, costs of one unit, time until ready."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Final

from django.core.paginator import Page, Paginator
from django.db.models import Prefetch, QuerySet

from catalog.book.selectors import book_current
from catalog.price_rules.models import PriceRule
from catalog.products.models import Fill, Packaging, Product, ProductStep
from catalog.records.errors import CannotPrice
from costing import Brief, BriefLine, Estimate, InputErrors, estimate
from costing.contract import Book, CostingError, Explanation, LineEstimate
from costing.contract import PriceRule as Rule
from costing.estimating.explain import explain

#: Rows of one page of the list.
SHOWN: Final = 50
_LINE: Final = "/lines/0/"
#: Name of a cost in an Estimate's explanations, where it differs.
_FIGURES: Final = {"labor": "labour"}


@dataclass(frozen=True, slots=True)
class ProductRow:
    """One product of the list: its price for any customer in a usual order and alone, or why it has none."""

    product: Product
    line: LineEstimate | None
    problem: CostingError | None = None
    alone: LineEstimate | None = None

    @property
    def least(self) -> int:
        """The fewest that are sold."""
        return self.product.sale_multiple


@dataclass(frozen=True, slots=True)
class ProductList:
    """A page of the list, its active and its archived products, and the problems that stop every price."""

    page: Page[Product]
    sold: list[ProductRow]
    aside: list[ProductRow]
    stop: CannotPrice | None


#: Orders of the list of products.
SORTS: Final = {
    "category": ("category", "name", "pk"),
    "name": ("name", "pk"),
    "servings": ("-servings", "name", "pk"),
    "latest": ("-pk",),
}


def product_list(
    *, day: date, priced: bool, search: str = "", sort: str = "category", page: str | None = None
) -> ProductList:
    """Return a page of the products with their prices, active ones first, in a fixed number of queries.

    ``sort`` is a key of `SORTS`.
    """
    order = SORTS.get(sort, SORTS["category"])
    found = Product.objects.select_related("mold").order_by("-active", *order)
    if search:
        found = found.filter(name__icontains=search) | found.filter(category__icontains=search)
    shown = Paginator(found, SHOWN).get_page(page)
    book, stop = _book() if priced else (None, None)
    rows = [_row(product, book, day) for product in shown]
    sold = [row for row in rows if row.product.active]
    return ProductList(shown, sold, [row for row in rows if not row.product.active], stop)


def _book() -> tuple[Book | None, CannotPrice | None]:
    try:
        return book_current(), None
    except CannotPrice as error:
        return None, error


def _row(product: Product, book: Book | None, day: date) -> ProductRow:
    if book is None:
        return ProductRow(product, None)
    try:
        found = _estimated(book, product.code, usual_units(product), day, None)
        alone = _estimated(book, product.code, product.sale_multiple, day, None)
    except InputErrors as errors:
        return ProductRow(product, None, errors.errors[0])
    return ProductRow(product, found.line(product.code), alone=alone.line(product.code))


def usual_units(product: Product) -> int:
    """Return the quantity of a usual order: one load, or what makes two dozen servings, in multiples sold."""
    wanted = product.load or -(-24 // max(1, product.servings))
    return max(1, -(-wanted // product.sale_multiple)) * product.sale_multiple


def _brief(code: str, units: int, day: date, kind: str | None) -> Brief:
    return Brief(date=day, supply_date=day, customer_kind=kind, lines=(BriefLine(code, units),))


def _estimated(book: Book, code: str, units: int, day: date, kind: str | None) -> Estimate:
    return estimate(book, _brief(code, units, day, kind), warn=False)


def products_whole() -> QuerySet[Product]:
    """Return products with fills, packaging and steps prefetched."""
    fills = Fill.objects.select_related("recipe")
    packaging = Packaging.objects.select_related("ingredient")
    steps = ProductStep.objects.select_related("role", "station")
    return Product.objects.select_related("mold", "tax").prefetch_related(
        Prefetch("fills", queryset=fills),
        Prefetch("packaging", queryset=packaging),
        Prefetch("steps", queryset=steps),
    )


@dataclass(frozen=True, slots=True)
class KindPrice:
    """Cost and price of one unit for a kind of customer (none: any customer), and the rule that applies."""

    kind: str
    line: LineEstimate
    rule: Rule
    rule_name: str
    why: dict[str, Explanation]

    @property
    def markup(self) -> Fraction | None:
        """Markup: the price above the cost as a share of the cost."""
        return (self.line.net - self.line.cost) / self.line.cost if self.line.cost else None


@dataclass(frozen=True, slots=True)
class CostPart:
    """One of the four costs of a unit, its share of the net price, and its explanation."""

    kind: str
    each: Fraction
    share: Fraction | None
    why: Explanation | None


@dataclass(frozen=True, slots=True)
class ProductPrices:
    """A product priced at a quantity."""

    units: int
    prices: tuple[KindPrice, ...]
    parts: tuple[CostPart, ...]
    gross: bool

    @property
    def first(self) -> KindPrice:
        """The price for any customer."""
        return self.prices[0]

    @property
    def net_each(self) -> Fraction:
        """Net price of one unit."""
        return self.first.line.net / self.units

    @property
    def margin_each(self) -> Fraction:
        """Margin of one unit in money."""
        return self.net_each - self.first.line.unit_cost


def product_prices(*, product: Product, units: int, day: date) -> ProductPrices:
    """Price a product at a quantity, for any customer and for each kind of customer a rule names.

    Raises
    ------
    CannotPrice
        When the catalog has an error, or something this product needs has no price in force.
    """
    book = book_current()
    kinds = [None, *customer_kinds(book.price_rules)]
    try:
        found = [(kind, _estimated(book, product.code, units, day, kind)) for kind in kinds]
    except InputErrors as errors:
        raise CannotPrice(problem=errors.errors[0].message) from errors
    first = found[0][1]
    whys = [_whys(book, _brief(product.code, units, day, kind), of) for kind, of in found]
    names = dict(PriceRule.objects.values_list("code", "name"))
    return ProductPrices(
        units=units,
        prices=tuple(
            _kind_price(book, kind, of.line(product.code), names, why)
            for (kind, of), why in zip(found, whys, strict=True)
        ),
        parts=_parts(first.line(product.code), units, whys[0]),
        gross=book.kitchen.prices == "gross",
    )


def customer_kinds(rules: Sequence[Rule]) -> list[str]:
    """Return the kinds of customer that price rules name, each once."""
    return list(dict.fromkeys(rule.customer_kind for rule in rules if rule.customer_kind))


def _whys(book: Book, brief: Brief, found: Estimate) -> dict[str, Explanation]:
    """Return the explanations of the only line, by the figure's name."""
    explanations = explain(book, brief, found)
    return {at.removeprefix(_LINE): why for at, why in explanations.items() if at.startswith(_LINE)}


def _kind_price(
    book: Book,
    kind: str | None,
    line: LineEstimate,
    names: dict[str, str],
    why: dict[str, Explanation],
) -> KindPrice:
    rule = book.price_rule(line.rule)
    return KindPrice(kind or "", line, rule, names.get(rule.code) or rule.code, why)


def _parts(line: LineEstimate, units: int, why: dict[str, Explanation]) -> tuple[CostPart, ...]:
    net = line.net / units
    costs = {
        "ingredients": line.ingredients,
        "packaging": line.packaging,
        "labor": line.labor,
        "overhead": line.overhead,
    }
    return tuple(
        CostPart(kind, cost / units, cost / units / net if net else None, why.get(_FIGURES.get(kind, kind)))
        for kind, cost in costs.items()
    )


def also_made(product: Product) -> dict[str, list[Product]]:
    """Return other products by the recipe they share with this one."""
    recipes = [fill.recipe_id for fill in product.fills.all()]
    shared = Fill.objects.filter(recipe__in=recipes).exclude(product=product)
    found: dict[str, list[Product]] = {}
    for fill in shared.select_related("recipe", "product").order_by("recipe__name", "product__name"):
        others = found.setdefault(fill.recipe.name, [])
        if fill.product not in others:
            others.append(fill.product)
    return found
