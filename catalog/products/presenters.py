"""The costs and prices of one unit of a product, in words and as a chart."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from django.utils.safestring import SafeString
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as marked

from catalog.pantry.declarations import Serves
from catalog.pantry.presenters import allergen_words, diet_words, label_words, unchecked_words
from catalog.price_rules.presenters import rule_sentence
from catalog.products.claims import ProductDeclared, UnprovenClaim
from catalog.products.models import Product
from catalog.products.selectors import CostPart, KindPrice, ProductPrices
from catalog.products.spoken import Spoken
from catalog.web.charts import BarPart, price_bar
from catalog.web.derivations import Derivation, derivation
from catalog.web.display import amount, fine, percent
from catalog.web.figure_rows import FigureRow
from costing.contract import LineEstimate

#: Order of the list of products -> its name.
SORTED: Final = {
    "category": gettext_lazy("category"),
    "name": gettext_lazy("name"),
    "servings": gettext_lazy("most servings"),
    "latest": gettext_lazy("latest added"),
}
#: Kind of cost -> (its name, its content); ``minutes`` is the work for all ``units``.
_PARTS: Final = {
    "ingredients": (marked("Ingredients"), marked("its recipes, as purchased, with losses and the kitchen’s waste")),
    "packaging": (marked("Packaging"), marked("packed with each")),
    "labor": (marked("Labor"), marked("%(minutes)s min of work for all %(units)s, with spares and minimum batches")),
    "overhead": (marked("Overhead"), marked("per labor hour, per hour of oven and cold room, and per order")),
}

#: Kind of cost -> its kind in the bar of a price, where it differs.
_KINDS: Final = {"labor": "labour"}


@dataclass(frozen=True, slots=True)
class KindShown:
    """The price of one unit for a kind of customer, and the rule in words; its row opens to the price by the rule."""

    kind: str
    rule: str
    line: LineEstimate
    markup: Fraction | None
    why: Derivation | None


@dataclass(frozen=True, slots=True)
class PricesShown:
    """A product's prices at a quantity, as its page shows them."""

    bar: SafeString
    parts: tuple[FigureRow, ...]
    kinds: list[KindShown]


def prices_shown(product: Product, prices: ProductPrices) -> PricesShown:
    """Write a product's prices."""
    costs = [
        BarPart(_KINDS.get(part.kind, part.kind), gettext(_PARTS[part.kind][0]), part.each) for part in prices.parts
    ]
    margin = BarPart("margin", gettext("Margin"), prices.margin_each)
    bar = price_bar([*costs, margin], title=gettext("Price of one"))
    rows = [_part_row(part, prices, track) for part, track in zip(prices.parts, bar.tracks[:-1], strict=True)]
    rows += _margin_rows(prices, bar.tracks[-1])
    return PricesShown(bar.whole, tuple(rows), list(_kinds_shown(product, prices.prices)))


def _part_row(part: CostPart, prices: ProductPrices, track: SafeString) -> FigureRow:
    """Write a cost of one unit; its derivation is that of all units, which it says."""
    name, how = _PARTS[part.kind]
    minutes = round(prices.first.line.labor_minutes)
    why = derivation(part.why)
    if why is not None and prices.units > 1:
        together = gettext("%(sentence)s All %(units)s together, ÷ %(units)s for one.")
        why = Derivation(together % {"sentence": why.sentence, "units": prices.units}, why.inputs)
    return FigureRow(
        gettext(name),
        amount(part.each),
        note=gettext(how) % {"minutes": minutes, "units": prices.units},
        share="" if part.share is None else percent(part.share),
        how=why,
        track=track,
    )


