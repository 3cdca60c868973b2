"""All that a product's page says of allergens, and what its name and description claim wrongly: "no milk" beside milk.

Which words claim something is in `claim_words`; nothing is concluded from their silence.
"""

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from catalog.pantry.declarations import Declaration, NeedAnswer, Serves, answer_to
from catalog.pantry.diets import DIET_FACTS
from catalog.pantry.plain_text import plain_text
from catalog.products.claim_lists import REACH, Listed, listed_after, listed_before
from catalog.products.claim_words import (
    ALLERGENS_ALL,
    AVOIDS,
    CLAIMS,
    DIET_WORDS,
    EVERYONE,
    FOREIGN,
    GUESTS,
    NEEDS,
    NO_PROMISE,
    NOT_FREE,
    PEOPLE,
    RISKY,
    SHORT,
    THEM,
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
    text = plain_text(text)
    found = [_found(text, match) for pattern in CLAIMS for match in pattern.finditer(text)]
    found += [(listed, True) for listed in listed_after(text)]
    taken: list[tuple[int, int, str]] = []
    for listed, turns in sorted(found, key=lambda one: (one[0].start, -one[0].end)):
        if _denied(text, listed.start, turns=turns):
            continue
        for need in listed.needs:
            if not any(start < listed.end and listed.start < end and need == same for start, end, same in taken):
                taken.append((listed.start, listed.end, need))
                yield Claim(text[listed.start : listed.end].strip(), need)


def _found(text: str, match: re.Match[str]) -> tuple[Listed, bool]:
    """Return what a match claims with what is listed before it, and whether a "not" before it makes it the contrary."""
    listed = Listed(match.start(), match.end(), ())
    if _HANGS & match.re.groupindex.keys() and _LAST_WORD.search(match[0]):
        listed = listed_before(text, match)
    words = match[0].lower()
    turns = bool(_TURNED & {name for name, held in match.groupdict().items() if held})
    turns = turns or words.startswith(("free", "without", "safe")) or words.endswith("safe")
    return replace(listed, needs=(*listed.needs, *_needs_of(match))), turns


def _needs_of(match: re.Match[str]) -> list[str]:
    """Return the needs that the words of a claim promise to serve."""
    groups = {name: words for name, words in match.groupdict().items() if words is not None}
    read = next((reading for name, reading in _READ.items() if name in groups), None)
    if read is not None:
        return read(groups)
    words = next(iter(groups.values()))
    return _named(words) or [ALLERGENS_ALL]


def _foreign(words: str, among: Mapping[str, str]) -> str:
    found = (among[word] for word in sorted(among, key=len, reverse=True) if words.lower().startswith(word))
    return next(found, GUESTS)


def _of_people(who: str) -> list[str]:
    named = _named(who) if AVOIDS.search(who) or THEM.match(who) else []
    return named or ([ALLERGENS_ALL] if EVERYONE.search(who) else [GUESTS] if THEM.match(who) else [])


def _of_avoiding(who: str) -> list[str]:
    return _named(who) or ([ALLERGENS_ALL] if RISKY.search(who) else []) if AVOIDS.search(who) else []


def _calmed(about: str) -> list[str]:
    """Return what somebody has not to worry about: what it names, or whatever the guests cannot eat."""
    return _named(about) or ([ALLERGENS_ALL] if RISKY.search(about) else [] if about.strip() else [GUESTS])


#: Group of a claim -> how the needs are read from what it holds; the first one that is there counts.
_READ: Final[Mapping[str, Callable[[Mapping[str, str]], list[str]]]] = {
    "all": lambda _: [ALLERGENS_ALL],
    "foreign": lambda groups: [_foreign(groups["foreign"], FOREIGN)],
    "diet": lambda groups: ["vegetarian" if "vegetarian" in groups["diet"].lower() else "vegan"],
    "who": lambda groups: _of_people(groups["who"]),
    "avoid": lambda groups: _of_avoiding(groups["avoid"]),
    "floury": lambda _: ["gluten"],
    "sober": lambda _: ["no-alcohol"],
    "plants": lambda _: ["vegan"],
    "raw": lambda _: ["no-raw-egg"],
    "pregnant": lambda _: ["no-raw-egg", "no-alcohol"],
    "parve": lambda _: ["milk"],
    "short": lambda groups: [SHORT[re.sub(r"[^A-Z]", "", groups["short"].upper())]],
    "lepku": lambda _: ["gluten"],
    "each": lambda _: [ALLERGENS_ALL],
    "spaced": lambda groups: _named(_SPACED_END.sub("", re.sub(r"[\s.-]", "", groups["spaced"]))),
    "whom": lambda groups: [_foreign(groups["whom"], PEOPLE)],
    "eater": lambda groups: _named(groups["eater"]) or [ALLERGENS_ALL],
    "theirs": lambda _: [GUESTS],
    "calm": lambda groups: _calmed(groups["calm"]),
    "risk": lambda groups: _named(groups["risk"]) or ([ALLERGENS_ALL] if RISKY.search(groups["risk"]) else []),
}


def _named(words: str) -> list[str]:
    """Return the needs that words of allergens and diets stand for, each once."""
    plain = ("-".join(re.split(r"[\s-]+", word)) for word in re.findall(rf"\b{WORD}", words.lower()))
    return list(dict.fromkeys(NEEDS.get(word) or NEEDS[word.removesuffix("s")] for word in plain))


_SPACED_END: Final[re.Pattern[str]] = re.compile(r"fre[ei]$", re.IGNORECASE)


#: Groups of claims that a "not" right before them turns into the contrary.
_TURNED: Final = frozenset(
    {
        "free",
        "safe",
        "parve",
        "who",
        "whom",
        "short",
        "spaced",
        "each",
        "calm",
        "foreign",
        "diet",
        "avoid",
        "plants",
        "sober",
        "pregnant",
    }
)


#: Groups of claims before which a list may stand that shares their last word.
_HANGS: Final = frozenset({"free", "safe", "foreign"})
_LAST_WORD: Final = re.compile(r"(?:free|safe|friendly|proof|frei(?:e[nmrs]?)?|vrije?|fri(?:e|tt)?)$", re.IGNORECASE)


def _denied(text: str, start: int, *, turns: bool) -> bool:
    """Return whether words before a claim deny it; what stands far from it does not."""
    before = text[max(0, start - REACH) : start]
    return bool(NO_PROMISE.search(before) or (turns and NOT_FREE.search(before)))


def claims_meant(claim: Claim, guests: Collection[str]) -> list[Claim]:
    """Return what a claim promises to certain guests: each need of theirs, where it speaks of the guests alone.

    Where nothing is known of them, only "safe" promises anything: that it holds no allergen at all.
    """
    if claim.need != GUESTS:
        return [claim]
    if guests:
        return [replace(claim, need=need) for need in guests]
    return [replace(claim, need=ALLERGENS_ALL)] if _SAFE.match(claim.words) else []


_SAFE: Final = re.compile(
    r".*\b(?:hurt|harm|endanger)|safe|harmless|unbedenklich|sicher|veilig|segur|sicur|sans", re.IGNORECASE
)


def claim_answer(claim: Claim, declared: Declaration, which: str) -> NeedAnswer:
    """Return what a declaration says to a claim."""
    if claim.need not in (ALLERGENS_ALL, GUESTS):
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

    @property
    def misleads(self) -> bool:
        """Whether it is untrue, or says more than the bare word of a diet and nobody checked it.

        A dessert that nobody checked can be sold as that, and not as free of something.
        """
        of_allergens = any(code not in DIET_FACTS for code in self.answer.codes)
        return self.untrue or of_allergens or DIET_WORDS.fullmatch(self.words) is None


def unproven_claims(product: Product, declarations: BookDeclarations) -> Iterator[UnprovenClaim]:
    """Find what a product claims to be free of and is not, or was not checked for; each claim once.

    Of the names of its recipes, those that what is in them denies.
    """
    code, which = product.code, declarations.which
    words = f"{product.name}. {product.description}. {product.holding}"
    yield from text_unproven(code, product.name, words, declarations.of(code), which)
    for one in declarations.recipes_in(code):
        claims = text_unproven(code, one.name, one.name, declarations.of_recipe(one.code), which)
        yield from (claim for claim in claims if claim.untrue)


def text_unproven(code: str, name: str, words: str, declared: Declaration, which: str) -> Iterator[UnprovenClaim]:
    """Find what the words about something sold claim it to be free of, and it does not bear out; each claim once."""
    seen = set()
    for claim in claims_in(words):
        answer = claim_answer(claim, declared, which)
        if answer.serves != Serves.FREE and claim.need not in seen:
            seen.add(claim.need)
            yield UnprovenClaim(name, claim.words, answer, code)


def unproven_words(text: str, declared: Declaration, which: str) -> tuple[str, ...]:
    """Return the words of a name or a text that a declaration does not bear out, those of :attr:`misleads` alone."""
    claims = text_unproven("", "", text, declared, which)
    return tuple(dict.fromkeys(one.words for one in claims if one.misleads))


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
