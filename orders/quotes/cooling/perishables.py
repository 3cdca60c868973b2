"""Products with milk, egg, cream, gelatin or custard in them of which nobody said how they are kept.

Milk and eggs follow from the allergens that ingredients contain. Gelatin, cream and custard are no allergens: they
follow from an ingredient's row of the USDA food table, or from a word in the name of an ingredient or recipe. A name
in another language is not found, so this is a hint to the owner and nothing is concluded from its silence.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from catalog.cooling.selectors import cold_times
from catalog.products.models import Product as ProductRow
from catalog.records.versions import version_mark
from costing.contract import Book, Product

#: Allergen -> what it is here.
_ALLERGENS: Final[Mapping[str, str]] = {"milk": "milk", "eggs": "egg"}
#: Row of USDA SR28 -> what it is: creams, soft cheeses and gelatin of ``catalog/pantry/data/usda_sr28.csv``.
USDA_ROWS: Final[Mapping[str, str]] = {
    "01017": "cream",
    "01052": "cream",
    "01053": "cream",
    "01056": "cream",
    "19177": "gelatin",
}
#: The words looked for in names, in English and as English kitchens write French; whole words, in any case.
WORDS: Final[Mapping[str, re.Pattern[str]]] = {
    "milk": re.compile(r"\b((butter)?milk|quark|ricotta|yogh?urt)\b", re.IGNORECASE),
    "egg": re.compile(r"\begg(s|white|yolk|whites|yolks)?\b", re.IGNORECASE),
    # Cream of tartar is a salt.
    "cream": re.compile(r"\b(creams?|cr[eè]me|mascarpone)\b(?!\s+of\s+tartar)", re.IGNORECASE),
    "custard": re.compile(r"\b(custards?|patissi[eè]re|anglaise|curd)\b", re.IGNORECASE),
    "gelatin": re.compile(r"\bgelatine?\b", re.IGNORECASE),
}


@dataclass(frozen=True, slots=True)
class Unstated:
    """A product that has one of them in it, and no word on how it is kept; ``holds`` says what, in a fixed order."""

    name: str
    product_id: int
    holds: tuple[str, ...]


def unstated(codes: Iterable[str], contained: Mapping[str, Iterable[str]], book: Book) -> tuple[Unstated, ...]:
    """Return the products of which neither a holding text nor a cooling step says how they are kept.

    ``contained`` are their allergens by code. One query for links to them, if there are any.
    """
    wanted = list(codes)
    cold = cold_times(wanted, book)
    found = {
        code: held
        for code in wanted
        if code not in cold
        and not _keeping_stated(book.product(code), book)
        and (held := held_in(book.product(code), contained.get(code, ()), book))
    }
    if not found:
        return ()
    keys = dict(ProductRow.objects.filter(code__in=found).values_list("code", "pk"))
    return tuple(Unstated(book.product(code).name, keys.get(code, 0), held) for code, held in found.items())


def _keeping_stated(product: Product, book: Book) -> bool:
    """Return whether there are words on how it is kept, or all that fills it is safe at room temperature."""
    stable = bool(product.fill) and all(book.recipe(fill.recipe).shelf_stable for fill in product.fill)
    return stable or bool(product.holding.strip())


def held_in(product: Product, allergens: Iterable[str], book: Book) -> tuple[str, ...]:
    """Return which of them a product has in it, by allergens, USDA rows and names."""
    found = {_ALLERGENS[code] for code in allergens if code in _ALLERGENS}
    found |= {USDA_ROWS[row] for row in _rows(product, book) if row in USDA_ROWS}
    for name in _names(product, book):
        found |= {word for word, pattern in WORDS.items() if pattern.search(name)}
    return tuple(word for word in WORDS if word in found)


def _names(product: Product, book: Book) -> Iterator[str]:
    yield product.name
    for recipe in _recipes(product, book):
        yield book.recipe(recipe).name
        for line in book.recipe(recipe).lines:
            if line.ingredient is not None:
                yield book.ingredient(line.ingredient).name


def _rows(product: Product, book: Book) -> Iterator[str]:
    for recipe in _recipes(product, book):
        for line in book.recipe(recipe).lines:
            if line.ingredient is not None:
                yield book.ingredient(line.ingredient).ndb


def _recipes(product: Product, book: Book) -> set[str]:
    """Return the codes of all recipes in a product, those inside recipes too."""
    found: set[str] = set()
    left = [fill.recipe for fill in product.fill]
    while left:
        code = left.pop()
        if code not in found:
            found.add(code)
            left += [line.recipe for line in book.recipe(code).lines if line.recipe is not None]
    return found


def unstated_mark(found: Iterable[Unstated]) -> str:
    """Return a mark of what is named: who acknowledges it, acknowledges these products."""
    return version_mark(sorted((one.product_id, *one.holds) for one in found))
