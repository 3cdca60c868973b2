"""What counts as cold by the owner's word in what asks for the cold: whole recipes, steps beside one that is hot, and a
product's own steps.

Of recipes that are ticked as never hot those that are not baked or cooked later; of those that state heat at one step,
and of products, the others that state nothing (`beside_heat`).
No list of words for heat is complete, so a person answers for each step that is not plainly cold by its own text.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final, Literal

from catalog.cooling.batch_parts import codes_within
from catalog.cooling.batches import is_heated
from catalog.cooling.beside_heat import cold_beside, states_heat, unstated_cold
from catalog.cooling.maybe_hot import asks_for_heat
from catalog.cooling.mixtures import RecipeMixtures
from catalog.cooling.warm_products import joins_of
from catalog.recipes.perishables import all_room_safe, parts_of, room_safe
from catalog.records.versions import version_mark
from costing.contract import Book, Product, Recipe, Step

#: Words of steps that are plainly cold where nothing else is written; any other word is asked about.
_PLAIN: Final = frozenset(
    ("mix", "stir", "whip", "whisk", "fold", "in", "divide", "portion", "fill", "pack", "chill", "freeze")
)
#: The same of a product's own steps, where what left the oven is cooled and what is cold is put together and packed.
_PLAIN_OF_PRODUCT: Final = _PLAIN.union(
    ("and", "with", "the", "on", "up", "then", "straight", "to", "cool", "set", "cold"),
    ("assemble", "layer", "line", "press", "stack", "coat", "pipe", "spread", "cut", "slice", "decorate", "garnish"),
    ("top", "dust", "lid", "box", "bag", "wrap", "label", "tray", "unmold"),
    ("rack", "fruit", "shell", "rings", "cases", "cups", "glasses"),
)


@dataclass(frozen=True, slots=True)
class NeverHotClaim:
    """A recipe that counts as never hot: its code and name, the owner's reason, and its steps as they stand.

    ``asked`` are the texts of the steps, and of its notes, that are not plainly cold. ``counts_by`` says why it counts
    as cold: the owner's tick; silence, where its steps are asked about all the same; or, beside a step that states
    heat, its other steps alone, which then are ``steps``. Of a product (``product``) they are its own steps. ``among``
    are all steps that those stand among, in their order.
    """

    code: str
    name: str
    reason: str
    steps: tuple[str, ...]
    asked: tuple[str, ...] = ()
    counts_by: Literal["tick", "silence", "beside", "product"] = "tick"
    among: tuple[str, ...] = ()

    @property
    def kind(self) -> Literal["product", "recipe"]:
        """Whether it is about a product's own steps, or a recipe."""
        return "product" if self.counts_by == "product" else "recipe"

    def mark(self, text: str) -> str:
        """Return a mark of a text in the recipe as it stands: whoever answers for it has seen this version."""
        return version_mark([self.code, self.name, self.reason, *self.steps, *self.asked, *self.among, text])


def never_hot_claims(products: Iterable[str], book: Book) -> tuple[NeverHotClaim, ...]:
    """Return such recipes and steps of some products, each recipe once, also those inside other recipes."""
    return tuple(one for one in cold_by_silence(products, book) if one.counts_by != "silence")


def cold_by_silence(products: Iterable[str], book: Book) -> tuple[NeverHotClaim, ...]:
    """Return the same and the recipes of which nobody said that they are hot, nor that they never are."""
    found: dict[tuple[str, str], NeverHotClaim] = {}
    mixtures = RecipeMixtures(book)
    for code in products:
        whole = (_whole_claim(recipe, mixtures) for recipe in _unheated(book.product(code), book))
        for claim in (*filter(None, whole), *claims_beside(code, book)):
            found.setdefault((claim.kind, claim.code), claim)
    return tuple(found.values())


def product_claim(product: Product, book: Book) -> NeverHotClaim | None:
    """Return a product's own steps that nothing but a person's word says are cold; None without any."""
    codes = [fill.recipe for fill in product.fill]
    texts = tuple(_text(step) for step in unstated_cold(product, book) if not _is_plain(step, _PLAIN_OF_PRODUCT))
    if not texts or all_room_safe(codes, book) or not asks_for_heat(list(parts_of(codes, book))):
        return None
    return NeverHotClaim(product.code, product.name, "", texts, texts, "product", tuple(map(_text, product.steps)))


def claims_beside(code: str, book: Book) -> tuple[NeverHotClaim, ...]:
    """Return such steps of the recipes in a product that state heat at another, and of the product itself."""
    recipes = map(book.recipe, codes_within(book.product(code), book))
    every = (*(beside_claim(recipe, book) for recipe in recipes), product_claim(book.product(code), book))
    return tuple(filter(None, every))


def _whole_claim(recipe: Recipe, mixtures: RecipeMixtures) -> NeverHotClaim | None:
    """Return all of a recipe that is ticked as never hot, or of which nothing says that it is hot; else None."""
    silent = not (recipe.never_hot or states_heat(recipe) or is_heated(recipe, mixtures))
    if not (recipe.never_hot or silent) or not asks_for_heat(list(parts_of([recipe.code], mixtures.book))):
        return None
    steps, reason = tuple(map(_text, recipe.steps)), recipe.never_hot_reason if recipe.never_hot else ""
    counts_by: Literal["tick", "silence"] = "silence" if silent else "tick"
    return NeverHotClaim(recipe.code, recipe.name, reason, steps, _asked(recipe), counts_by)


def beside_claim(recipe: Recipe, book: Book) -> NeverHotClaim | None:
    """Return the steps of a recipe that states heat, and that nothing but a person's word says are cold; else None."""
    texts = tuple(_text(step) for step in cold_beside(recipe, book) if not _is_plain(step))
    if not texts or not asks_for_heat(list(parts_of([recipe.code], book))):
        return None
    return NeverHotClaim(recipe.code, recipe.name, "", texts, texts, "beside", tuple(map(_text, recipe.steps)))


def _asked(recipe: Recipe) -> tuple[str, ...]:
    """Return what is answered for one by one; a recipe without steps is answered for by its name."""
    texts = [_text(step) for step in recipe.steps if not _is_plain(step)]
    return (*texts, *([recipe.note] if recipe.note else ())) or (() if recipe.steps else (recipe.name,))


def _is_plain(step: Step, plain: frozenset[str] = _PLAIN) -> bool:
    return not (step.heats or step.text) and plain.issuperset(step.name.casefold().replace(",", " ").split())


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
