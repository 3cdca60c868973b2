"""The figures of a product that is being written: mass of one unit, rough cost, what its mold would hold."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from catalog.molds.models import Mold
from catalog.molds.pans import mold_pan
from catalog.pantry.models import Ingredient
from catalog.recipes.cost_basis import CostBasis, grams_or_none
from catalog.recipes.costs import RecipeCard, RecipeCosting
from catalog.recipes.models import Recipe
from catalog.recipes.scaling import recipe_density
from catalog.recipes.selectors import recipes_whole
from costing.measures.measure import MeasureError, parse_measure


@dataclass(frozen=True, slots=True)
class FillFigures:
    """One fill: its grams, its cost, and the mass the mold holds of it."""

    name: str
    grams: Fraction
    cost: Fraction | None
    holds: Fraction | None


@dataclass(frozen=True, slots=True)
class ProductFigures:
    """Figures of a product that is not saved yet."""

    fills: tuple[FillFigures, ...]
    packaging: Fraction | None
    volume: Fraction | None

    @property
    def grams(self) -> Fraction:
        """Mass of one unit."""
        return sum((fill.grams for fill in self.fills), Fraction(0))

    @property
    def made(self) -> Fraction | None:
        """Cost of ingredients and of the recipes' labor; None while a price is missing."""
        costs = [fill.cost for fill in self.fills]
        return None if None in costs else sum((cost or Fraction(0) for cost in costs), Fraction(0))


def product_figures(
    *,
    basis: CostBasis,
    fills: Sequence[tuple[int, str]],
    packaging: Sequence[tuple[int, str]],
    mold: int | None,
    height: Fraction | None,
) -> ProductFigures:
    """Compute the figures of the amounts entered so far, by primary keys of recipes and ingredients."""
    costs = RecipeCosting(basis)
    recipes = {row.pk: row for row in recipes_whole().filter(pk__in=[pk for pk, _ in fills])}
    row = Mold.objects.filter(pk=mold).first() if mold else None
    volume = mold_pan(row, height).volume if row else None
    return ProductFigures(
        fills=tuple(_fill(recipes[pk], amount, costs, volume) for pk, amount in fills if pk in recipes),
        packaging=_packaging(basis, packaging),
        volume=volume,
    )


def _fill(recipe: Recipe, amount: str, costs: RecipeCosting, volume: Fraction | None) -> FillFigures:
    cup = costs.basis.cup
    card: RecipeCard = costs.card(recipe.code)
    grams = grams_or_none(amount, cup) or Fraction(0)
    density = recipe_density(recipe, card, cup) if volume else None
    cost = None if card.per_kg is None else card.per_kg * grams / 1000
    return FillFigures(recipe.name, grams, cost, volume * density if volume and density else None)


def _packaging(basis: CostBasis, rows: Sequence[tuple[int, str]]) -> Fraction | None:
    codes = dict(Ingredient.objects.filter(pk__in=[pk for pk, _ in rows]).values_list("pk", "code"))
    total = Fraction(0)
    for pk, amount in rows:
        price = basis.prices.get(codes.get(pk, ""))
        if price is None:
            return None
        try:
            needed = basis.goods[codes[pk]].amount_of(parse_measure(amount), basis.cup)
        except MeasureError:
            return None
        good = basis.goods[codes[pk]]
        total += needed * price if good.base == "each" else needed / good.yield_ * (1 + basis.waste) * price
    return total
