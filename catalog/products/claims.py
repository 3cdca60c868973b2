"""All that a product's page says of allergens, and what its name and description claim wrongly: "no milk" beside milk.

Which words claim something is in `claim_words`; nothing is concluded from their silence.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from catalog.pantry.declarations import Declaration, NeedAnswer, Serves, answer_to
from catalog.products.claim_words import (
    ALLERGENS_ALL,
    AVOIDS,
    CLAIMS,
    EVERYONE,
    FOREIGN,
    NEEDS,
    NO_PROMISE,
    NOT_FREE,
    RISKY,
    WORD,
)
from catalog.products.declarations import BookDeclarations, OpenQuestion, declarations_of
from costing.contract import Book, Product


@dataclass(frozen=True, slots=True)
class Claim:
    """Words that claim to be free of something, and the need they promise to serve."""

    words: str
    need: str


def claims_in(text: str) -> Iterator[Claim]:
    """Find what a text claims to be free of, in the order of the text; words that deny it are no claim."""
    found = [match for pattern in CLAIMS for match in pattern.finditer(text)]
    taken: list[tuple[int, int, str]] = []
    for match in sorted(found, key=lambda one: (one.start(), -one.end())):
        if _denied(text[: match.start()], match):
            continue
        for need in _needs_of(match):
            if not any(start < match.end() and match.start() < end and need == same for start, end, same in taken):
                taken.append((*match.span(), need))
                yield Claim(match.group(0).strip(), need)


def _needs_of(match: re.Match[str]) -> list[str]:
    """Return the needs that the words of a claim promise to serve."""
    groups = {name: words for name, words in match.groupdict().items() if words is not None}
    if "all" in groups:
        return [ALLERGENS_ALL]
    if "foreign" in groups:
        return [next(FOREIGN[word] for word in _BY_LENGTH if groups["foreign"].lower().startswith(word))]
    if "diet" in groups:
        return ["vegetarian" if "vegetarian" in groups["diet"].lower() else "vegan"]
    if "who" in groups:
        named = _named(groups["who"]) if AVOIDS.search(groups["who"]) else []
        return named or ([ALLERGENS_ALL] if EVERYONE.search(groups["who"]) else [])
    if "risk" in groups:
        return _named(groups["risk"]) or ([ALLERGENS_ALL] if RISKY.search(groups["risk"]) else [])
    words = next(iter(groups.values()))
    return _named(words) or [ALLERGENS_ALL]


_BY_LENGTH = sorted(FOREIGN, key=len, reverse=True)


def _named(words: str) -> list[str]:
    """Return the needs that words of allergens and diets stand for, each once."""
    plain = ("-".join(re.split(r"[\s-]+", word)) for word in re.findall(rf"\b{WORD}", words.lower()))
    return list(dict.fromkeys(NEEDS.get(word) or NEEDS[word.removesuffix("s")] for word in plain))


def _denied(before: str, match: re.Match[str]) -> bool:
    words = match.group(0).lower()
    turns = {"free", "safe", "who", "foreign", "diet"} & {name for name, held in match.groupdict().items() if held}
    turned = turns or words.startswith(("free", "without")) or words.endswith("safe")
    return bool(NO_PROMISE.search(before) or (turned and NOT_FREE.search(before)))


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
    """Words about a product, and what its ingredients say to them; ``code`` is the product's."""

    name: str
    words: str
    answer: NeedAnswer
    code: str = ""

    @property
    def untrue(self) -> bool:
        """Whether an answer says the contrary; else nobody answered."""
        return self.answer.serves in (Serves.CONTAINS, Serves.MAY_CONTAIN)


def unproven_claims(product: Product, declarations: BookDeclarations) -> Iterator[UnprovenClaim]:
    """Find what a product claims to be free of and is not, or was not checked for; each claim once."""
    words = f"{product.name}. {product.description}. {product.holding}"
    yield from text_unproven(product.code, product.name, words, declarations.of(product.code), declarations.which)


def text_unproven(code: str, name: str, words: str, declared: Declaration, which: str) -> Iterator[UnprovenClaim]:
    """Find what the words about something sold claim it to be free of, and it does not bear out; each claim once."""
    seen = set()
    for claim in claims_in(words):
        answer = claim_answer(claim, declared, which)
        if answer.serves != Serves.FREE and claim.need not in seen:
            seen.add(claim.need)
            yield UnprovenClaim(name, claim.words, answer, code)


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
