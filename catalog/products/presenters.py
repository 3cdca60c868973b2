"""The costs and prices of one unit of a product, in words and as a chart."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from catalog.pantry.declarations import Serves
from catalog.pantry.presenters import allergen_words, diet_words, label_words, unchecked_words
from catalog.price_rules.presenters import rule_sentence
from catalog.products.claims import ProductDeclared, UnprovenClaim
from catalog.products.models import Product
from catalog.products.selectors import CostPart, KindPrice, ProductPrices
from catalog.web.charts import MakeUp, price_makeup
from costing.contract import Explanation, LineEstimate

#: Kind of cost -> (its name, its content); ``minutes`` is the work for all ``units``.
_PARTS: Final = {
    "ingredients": ("Ingredients", "all recipes that go into it, as purchased, with loss and the kitchen’s waste"),
    "packaging": ("Packaging", "what is packed with each"),
    "labor": ("Labour", "{minutes} min of work for {units}, recipes and steps together"),
    "overhead": ("Overhead", "per labour hour, per hour of oven and cold room, and per order"),
}


@dataclass(frozen=True, slots=True)
class PartShown:
    """One of the four costs of a unit: its name and content, its share of the net price, its explanation."""

    name: str
    how: str
    each: Fraction
    share: Fraction | None
    why: Explanation | None


@dataclass(frozen=True, slots=True)
class KindShown:
    """The price of one unit for a kind of customer, and the rule in words."""

    kind: str
    rule: str
    line: LineEstimate
    markup: Fraction | None
    why: dict[str, Explanation]


@dataclass(frozen=True, slots=True)
class PricesShown:
    """A product's prices at a quantity, as its page shows them."""

    parts: list[PartShown]
    kinds: list[KindShown]
    picture: str


def prices_shown(product: Product, prices: ProductPrices) -> PricesShown:
    """Write a product's prices."""
    parts = [_part_shown(part, prices) for part in prices.parts]
    return PricesShown(parts, list(_kinds_shown(product, prices.prices)), _picture(product, prices))


def _part_shown(part: CostPart, prices: ProductPrices) -> PartShown:
    name, how = _PARTS[part.kind]
    minutes = round(prices.first.line.labor_minutes)
    return PartShown(name, how.format(minutes=minutes, units=prices.units), part.each, part.share, part.why)


def _kinds_shown(product: Product, prices: Iterable[KindPrice]) -> Iterable[KindShown]:
    for price in prices:
        rule = rule_sentence(price.rule, price.rule_name, product.name)
        yield KindShown(price.kind or "anybody", rule, price.line, price.markup, price.why)


def _picture(product: Product, prices: ProductPrices) -> str:
    costs = {part.kind: part.each for part in prices.parts}
    line = MakeUp(label=f"One {product.name}", price=prices.net_each, **costs)
    return price_makeup([line], title="What one is made of")


@dataclass(frozen=True, slots=True)
class DeclaredShown:
    """A product's allergens and diets in words, and the ingredients nobody answered for."""

    label: str
    diets: str
    unknown_diets: str
    unchecked: tuple[str, ...]
    claims: tuple[str, ...]


def declared_shown(found: ProductDeclared) -> DeclaredShown:
    """Write what a product declares."""
    one = found.declaration
    return DeclaredShown(
        label=label_words(one.allergens, one.may_allergens, one.unchecked_allergens, found.which, names=one.names),
        diets=diet_words(diet for diet, serves in found.diets.items() if serves == Serves.FREE),
        unknown_diets=diet_words(diet for diet, serves in found.diets.items() if serves == Serves.NOT_CHECKED),
        unchecked=tuple(f"{row.name}: {unchecked_words(row.codes)}" for row in found.open_questions),
        claims=tuple(map(claim_sentence, found.claims)),
    )


_AGAINST: Final = {
    Serves.CONTAINS: "it contains {codes}",
    Serves.MAY_CONTAIN: "it may contain {codes}",
    Serves.NOT_CHECKED: "not every ingredient is checked for that",
}


def claim_sentence(claim: UnprovenClaim) -> str:
    """Write what speaks against a claim in a product's name or description."""
    against = _AGAINST[claim.answer.serves].format(codes=allergen_words(claim.answer.codes))
    return f"{claim.name} is described with “{claim.words}”, but {against}."
