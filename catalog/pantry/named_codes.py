"""Allergens that nobody was asked about, where a name says them: "Lupin flour" in a kitchen whose list has no lupin."""

import re
from collections.abc import Collection, Iterable, Mapping
from functools import lru_cache
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.kind_words import foods_named, maybe_made_with
from catalog.pantry.plain_text import folded

#: What is not in it, and the words that say so: "celery-free stock", "ohne Sellerie".
_WITHOUT: Final = re.compile(
    r"\b\w+[\s-]+(?:free|frei)\b|\b\w+frei(?:e[nrs]?)?\b|\b(?:no|not|without|ohne|sans|senza|sin|zonder)[\s-]+(?:\w+\s+)?\w+"
)


def codes_named(codes: Collection[str], texts: Iterable[tuple[str, str]]) -> frozenset[str]:
    """Return those of some allergens that a name, or its text, names; ``texts`` are names with what they say.

    Of what may be made with one, and does not name it, nobody knows.
    """
    if not codes:
        return frozenset()
    every = {text for _, text in texts}
    found = {code for text in every for code in codes_in(text) if code not in maybe_made_with(text)}
    return frozenset(found & set(codes))


@lru_cache(maxsize=4096)
def codes_in(text: str) -> tuple[str, ...]:
    """Return the allergens that a text has in it by its words; what it says that there is none of is not."""
    return foods_named(_WITHOUT.sub(" ", folded(text)))


def named_beside(names: Mapping[str, str], held: Collection[str]) -> dict[str, str]:
    """Return the allergens that own words beside others name, and that are not ``held``, each with these words.

    Almonds that are called "filberts" are hazelnuts, too, and couscous beside rye is wheat.
    """
    return {
        code: words
        for beside, words in names.items()
        for code in codes_in(words)
        if beside not in covered(code) and code not in covered(beside) and not covered(code) & set(held)
    }
