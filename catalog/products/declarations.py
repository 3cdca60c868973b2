"""What each product and recipe of a Book declares: allergens, diets and raw egg, of ingredients and packaging."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from catalog.book.known import KnownByBook
from catalog.pantry.declarations import Declaration, NeedAnswer, Serves, answer_to, called, declared_of, together
from catalog.pantry.diets import DIETS, RAW_EGG
from costing.contract import Book, Product, Recipe, Step
from costing.contract.steps import HEATING, WAITING
from costing.requirements.compiled_book import compile_book

#: From here on egg counts as cooked [°C]: 160 °F, the temperature published for egg dishes in the United States; from
#: memory, and the local code may ask for another.
COOKED_EGG_C: Final = Fraction(711, 10)
#: Kinds of step that add nothing.
_ADDS_NOTHING: Final = WAITING | {"pack"}


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """An ingredient that was not checked for some codes."""

    name: str
    codes: tuple[str, ...]


class BookDeclarations:
    """Declarations of a Book's products, each computed once. Get it from `declarations_of`."""

    def __init__(self, book: Book) -> None:
        # This object refers to the Book's records, never to the Book, so that it is dropped with it.
        self.which = book.kitchen.described.allergen_list
        self._compiled = compile_book(book)
        self._recipes = {recipe.code: recipe for recipe in book.recipes}
        self._in_recipes = {line.ingredient for recipe in book.recipes for line in recipe.lines if line.ingredient}
        self._facts: dict[int, Declaration] = {}
        self._found: dict[str, Declaration] = {}
        self._of_recipes: dict[str, Declaration] = {}
        self._raw: dict[str, bool | None] = {}
        self.active = tuple(product for product in book.products if product.active)

    def of(self, code: str) -> Declaration:
        """Return what a product declares."""
        if code not in self._found:
            self._found[code] = self._product(self._compiled.products[self._compiled.product_at[code]])
        return self._found[code]

    def of_recipe(self, code: str) -> Declaration:
        """Return what a recipe declares with the recipes inside it; of one without ingredients nothing is known."""
        if code not in self._of_recipes:
            recipe = self._recipes[code]
            parts = (
                self._declared(self._compiled.ingredient_at[line.ingredient])
                if line.ingredient is not None
                else self.of_recipe(str(line.recipe))
                for line in recipe.lines
            )
            found = _with_raw_egg(together(parts, self.which), self._raw_egg(code))
            self._of_recipes[code] = called(found, recipe.name, shown=False)
        return self._of_recipes[code]

    def of_ingredient(self, code: str) -> Declaration:
        """Return what an ingredient declares."""
        return self._declared(self._compiled.ingredient_at[code])

    def answer(self, code: str, need: str) -> NeedAnswer:
        """Return whether a product serves a guest's need."""
        return answer_to(need, self.of(code), self.which)

    def diets(self, code: str) -> dict[str, Serves]:
        """Return for each diet whether a product serves it."""
        return {diet: self.answer(code, diet).serves for diet in DIETS}

    def open_questions(self, code: str) -> tuple[OpenQuestion, ...]:
        """Return the ingredients of a product that were not checked for some allergen, by name."""
        open_ = self.of(code).unchecked_allergens
        found = []
        for at in self._used(code):
            unchecked = self._declared(at).unchecked
            if codes := tuple(one for one in open_ if one in unchecked):
                found.append(OpenQuestion(self._compiled.ingredients[at].name, codes))
        return tuple(sorted(found, key=lambda row: row.name))

    def serving(self, need: str) -> Iterator[Product]:
        """Find the products sold that are free of what a need excludes, one by one, in the order of the Book."""
        return (one for one in self.active if self.answer(one.code, need).serves == Serves.FREE)

    def recipes_in(self, code: str) -> list[Recipe]:
        """Return the recipes a product is made of, those inside others too."""
        return [self._compiled.recipes[at] for at in self._compiled.reached(self._compiled.product_at[code])]

    def _declared(self, at: int) -> Declaration:
        """Return what an ingredient declares, by its place; what is in any recipe touches food."""
        if at not in self._facts:
            ingredient = self._compiled.ingredients[at]
            self._facts[at] = declared_of(ingredient, self.which, in_recipe=ingredient.code in self._in_recipes)
        return self._facts[at]

    def _used(self, code: str) -> list[int]:
        return sorted(self._compiled.ingredients_of(self._compiled.product_at[code]))

    def _product(self, product: Product) -> Declaration:
        used = self._used(product.code)
        ingredients = [self._compiled.ingredients[at] for at in used]
        found = together([self._declared(at) for at in used], self.which)
        edible = any(one.touches_food or one.code in self._in_recipes for one in ingredients)
        if not edible or self._of_nothing(product):
            # A box is no dessert, and a recipe without ingredients is made of something: what, was never entered.
            found = together([found, together([], self.which)], self.which)
        found = called(found, product.name)
        for recipe in self.recipes_in(product.code):
            found = called(found, recipe.name, shown=False)
        return _with_raw_egg(found, self._raw_of(product))

    def _raw_of(self, product: Product) -> bool | None:
        """Return whether raw or lightly cooked egg is in a product; None when it is not known."""
        packed = (self._raw_in(one.ingredient) for one in product.packaging)
        filled = (self._filled_raw(product, fill.recipe) for fill in product.fill)
        return _any_raw([*packed, *filled])

    def _filled_raw(self, product: Product, recipe: str) -> bool | None:
        """Return whether a recipe's egg is still raw in a product: what its steps do from where they take it on."""
        raw = self._raw_egg(recipe)
        if any(step.takes for step in product.steps):
            at = next((at for at, step in enumerate(product.steps) if recipe in step.takes), 0)
            return _after(product.steps[at:], raw, alone=True)
        return _after(product.steps, raw, alone=len(product.fill) == 1)

    def _of_nothing(self, product: Product) -> bool:
        """Return whether it needs a recipe that has no ingredients."""
        compiled = self._compiled
        reached = compiled.reached(compiled.product_at[product.code])
        return any(not compiled.recipes[at].lines for at in reached)

    def _raw_egg(self, code: str) -> bool | None:
        if code not in self._raw:
            recipe = self._recipes[code]
            parts = (
                self._raw_in(line.ingredient) if line.ingredient is not None else self._raw_egg(str(line.recipe))
                for line in recipe.lines
            )
            self._raw[code] = _after(recipe.steps, _any_raw(list(parts)), alone=False)
        return self._raw[code]

    def _raw_in(self, ingredient: str) -> bool | None:
        """Return whether an ingredient is or holds raw egg; None when nobody checked it for egg."""
        found = self._declared(self._compiled.ingredient_at[ingredient])
        return True if RAW_EGG in found.contains else (None if RAW_EGG in found.unchecked else False)


