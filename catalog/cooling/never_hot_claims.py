"""Recipes of milk, egg or cream that count as never hot by the owner's word, and are not baked or cooked later.

No list of words for heat is complete, so whoever sends a quote reads each of them, with its reason and its steps.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalog.cooling.warm_products import joins_of
from catalog.recipes.perishables import parts_of, perishables, room_safe
from catalog.records.versions import version_mark
from costing.contract import Book, Product, Recipe

#: What asks for the cold, of which such a word is asked about.
_HELD = frozenset({"milk", "egg", "cream", "custard"})


@dataclass(frozen=True, slots=True)
class NeverHotClaim:
    """A recipe that counts as never hot: its code and name, the owner's reason, and its steps as they stand."""

    code: str
    name: str
    reason: str
    steps: tuple[str, ...]

    @property
    def mark(self) -> str:
        """A mark of the recipe as it stands: whoever has seen it has seen this version."""
        return version_mark([self.code, self.name, self.reason, *self.steps])


def never_hot_claims(products: Iterable[str], book: Book) -> tuple[NeverHotClaim, ...]:
    """Return such recipes of some products, each once, also those inside other recipes."""
    found: dict[str, NeverHotClaim] = {}
    for code in products:
        for recipe in _unheated(book.product(code), book):
            if recipe.code not in found and _HELD & set(perishables(parts_of([recipe.code], book))):
                steps = tuple(str(step) if not step.text else f"{step}: {step.text}" for step in recipe.steps)
                found[recipe.code] = NeverHotClaim(recipe.code, recipe.name, recipe.never_hot_reason, steps)
    return tuple(found.values())


def _unheated(product: Product, book: Book) -> Iterator[Recipe]:
    """Yield the recipes that are ticked as never hot and are heated neither by the product nor within another."""
    steps = product.steps
    for at, codes in joins_of(product).items():
        if any(step.heats for step in steps[at:]):
            continue
        met, left = set[str](), list(codes)
        while left:
            recipe = book.recipe(left.pop())
            if recipe.code in met or room_safe(recipe, book):
                continue
            met.add(recipe.code)
            if recipe.never_hot:
                yield recipe
            if not any(step.heats for step in recipe.steps):
                left += [line.recipe for line in recipe.lines if line.recipe is not None]
