"""The composition of a recipe: the mixture of its ingredients less the loss in making."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from fractions import Fraction

from catalog.pantry.food_table import foods
from costing.chilling import Mixture, MixtureError, Share, mixed
from costing.contract import Book, Composition, Ingredient, RecipeLine

Percent = Mapping[str, float]
#: Largest share of the mass whose composition may be unknown, such as salt or a flavouring.
MOST_UNKNOWN = 0.03
#: Separator of several names in one share of a mixture; it occurs in no name.
_AND = "\n"


@dataclass
class RecipeMixtures:
    """The compositions of the recipes of a sound Book; each is computed once."""

    book: Book
    _mixed: dict[str, Mixture] = field(default_factory=dict)

    def mixture(self, recipe: str) -> Mixture:
        """Return the mixture of a recipe, by its code.

        Raises
        ------
        MixtureError
            When nothing of it has a composition, or it loses more than its water.
        """
        if recipe not in self._mixed:
            record = self.book.recipe(recipe)
            shares = [share for line in record.lines for share in self._shares(line)]
            water = record.loss_of == "water"
            try:
                found = mixed(shares, loss=float(record.loss), loss_is_water=water, air=float(record.air) or None)
            except MixtureError as error:
                raise MixtureError(error.code, f"{record.name}: {error}") from error
            self._mixed[recipe] = _named(found)
        return self._mixed[recipe]

    def portion(self, product: str, recipes: Collection[str] | None = None) -> Mixture:
        """Return the mixture of one unit of a product, or of some of its recipes.

        Raises
        ------
        MixtureError
            When nothing of it has a composition, or a recipe loses more than its water.
        """
        fills = [fill for fill in self.book.product(product).fill if recipes is None or fill.recipe in recipes]
        cup = self.book.kitchen.cup
        return _named(
            mixed([share for fill in fills for share in self._of_recipe(fill.recipe, fill.amount.grams(cup))])
        )

    def line(self, line: RecipeLine) -> Mixture:
        """Return the mixture of what one line of a recipe puts in.

        Raises
        ------
        MixtureError
            When nothing of it has a composition, or a recipe loses more than its water.
        """
        return _named(mixed(list(self._shares(line))))

    def _of_recipe(self, code: str, grams: Fraction) -> Iterator[Share]:
        """Yield an amount of a recipe as shares: the known part, and the parts of unknown composition."""
        found, whole = self.mixture(code), float(grams)
        yield Share(self.book.recipe(code).name, whole * (1 - found.unknown_share), found.percent, found.air)
        if found.unknown:
            yield Share(_AND.join(found.unknown), whole * found.unknown_share, None)

    def _shares(self, line: RecipeLine) -> Iterator[Share]:
        if line.recipe is not None:
            yield from self._of_recipe(line.recipe, line.amount.grams(self.book.kitchen.cup))
        else:
            yield self._bought(line)

    def _bought(self, line: RecipeLine) -> Share:
        cup = self.book.kitchen.cup
        good = self.book.ingredient(line.ingredient or "")
        grams = float(good.amount_of(line.amount, cup, line.part))
        name = good.name if line.part is None else f"{good.name}, {line.part}"
        return Share(name, grams, _percent(good, line.part))


def _named(found: Mixture) -> Mixture:
    """List each ingredient of unknown composition once, also those inside recipes."""
    names = (name for names in found.unknown for name in names.split(_AND))
    return replace(found, unknown=tuple(dict.fromkeys(names)))


def _percent(good: Ingredient, part: str | None) -> Percent | None:
    """Return an ingredient's composition: as the kitchen stated, else from the food table (its row or its part's)."""
    if part is not None and (of_part := _of_table(good.part(part).ndb)):
        return of_part
    return _of_table(good.ndb) if good.composition is None else _stated(good.composition)


def _stated(composition: Composition) -> Percent:
    return {each.name: float(getattr(composition, each.name)) for each in fields(composition)}


def _of_table(ndb: str) -> Percent | None:
    food = foods().get(ndb)
    if food is None or food.composition is None:
        return None
    return {name: float(share) for name, share in food.composition.items()}