def _any_raw(answers: Sequence[bool | None]) -> bool | None:
    return True if True in answers else (None if None in answers else False)


def _after(steps: tuple[Step, ...], raw: bool | None, *, alone: bool) -> bool | None:
    """Return whether egg is raw or lightly cooked after some steps; None when it is not known.

    It is not, where a step bakes, or cooks to the temperature at which egg counts as cooked. Unless it is ``alone``, so
    that nothing else with egg can come in later, no work may follow but waiting and packing: what is added after the
    heat may be the egg. Cooking of an unknown temperature may have cooked it.
    """
    if raw is False or not any(step.kind in HEATING for step in steps):
        return raw
    last = max((at for at, step in enumerate(steps) if _cooks_egg(step)), default=None)
    cooked = last is not None and (alone or all(step.kind in _ADDS_NOTHING for step in steps[last + 1 :]))
    return False if cooked else None


def _cooks_egg(step: Step) -> bool:
    reached = step.leaves_c if step.leaves_c is not None else step.temperature_c
    return step.kind == "bake" or (step.kind == "cook" and reached is not None and reached >= COOKED_EGG_C)


def _with_raw_egg(found: Declaration, raw: bool | None) -> Declaration:
    """Return a declaration that says of egg what the steps make of it."""
    codes = frozenset({RAW_EGG})
    contains, free, unchecked = found.contains - codes, found.free - codes, found.unchecked - codes
    if raw:
        contains |= codes
    elif raw is None or found.nothing:
        unchecked |= codes
    else:
        free |= codes
    return replace(found, contains=contains, free=free, unchecked=unchecked)


#: The declarations of a Book, made once for each Book object.
_KNOWN: KnownByBook[None, BookDeclarations] = KnownByBook()


def declarations_of(book: Book) -> BookDeclarations:
    """Return the declarations of a Book's products; made once per Book object."""
    known = _KNOWN.of(book)
    if None not in known:
        known[None] = BookDeclarations(book)
    return known[None]
