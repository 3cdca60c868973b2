"""Shellfish are crustaceans to a list, and to a guest maybe oysters and mussels too: both are offered.

The law of some countries has crustaceans alone on its list, and their people say shellfish for both all the same:
common practice, no source. In the six languages, without accents.
"""

import re
from collections.abc import Mapping
from typing import Final, TypeVar

from catalog.pantry.near_words import one_off
from catalog.pantry.plain_text import folded

Found = TypeVar("Found")
CRUSTACEANS: Final = "crustaceans"
MOLLUSCS: Final = "molluscs"
_BOTH: Final = re.compile(
    r"s?hell?[\s-]?fish|shelfish|schalentier|schalen-\s+und\s+krustentier|meeresfru?e?cht|fruits?\s+de\s+mer"
    r"|frutt[oi]\s+di\s+mare|\bmariscos?\b|\bzeevrucht|\bschaaldier|\bcrustaces\s+et\s+coquillages\b|\bsea\s?food\b"
)
_WORD: Final = re.compile(r"[a-z]{8,10}")


def says_shellfish(text: str) -> bool:
    """Return whether a text has a word that may mean crustaceans, molluscs or both."""
    plain = folded(text)
    return _BOTH.search(plain) is not None or any(one_off(word, "shellfish") for word in _WORD.findall(plain))


def with_molluscs(text: str, found: Mapping[str, Found]) -> dict[str, Found]:
    """Return needs that were found in a text, molluscs among them as crustaceans are where it says shellfish."""
    if CRUSTACEANS not in found or MOLLUSCS in found or not says_shellfish(text):
        return dict(found)
    return {**found, MOLLUSCS: found[CRUSTACEANS]}
