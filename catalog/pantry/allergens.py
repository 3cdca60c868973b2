"""The allergens an ingredient can carry, and which of them each legal list counts.

Sources
-------
United States: 21 USC 321(qq)(1) (milk, egg, fish, Crustacean shellfish, tree nuts, wheat, peanuts, soybeans) and
Pub. L. 117-11 section 2(a) (sesame). Tree nuts as in the FDA's guidance of January 2025: pine nut in, coconut out.
European Union: Regulation 1169/2011 Annex II (fourteen); pine nut is not in its list of nuts.
The lists do not replace reading the suppliers' labels.
"""

from dataclasses import dataclass
from typing import Final

US: Final = "us"
EU: Final = "eu"


@dataclass(frozen=True, slots=True)
class Allergen:
    """A code on ingredients, its plain name, and the lists that name it."""

    code: str
    name: str
    lists: frozenset[str]


_BOTH = frozenset({US, EU})

ALLERGENS: Final = tuple(
    Allergen(code, name, lists)
    for code, name, lists in (
        ("milk", "milk", _BOTH),
        ("eggs", "eggs", _BOTH),
        ("wheat", "wheat (gluten)", _BOTH),
        ("gluten", "rye, barley or oats (gluten)", frozenset({EU})),
        ("tree-nuts", "tree nuts", _BOTH),
        ("pine-nuts", "pine nuts", frozenset({US})),
        ("peanuts", "peanuts", _BOTH),
        ("soybeans", "soybeans", _BOTH),
        ("sesame", "sesame", _BOTH),
        ("fish", "fish (also fish gelatin)", _BOTH),
        ("crustaceans", "crustaceans", _BOTH),
        ("molluscs", "molluscs", frozenset({EU})),
        ("celery", "celery", frozenset({EU})),
        ("mustard", "mustard", frozenset({EU})),
        ("sulphites", "sulphur dioxide and sulphites", frozenset({EU})),
        ("lupin", "lupin", frozenset({EU})),
    )
)

_BY_CODE: Final = {allergen.code: allergen for allergen in ALLERGENS}


def allergen_name(code: str) -> str:
    """Return the plain name; a code that is not listed (from an imported Book) is returned as it is."""
    known = _BY_CODE.get(code)
    return known.name if known else code.replace("-", " ")


def allergen_choices(which: str) -> list[tuple[str, str]]:
    """Return (code, name) of the allergens a legal list names, ``us`` or ``eu``."""
    return [(allergen.code, allergen.name) for allergen in ALLERGENS if which in allergen.lists]
