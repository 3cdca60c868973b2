"""Names of a table's products, recipes and ingredients that name an allergen of which their answers say free."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalog.pantry.allergens import covered
from catalog.pantry.declarations import Declaration
from catalog.pantry.name_words import allergens_named
from catalog.products.claims import claims_in
from catalog.products.declarations import BookDeclarations, declarations_of
from costing.contract import Book
from costing.requirements.compiled_book import compile_book


@dataclass(frozen=True, slots=True)
class NameDenied:
    """A name with the allergens that it names and that are said not to be in it; ``what`` it is the name of.

    ``dishes`` are the products of the table that it is in.
    """

    what: str
    code: str
    name: str
    named: tuple[str, ...]
    dishes: tuple[str, ...]


def names_denied(book: Book, products: Iterable[str]) -> tuple[NameDenied, ...]:
    """Return the names of what a table takes that their own answers deny, each once."""
    declarations = declarations_of(book)
    found: dict[tuple[str, str], NameDenied] = {}
    for code in products:
        dish = book.product(code).name
        for what, part, name, declared in _parts(code, book, declarations):
            if named := name_denies(name, declared):
                known = found.get((what, part))
                dishes = dict.fromkeys([*(known.dishes if known else ()), dish])
                found[what, part] = NameDenied(what, part, name, named, tuple(dishes))
    return tuple(found.values())


def name_denies(name: str, declared: Declaration) -> tuple[str, ...]:
    """Return the allergens that a name has in it, not as a claim, and that its declaration says to be free of."""
    claimed = {claim.need for claim in claims_in(name)}
    held = declared.contains | declared.may
    return tuple(
        code
        for code in allergens_named(name)
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
        if ingredient.touches_food:
            yield "ingredient", ingredient.code, ingredient.name, declarations.of_ingredient(ingredient.code)
