"""All that a product's page says of allergens, and what its name and description claim wrongly: "no milk" beside milk.

The words looked for are English, so this is a hint to the owner; nothing is concluded from its silence.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from catalog.pantry.declarations import Declaration, NeedAnswer, Serves
from catalog.products.declarations import BookDeclarations, OpenQuestion, declarations_of
from costing.contract import Book, Product

#: Word of a claim -> the need it promises to serve.
_NEEDS: Final[Mapping[str, str]] = {
    **dict.fromkeys(("milk", "dairy"), "milk"),
    **dict.fromkeys(("egg", "eggs"), "eggs"),
    **dict.fromkeys(("nut", "nuts"), "tree-nuts"),
    **dict.fromkeys(("peanut", "peanuts"), "peanuts"),
    **dict.fromkeys(("soy", "soya"), "soybeans"),
    **dict.fromkeys(("gelatin", "gelatine"), "no-gelatin"),
    **{word: word for word in ("wheat", "gluten", "sesame", "fish", "vegan", "vegetarian")},
    "alcohol": "no-alcohol",
}
_WORD: Final = "|".join(sorted(_NEEDS, key=len, reverse=True))
_CLAIM: Final = re.compile(
    rf"\b(?:no|without|free\s+of)\s+(?P<without>{_WORD})\b"
    rf"|\b(?P<free>{_WORD})[- ]free\b"
    r"|\b(?P<diet>vegan|vegetarian)\b",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class UnprovenClaim:
    """Words of a product's name or description, and what its ingredients say to them."""

    name: str
    words: str
    answer: NeedAnswer


def unproven_claims(product: Product, declarations: BookDeclarations) -> Iterator[UnprovenClaim]:
    """Find what a product claims to be free of and is not, or was not checked for; each claim once."""
    seen = set()
    for found in _CLAIM.finditer(f"{product.name}. {product.description}"):
        word = next(part for part in found.groups() if part).lower()
        answer = declarations.answer(product.code, _NEEDS[word])
        if answer.serves != Serves.FREE and _NEEDS[word] not in seen:
            seen.add(_NEEDS[word])
            yield UnprovenClaim(product.name, found.group(0), answer)


@dataclass(frozen=True, slots=True)
class ProductDeclared:
    """What a product declares, the diets it serves or may serve, and what nobody answered."""

    declaration: Declaration
    diets: dict[str, Serves]
    open_questions: tuple[OpenQuestion, ...]
    which: str
    claims: tuple[UnprovenClaim, ...] = ()


def product_declared(code: str, book: Book) -> ProductDeclared:
    """Return all that a product's page says of its allergens."""
    found = declarations_of(book)
    claims = tuple(unproven_claims(book.product(code), found))
    return ProductDeclared(found.of(code), found.diets(code), found.open_questions(code), found.which, claims)
