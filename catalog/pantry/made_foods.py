"""Foods that are made of several things beside a word that nobody knows: a maker's cream, paste or chocolate.

"Cream" says that there is milk in it, and a maker's cream may hold hazelnuts or soy besides: only its label says so.
Beside words of sort, size and origin it is the plain thing. Generic words of six languages without accents; no brand is
listed, for any word that is not known may be one. Common practice, no source.
"""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from catalog.pantry.diets import facts_asked, named_facts
from catalog.pantry.kind_words import kinds_named
from catalog.pantry.name_words import spoken_in
from catalog.pantry.plain_text import folded

#: What is made of several things, of which the name tells one at most.
_MADE: Final = re.compile(
    r"\b(?:pastes?|spreads?|creams?|cremes?|crema|cremeux|fillings?|frostings?|icings?|glazes?|glazing|coatings?|compounds?|toppings?"
    r"|mix|mixes|premix|premixes|bases?|sauces?|dips?|chocolates?|couvertures?|ganache|pralines?|pralin|gianduj?a|gianduia"
    r"|cookies?|biscuits?|wafers?|crackers?|crumbles?|crunch|streusel|cakes?|sponges?|brownies?|custards?|puddings?|mousses?|curds?"
    r"|caramels?|toffees?|fudge|nougat|marshmallows?|marzipan|margarines?|granola|muesli|cereals?|candy|candies|bonbons?"
    r"|creme|pates?|fourrage|nappage|glacage|enrobage|melange|preparation|chocolat|biscuits?"
    r"|ripieno|glassa|copertura|miscela|salsa|cioccolato|biscotti|relleno|glaseado|cobertura|mezcla|galletas?|vulling|glazuur)\b"
    r"|fullung|glasur|mischung|schokolade|kuvertur|aufstrich|kekse?\b|backmischung|sosse\b|creme\b|nougat|marzipan|margarine|vla\b"
    r"|chocolade|koekjes?"
)
#: The same words where they are the plain thing: cream as dairies sell it, sorts of cheese, salts that are called so.
_PLAIN: Final = re.compile(
    r"\b(?:heavy|whipping|whipped|double|single|light|sour(?:ed)?|clotted|fresh|table|thick(?:ened)?|dairy|pouring|extra[\s-]thick|all[\s-]purpose)"
    r"[\s-]+(?:whipping[\s-]+)?creams?\b|\bcreme\s+(?:fraiche|epaisse|fleurette|entiere|liquide|double)\b|\bcream\s+(?:cheese|of\s+tartar)\b"
    r"|\bcream\s+\d|\b\d+(?:[.,]\d+)?\s?%\s+cream\b|\b(?:baking|confectioners'?)\s+base\b|\bice\s+(?:cubes?|water)\b|\bicing\s+sugar\b"
    r"|\bcookie\s+cutters?\b|\b(?:cake|pastry|biscuit|cookie)\s+(?:flour|mehl)\b|\b(?:cake|cookie)\s+(?:box|boxes|boards?|drums?|toppers?)\b"
    r"|^\s*creams?\s*$|\btomato\s+paste\b|\b(?:vanilla|vanille)\s+bean\s+paste\b"
)
#: Words of sort, grade, size, pack and origin; beside them a made thing is no maker's own.
_DATA: Final = Path(__file__).resolve().parent / "data"
SORTS: Final = frozenset(
    word for name in ("sorts_of_foods.txt", "how_foods_are.txt") for word in (_DATA / name).read_text().split()
)
#: What may stand behind an allergen within one word, besides a word of sort: more of them.
_PLURALS: Final = frozenset({"", "s", "es", "n", "en", "e", "er"})
_WORD: Final = re.compile(r"[a-z]{3,}")


def is_made(name: str) -> bool:
    """Return whether a name has a food made of several things: a paste, a cake; not cream as dairies sell it."""
    return _MADE.search(_PLAIN.sub(" ", folded(name))) is not None


def is_of_a_maker(name: str, is_known: Callable[[str], bool]) -> bool:
    """Return whether a name has a food made of several things beside a word that is not known.

    ``is_known`` tells of a word in small letters whether a food is known by it.
    """
    rest = _PLAIN.sub(" ", folded(name))
    if not _MADE.search(rest):
        return False
    words = _WORD.findall(_MADE.sub(" ", rest))
    return not all(word in SORTS or is_known(word) or _names(word) for word in words)


def _names(word: str) -> bool:
    """Return whether a word is that of an allergen or another food that is asked about, and not one that begins so."""
    rest = [word[one.end :] for one in spoken_in(word)]
    whole = any(one in _PLURALS or one in SORTS for one in rest)
    return whole or bool(kinds_named(word)) or any(named_facts(word)) or any(facts_asked(word))
