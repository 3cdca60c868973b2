"""What a recipe consists of: its ingredients' compositions, mixed, less what is lost in making."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from catalog.pantry.food_table import foods
from catalog.pantry.models import Ingredient, Part
from catalog.recipes.models import Recipe
from catalog.records.reasons import Reason
from costing.chilling import Mixture, MixtureError, Share, mixed
from costing.contract import Book, RecipeLine
from costing.measures.measure import MeasureError

Percent = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Making:
    """What cooling asks of a recipe beside its lines: air whipped in, and whether its loss is water."""

    air: float
    loss_is_water: bool


class NotMixed(Exception):
    """A recipe or product whose mixture cannot be worked out."""

    def __init__(self, code: str, **params: Any) -> None:
        self.reason = Reason(code, params)
        super().__init__(f"{code} {params}")


@dataclass
class Larder:
    """Compositions of all ingredients and parts, and the recipes' air and loss; mixtures are worked out once."""

    book: Book
    ingredients: Mapping[str, Percent | None]
    parts: Mapping[tuple[str, str], Percent | None]
    making: Mapping[str, Making]
    _mixed: dict[str, Mixture] = field(default_factory=dict)

    def mixture(self, recipe: str) -> Mixture:
        """Mix a recipe of the Book by code.

        Raises
        ------
        NotMixed
            When nothing of it has a composition, or it loses more than its water.
        """
        if recipe not in self._mixed:
            row, how = self.book.recipe(recipe), self.making[recipe]
            shares = [share for line in row.lines for share in self._shares(line)]
            loss = float(row.loss)
            try:
                found = mixed(shares, loss=loss, loss_is_water=how.loss_is_water, air=how.air or None)
            except MixtureError as error:
                raise NotMixed("of_recipe", recipe=row.name, why=str(error)) from error
            self._mixed[recipe] = found
        return self._mixed[recipe]

    def portion(self, product: str) -> Mixture:
        """Mix all that goes into one unit of a product.

        Raises
        ------
        NotMixed
            When nothing of it has a composition, or a recipe loses more than its water.
        """
        fills = self.book.product(product).fill
        cup = self.book.kitchen.cup
        shares = [share for fill in fills for share in self._of_recipe(fill.recipe, fill.amount.grams(cup))]
        try:
            return mixed(shares)
        except MixtureError as error:
            raise NotMixed("cannot_be_mixed", why=str(error)) from error

    def _of_recipe(self, code: str, grams: Fraction) -> Iterator[Share]:
        """Give an amount of a recipe: what is known of it, and what is not."""
        found, whole = self.mixture(code), float(grams)
        yield Share(self.book.recipe(code).name, whole * (1 - found.unknown_share), found.percent, found.air)
        for name in found.unknown:
            yield Share(name, whole * found.unknown_share / len(found.unknown), None)

    def _shares(self, line: RecipeLine) -> Iterator[Share]:
        if line.recipe is not None:
            yield from self._of_recipe(line.recipe, line.amount.grams(self.book.kitchen.cup))
        else:
            yield self._bought(line)

    def _bought(self, line: RecipeLine) -> Share:
        cup = self.book.kitchen.cup
        good = self.book.ingredient(line.ingredient or "")
        try:
            grams = float(good.amount_of(line.amount, cup, line.part))
        except MeasureError as error:
            raise NotMixed("cannot_be_weighed", ingredient=good.name, why=str(error)) from error
        percent = self.ingredients.get(good.code)
        if line.part is not None:
            percent = self.parts.get((good.code, line.part)) or percent
        return Share(good.name if line.part is None else f"{good.name}, {line.part}", grams, percent)


def larder(book: Book) -> Larder:
    """Read compositions, air and losses; three queries."""
    goods = {
        code: _percent(stated, ndb)
        for code, stated, ndb in Ingredient.objects.values_list("code", "composition", "ndb")
    }
    parts = {
        (of, code): _percent({}, ndb) for of, code, ndb in Part.objects.values_list("ingredient__code", "code", "ndb")
    }
    making = {
        code: Making(float(air), loss_of == Recipe.LossOf.WATER)
        for code, air, loss_of in Recipe.objects.values_list("code", "air", "loss_of")
    }
    return Larder(book, goods, parts, making)


def _percent(stated: dict[str, Any], ndb: str) -> Percent | None:
    """Return the composition the kitchen stated, else the one of the table's row."""
    if stated:
        return {name: float(share) for name, share in stated.items()}
    food = foods().get(ndb)
    if food is None or food.composition is None:
        return None
    return {name: float(share) for name, share in food.composition.items()}