def _margin_rows(prices: ProductPrices, track: SafeString) -> Iterable[FigureRow]:
    line = prices.first.line
    yield FigureRow(
        gettext("Margin"),
        amount(prices.margin_each),
        share="" if line.margin is None else percent(line.margin),
        how=Derivation(
            gettext("Price before tax − cost."),
            (
                (gettext("Price before tax"), fine(prices.net_each)),
                (gettext("Cost"), fine(line.unit_cost)),
            ),
        ),
        track=track,
    )
    yield FigureRow(gettext("Price before tax"), amount(prices.net_each), total=True)


def _kinds_shown(product: Product, prices: Iterable[KindPrice]) -> Iterable[KindShown]:
    for price in prices:
        rule = rule_sentence(price.rule, price.rule_name, product.name)
        why = derivation(price.why.get("target_price"), {price.rule.code: price.rule_name})
        yield KindShown(price.kind or gettext("any customer"), rule, price.line, price.markup, why)


#: Parts of the difference between two prices that are named, and the least share of it that is.
_NAMED, _TELLING = 2, Fraction(1, 10)


def difference_words(alone: ProductPrices, together: ProductPrices) -> str:
    """Write which costs make one dearer alone than in an order; empty where it is not."""
    falls = [(one.each - other.each, one, other) for one, other in zip(alone.parts, together.parts, strict=True)]
    whole = sum((fall for fall, _one, _other in falls if fall > 0), Fraction(0))
    telling = [row for row in sorted(falls, key=lambda row: -row[0]) if row[0] > whole * _TELLING and row[0] > 0]
    if not telling:
        return ""
    words = gettext("%(part)s %(alone)s alone, %(together)s here")
    parts = [
        words
        % {
            "part": gettext(_PARTS[one.kind][0]),
            "alone": amount(one.each),
            "together": amount(other.each),
        }
        for _fall, one, other in telling[:_NAMED]
    ]
    return gettext("The difference: %(parts)s. One alone pays for the whole batch, load or pack.") % {
        "parts": "; ".join(parts)
    }


@dataclass(frozen=True, slots=True)
class DeclaredShown:
    """A product's allergens and diets in words, and the ingredients nobody answered for."""

    label: str
    diets: str
    unknown_diets: str
    unchecked: tuple[str, ...]
    claims: tuple[str, ...]


def declared_shown(found: ProductDeclared, spoken: Iterable[Spoken] = ()) -> DeclaredShown:
    """Write what a product declares, and which words about it claim, or may claim, what it does not bear out."""
    one = found.declaration
    return DeclaredShown(
        label=label_words(one.allergens, one.may_allergens, one.unchecked_allergens, found.which, names=one.names),
        diets=diet_words(diet for diet, serves in found.diets.items() if serves == Serves.FREE),
        unknown_diets=diet_words(diet for diet, serves in found.diets.items() if serves == Serves.NOT_CHECKED),
        unchecked=tuple(f"{row.name}: {unchecked_words(row.codes)}" for row in found.open_questions),
        claims=(*map(claim_sentence, found.claims), *map(spoken_sentence, spoken)),
    )


_AGAINST: Final = {
    Serves.CONTAINS: marked("%(name)s is described with “%(words)s”, but it contains %(allergens)s."),
    Serves.MAY_CONTAIN: marked("%(name)s is described with “%(words)s”, but it may contain %(allergens)s."),
    Serves.NOT_CHECKED: marked("%(name)s is described with “%(words)s”, but not every ingredient is checked for that."),
}


def spoken_sentence(one: Spoken) -> str:
    """Write that words about a product may promise what is not so."""
    what = allergen_words(one.codes) if one.codes else gettext("allergies")
    words = gettext(
        "“%(text)s” speaks of %(what)s. It holds that, or may, or was not checked for it: change the words, or you are "
        "asked about them each time a quote with it goes out."
    )
    return words % {"text": one.text, "what": what}


def claim_sentence(claim: UnprovenClaim) -> str:
    """Write what speaks against a claim in a product's name or description."""
    values = {"name": claim.name, "words": claim.words, "allergens": allergen_words(claim.answer.codes)}
    return gettext(_AGAINST[claim.answer.serves]) % values
