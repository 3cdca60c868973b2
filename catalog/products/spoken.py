"""Sentences that speak of an allergen or a need beside food that does not bear it out: maybe claims.

What certainly claims is read by `claims`, and refused. This is the net behind it: it looks for a word of an allergen
and for a word that turns or promises, in the languages in which claims are read, and takes too much, not too little.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from catalog.pantry.declarations import Declaration, Serves, answer_to
from catalog.pantry.kind_words import kinds_named
from catalog.pantry.name_words import allergens_named, folded, speaks_of_allergies
from catalog.pantry.plain_text import SENTENCE_END, plain_text
from catalog.products.claim_words import NO_PROMISE
from catalog.products.claims import claims_in
from catalog.products.declarations import BookDeclarations
from costing.contract import Product

#: Words that turn what is said around: nothing of it, never, left out. In small letters without accents.
_TURNS: Final = re.compile(
    r"\b(?:no|not|none|nil|never|neither|nor|nothing|without|w/o|free|zero|0|minus|lack\w*|absent|exclud\w*|avoid\w*|omit\w*"
    r"|skip\w*|remov\w*|replac\w*|substitut\w*|instead|left|leav\w+|swap\w*|banned|cut|minus|sans|safe|suit\w*|fit|proof"
    r"|cannot|\w+n't|ohne|kein\w*|nicht|nie|nichts|weder|noch|frei\w*|statt|geeignet|weggelassen|pas|jamais|aucun\w*|ni|exempt\w*"
    r"|adapte\w*|convien\w*|sin|nunca|ningun\w*|libres?|apt[oa]s?|senza|non|mai|nessun\w*|priv[oa]|adatt\w*|zonder|geen|niet|nooit"
    r"|off\s+the\s+menu|stays?\s+(?:well\s+)?(?:away|out)|tuck\s+in|dig\s+in|rest\s+assured|brak|bez"
    r"|vrij|geschikt|sem|nao|nem|livres?)\b|(?<=[a-z])(?:free|frei|less|vrij)\b|0\s?%"
)
#: Words of somebody who has a need: of them nobody writes but to say what is for them.
_NEEDS: Final = re.compile(
    r"\bkosher\b(?!\s+salt)|koscher|\bcasher\b|\bhalal\b|\bpar[e]?ve\b|c(?:o?e)liac|celiac|celiach|zoe?liakie|coeliak|gl[uo]ten|glutine|la[ck]tos"
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """A sentence, the allergens it speaks of, and what holds or may hold one of them or was not checked for it."""

    text: str
    codes: tuple[str, ...]
    dishes: tuple[str, ...]


def unborne(
    text: str, found: Sequence[tuple[str, Declaration]], which: str, *, written_freely: bool = False
) -> Iterator[Spoken]:
    """Find the sentences of a text that speak of what some food holds, may hold or was not checked for.

    A sentence that only names it is left out, unless the text is ``written_freely``, to this customer.
    """
    for sentence in SENTENCE_END.split(plain_text(text)):
        # What certainly claims is read elsewhere: a sentence is not held to its word of turning again.
        rest = sentence
        for claim in claims_in(sentence):
            rest = rest.replace(claim.words, " ")
        plain, codes = folded(rest), allergens_named(sentence if written_freely else rest)
        if _TURNS.search(plain):
            codes = tuple(dict.fromkeys([*codes, *kinds_named(rest)]))
        of_needs = speaks_of_allergies(rest) or _NEEDS.search(plain) is not None
        if not codes and not of_needs:
            continue
        if not (written_freely or _TURNS.search(plain) or of_needs) or NO_PROMISE.search(sentence):
            continue
        if dishes := tuple(name for name, one in found if not _borne_out(one, codes, which)):
            yield Spoken(sentence.strip(), codes, tuple(dict.fromkeys(dishes)))


def product_spoken(product: Product, declarations: BookDeclarations) -> tuple[Spoken, ...]:
    """Return the sentences about a product that may be claims which it does not bear out, each once."""
    own = [(product.name, declarations.of(product.code))]
    texts = product.name, product.description, product.holding
    return tuple(dict.fromkeys(one for text in texts for one in unborne(text, own, declarations.which)))


def _borne_out(found: Declaration, codes: Iterable[str], which: str) -> bool:
    """Return whether something is free of all that is named; of all allergens where none is named."""
    every = list(codes)
    if not every:
        return not (found.allergens or found.may_allergens or found.unchecked_allergens)
    return all(answer_to(code, found, which).serves == Serves.FREE for code in every)
