"""Recipes that count as never hot by the owner's word, hold what asks for the cold, and are not baked or cooked later.

No list of words for heat is complete, so a person answers for each step that is not plainly cold by its own text.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from catalog.cooling.batches import is_heated
from catalog.cooling.maybe_hot import asks_for_heat
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.warm_parts import warm_lines
from catalog.cooling.warm_products import joins_of
from catalog.recipes.perishables import parts_of, room_safe
from catalog.records.versions import version_mark
from costing.contract import Book, Product, Recipe, Step

#: Words of steps that are plainly cold where nothing else is written; any other word is asked about.
_PLAIN: Final = frozenset(
    ("mix", "stir", "whip", "whisk", "fold", "in", "divide", "portion", "fill", "pack", "chill", "freeze")
)


@dataclass(frozen=True, slots=True)
class NeverHotClaim:
    """A recipe that counts as never hot: its code and name, the owner's reason, and its steps as they stand.

    ``asked`` are the texts of the steps, and of its notes, that are not plainly cold. Without ``ticked`` nobody said
    anything of it: its steps are asked about all the same.
    """

    code: str
    name: str
    reason: str
    steps: tuple[str, ...]
    asked: tuple[str, ...] = ()
    ticked: bool = True

    def mark(self, text: str) -> str:
        """Return a mark of a text in the recipe as it stands: whoever answers for it has seen this version."""
        return version_mark([self.code, self.name, self.reason, *self.steps, *self.asked, text])


def never_hot_claims(products: Iterable[str], book: Book) -> tuple[NeverHotClaim, ...]:
    """Return such recipes of some products, each once, also those inside other recipes."""
    return tuple(one for one in cold_by_silence(products, book) if one.ticked)


def cold_by_silence(products: Iterable[str], book: Book) -> tuple[NeverHotClaim, ...]:
    """Return the same and the recipes of which nobody said that they are hot, nor that they never are."""
    found: dict[str, NeverHotClaim] = {}
    mixtures = RecipeMixtures(book)
    for code in products:
        for recipe in _unheated(book.product(code), book):
            if recipe.code not in found and (recipe.never_hot or _is_silent(recipe, mixtures)):
                steps, reason = tuple(map(_text, recipe.steps)), recipe.never_hot_reason if recipe.never_hot else ""
                claim = NeverHotClaim(recipe.code, recipe.name, reason, steps, _asked(recipe), recipe.never_hot)
                found[recipe.code] = claim
    return tuple(one for one in found.values() if asks_for_heat(list(parts_of([one.code], book))))


def _is_silent(recipe: Recipe, mixtures: RecipeMixtures) -> bool:
    """Return whether nothing says that a recipe is hot, and nothing asks about it either."""
    return not is_heated(recipe, mixtures) and not warm_lines(recipe, mixtures)


def _asked(recipe: Recipe) -> tuple[str, ...]:
    """Return what is answered for one by one; a recipe without steps is answered for by its name."""
    texts = [_text(step) for step in recipe.steps if not _is_plain(step)]
    return (*texts, *([recipe.note] if recipe.note else ())) or (() if recipe.steps else (recipe.name,))


def _is_plain(step: Step) -> bool:
    return not (step.heats or step.text) and _PLAIN.issuperset(step.name.casefold().split())


def _text(step: Step) -> str:
    return str(step) if not step.text else f"{step}: {step.text}"


def _unheated(product: Product, book: Book) -> Iterator[Recipe]:
    """Yield the recipes that are heated neither by the product nor within another."""
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
            yield recipe
            if not any(step.heats for step in recipe.steps):
                left += [line.recipe for line in recipe.lines if line.recipe is not None]
