"""Recipes scaled to the total amounts of the orders of some days."""

from dataclasses import dataclass
from fractions import Fraction

from costing.contract import Recipe, Step
from costing.measures.measure import Measure
from costing.requirements.compiled_book import RecipeBatches
from orders.production.demand import Demand


@dataclass(frozen=True)
class ScaledLine:
    """A line of a recipe: as written, for one batch and for all. ``part`` is a part of the ingredient."""

    name: str
    part: str | None
    written: Measure
    batch: Measure
    grams: Fraction
    all_grams: Fraction


@dataclass(frozen=True)
class ScaledRecipe:
    """A recipe scaled to the orders' total amount."""

    code: str
    name: str
    grams: Fraction
    batches: int
    lines: list[ScaledLine]
    goes_into: list[str]
    steps: tuple[Step, ...]


def scaled_recipes(found: Demand) -> list[ScaledRecipe]:
    """Scale every recipe the orders need; components come before the recipes that use them."""
    batches = found.workings.demand[0]
    return [_scaled(found, batches[at]) for at in sorted(batches, reverse=True)]


def _scaled(found: Demand, batch: RecipeBatches[Fraction]) -> ScaledRecipe:
    recipe = found.compiled.recipes[batch.recipe]
    masses = [_grams(found, line.ingredient, line.part, line.amount) for line in recipe.lines]
    factor = batch.grams / (sum(masses, Fraction(0)) * (1 - recipe.loss))
    each = factor / batch.batches
    lines = [
        ScaledLine(
            name=_line_name(found, line.ingredient, line.recipe),
            part=line.part,
            written=line.amount,
            batch=Measure(line.amount.amount * each, line.amount.unit),
            grams=mass * each,
            all_grams=mass * factor,
        )
        for line, mass in zip(recipe.lines, masses, strict=True)
    ]
    goes_into = _goes_into(found, recipe)
    return ScaledRecipe(recipe.code, recipe.name, batch.grams, batch.batches, lines, goes_into, recipe.steps)


def _grams(found: Demand, ingredient: str | None, part: str | None, amount: Measure) -> Fraction:
    cup = found.book.kitchen.cup
    return amount.grams(cup) if ingredient is None else found.book.ingredient(ingredient).amount_of(amount, cup, part)


def _line_name(found: Demand, ingredient: str | None, recipe: str | None) -> str:
    return found.book.recipe(recipe or "").name if ingredient is None else found.book.ingredient(ingredient).name


def _goes_into(found: Demand, recipe: Recipe) -> list[str]:
    """Return the names of recipes and products of these orders that use the recipe directly."""
    products = [found.book.product(code) for code in found.units]
    users = [product.name for product in products if any(fill.recipe == recipe.code for fill in product.fill)]
    made = [found.compiled.recipes[at] for at in found.workings.demand[0]]
    users += [other.name for other in made if any(line.recipe == recipe.code for line in other.lines)]
    return users
