"""Names of a table's products, recipes and ingredients that name an allergen of which their answers say free.

Of what is said never to touch food, which is asked for nothing, every name that speaks of food; of what is said to be
free of something, every ingredient's name that does not say all that is in it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from catalog.book.known import KnownByBook
from catalog.pantry.allergens import covered
from catalog.pantry.declarations import Declaration
from catalog.pantry.diets import DIET_FACTS, facts_asked, named_facts
from catalog.pantry.food_words import speaks_of_food
from catalog.pantry.kind_words import foods_named
from catalog.pantry.single_foods import is_single_food
from catalog.products.claims import claims_in
from catalog.products.declarations import BookDeclarations, declarations_of
from costing.contract import Book
from costing.requirements.compiled_book import compile_book

#: What a name is of: an ingredient that is said never to touch food.
OFF_FOOD: Final = "off_food"
#: An ingredient that is free of something, and its name does not say all that is in it.
SAYS_NOTHING: Final = "says_nothing"


@dataclass(frozen=True, slots=True)
class NameDenied:
    """A name with the allergens that it names and that are said not to be in it; ``what`` it is the name of.

    ``what`` is :data:`OFF_FOOD` for what is said never to touch food, and :data:`SAYS_NOTHING` where a name says
    not all that is in it; then ``named`` may be empty. ``dishes`` are the products of the table that it is in.
    """

    what: str
    code: str
    name: str
    named: tuple[str, ...]
    dishes: tuple[str, ...]


#: The names that are denied in a product, by its code.
_KNOWN: KnownByBook[str, tuple[NameDenied, ...]] = KnownByBook()


def names_denied(book: Book, products: Iterable[str]) -> tuple[NameDenied, ...]:
    """Return the names of what a table takes that their own answers deny, each once."""
    found: dict[tuple[str, str], NameDenied] = {}
    for code in products:
        for one in _of_product(code, book):
            known = found.get((one.what, one.code))
            dishes = dict.fromkeys([*(known.dishes if known else ()), *one.dishes])
            found[one.what, one.code] = replace(one, dishes=tuple(dishes))
    return tuple(found.values())


def _of_product(code: str, book: Book) -> tuple[NameDenied, ...]:
    """Return the names that are denied in one product; each product's names are read once for a Book."""
    known = _KNOWN.of(book)
    if code not in known:
        dishes = (book.product(code).name,)
        known[code] = tuple(
            NameDenied(what, part, name, named, dishes)
            for what, part, name, declared in _parts(code, book, declarations_of(book))
            if (named := _named(what, name, declared)) or what in (OFF_FOOD, SAYS_NOTHING)
        )
    return known[code]


def _named(what: str, name: str, declared: Declaration) -> tuple[str, ...]:
    if what == SAYS_NOTHING:
        return ()
    return foods_named(name) if what == OFF_FOOD else name_denies(name, declared)


def name_denies(name: str, declared: Declaration) -> tuple[str, ...]:
    """Return the allergens that a name has in it, not as a claim, and that its declaration says to be free of."""
    claimed = {claim.need for claim in claims_in(name)}
    held = declared.contains | declared.may
    return tuple(
        code
        for code in (*foods_named(name), *(fact for fact, _ in (*named_facts(name), *facts_asked(name))))
        if code not in claimed and covered(code) & declared.free and not covered(code) & held
    )


def _parts(code: str, book: Book, declarations: BookDeclarations) -> Iterator[tuple[str, str, str, Declaration]]:
    compiled, product = compile_book(book), book.product(code)
    yield "product", code, product.name, declarations.of(code)
    at = compiled.product_at[code]
    for recipe in (compiled.recipes[one] for one in compiled.reached(at)):
        yield "recipe", recipe.code, recipe.name, declarations.of_recipe(recipe.code)
    for one in sorted(compiled.ingredients_of(at)):
        ingredient = compiled.ingredients[one]
        declared = declarations.of_ingredient(ingredient.code)
        if ingredient.touches_food:
            yield "ingredient", ingredient.code, ingredient.name, declared
            if declared.free - DIET_FACTS.keys() and not is_single_food(ingredient.name):
                yield SAYS_NOTHING, ingredient.code, ingredient.name, declared
        elif speaks_of_food(ingredient.name):
            yield OFF_FOOD, ingredient.code, ingredient.name, declared
