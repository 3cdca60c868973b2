"""All that a product's page says of allergens, and what its name and description claim wrongly: "no milk" beside milk.

The words looked for are English, so this is a hint to the owner; nothing is concluded from its silence.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from catalog.pantry.declarations import Declaration, NeedAnswer, Serves, answer_to
from catalog.products.declarations import BookDeclarations, OpenQuestion, declarations_of
from costing.contract import Book, Product

#: A claim to be free of all allergens: no need of a guest, but every code that is asked.
ALLERGENS_ALL: Final = "allergens"
#: Word of a claim -> the need it promises to serve; the last letter of a plural is left off.
_NEEDS: Final[Mapping[str, str]] = {
    **dict.fromkeys(("milk", "dairy"), "milk"),
    **dict.fromkeys(("nut", "tree-nut"), "tree-nuts"),
    **dict.fromkeys(("soy", "soya", "soybean"), "soybeans"),
    **dict.fromkeys(("gelatin", "gelatine"), "no-gelatin"),
    **dict.fromkeys(("shellfish", "crustacean"), "crustaceans"),
    **dict.fromkeys(("mollusc", "mollusk"), "molluscs"),
    **dict.fromkeys(("sulphite", "sulfite"), "sulphites"),
    **dict.fromkeys(("lupin", "lupine"), "lupin"),
    **{word: word for word in ("wheat", "rye", "barley", "gluten", "sesame", "fish", "celery", "mustard")},
    **{word: word for word in ("vegan", "vegetarian")},
    **{word: f"{word}s" for word in ("egg", "peanut", "oat", "almond", "cashew", "hazelnut", "pecan", "walnut")},
    "pistachio": "pistachios",
    "macadamia": "macadamias",
    "brazil-nut": "brazil-nuts",
    "pine-nut": "pine-nuts",
    "alcohol": "no-alcohol",
    "allergen": ALLERGENS_ALL,
}
_WORD: Final = (
    "(?:" + "|".join(word.replace("-", r"[\s-]+") for word in sorted(_NEEDS, key=len, reverse=True)) + r")s?\b"
)
_BEFORE: Final = r"(?:(?:any|all|other|added|hidden|known|major|common|traces?\s+of)\s+)*"
_LIST: Final = rf"{_WORD}(?:(?:\s*,\s*(?:and\s+|or\s+)?|\s+(?:and|or|nor)\s+|\s*[/&]\s*)(?:no\s+)?{_BEFORE}{_WORD})*"
_DOING: Final = r"(?:use|using|handle|have|contain|buy|keep|store|add|process|allow|serve|(?:work|bake|cook)\s+with)s?"
_CLAIM: Final = re.compile(
    rf"\b(?:no|without|free\s+(?:of|from)|(?:not|never|\w+n['’]t)\s+{_DOING}"
    rf"|nothing\s+(?:\w+\s+){{0,4}}?(?:contains?|has|with))\s+{_BEFORE}(?P<without>{_LIST})"
    rf"|\b(?P<free>(?:{_WORD}-(?:\s*[,/&]\s*|\s+)(?:(?:and|or)\s+)?)*{_WORD})[- ]free\b"
    r"|\b(?:suitable|safe)\s+for\s+(?P<people>(?:coeliac|celiac)s?)\b"
    r"|\b(?P<diet>vegan|vegetarian)\b",
    re.IGNORECASE,
)
#: What stands before words that say the contrary: "we cannot promise that anything is free of nuts".
_NO_PROMISE: Final = re.compile(
    r"\b(?:cannot|not|never|unable\s+to|\w+n['’]t)\s+(?:\w+\s+)?(?:promise|guarantee|assure|say|claim|be\s+sure|rule\s+out)"
    r"\b(?:(?!\bbut\b)[^.;:!?])*$",
    re.IGNORECASE,
)
#: The same before "free of", "-free" and "suitable for" alone: "nothing here is free of nuts", "not nut-free".
_NOT_FREE: Final = re.compile(
    r"(?:\b(?:nothing|none|no\s+\w+)\s+(?:\w+\s+){0,3}?(?:is|are)|\b(?:not|\w+n['’]t))(?:\s+\w+){0,2}\s*$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Claim:
    """Words that claim to be free of something, and the need they promise to serve."""

    words: str
    need: str


def claims_in(text: str) -> Iterator[Claim]:
    """Find what a text claims to be free of; words that deny it are no claim."""
    for found in _CLAIM.finditer(text):
        if _denied(text[: found.start()], found):
            continue
        if found["people"]:
            yield Claim(found.group(0), "gluten")
            continue
        named = next(part for part in found.groups() if part).lower()
        for word in re.findall(_WORD, named):
            plain = "-".join(re.split(r"[\s-]+", word))
            need = _NEEDS.get(plain) or _NEEDS[plain.removesuffix("s")]
            yield Claim(found.group(0), need)


def _denied(before: str, found: re.Match[str]) -> bool:
    free = found["free"] or found["people"] or found.group(0).lower().startswith(("free", "without"))
    return bool(_NO_PROMISE.search(before) or (free and _NOT_FREE.search(before)))


def claim_answer(claim: Claim, declared: Declaration, which: str) -> NeedAnswer:
    """Return what a declaration says to a claim."""
    if claim.need != ALLERGENS_ALL:
        return answer_to(claim.need, declared, which)
    for serves, codes in (
        (Serves.CONTAINS, declared.allergens),
        (Serves.MAY_CONTAIN, declared.may_allergens),
        (Serves.NOT_CHECKED, declared.unchecked_allergens),
    ):
        if codes:
            return NeedAnswer(serves, codes)
    return NeedAnswer(Serves.FREE)


@dataclass(frozen=True, slots=True)
class UnprovenClaim:
    """Words of a product's name or description, and what its ingredients say to them."""

    name: str
    words: str
    answer: NeedAnswer


def unproven_claims(product: Product, declarations: BookDeclarations) -> Iterator[UnprovenClaim]:
    """Find what a product claims to be free of and is not, or was not checked for; each claim once."""
    seen, declared = set(), declarations.of(product.code)
    for claim in claims_in(f"{product.name}. {product.description}"):
        answer = claim_answer(claim, declared, declarations.which)
        if answer.serves != Serves.FREE and claim.need not in seen:
            seen.add(claim.need)
            yield UnprovenClaim(product.name, claim.words, answer)


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
