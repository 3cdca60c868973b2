"""Whether a name says what something is: a food or a thing we know, in any of its words, or nothing that we can read.

Of a trade's own name nobody can tell what is in it, so its label's list of ingredients is asked for. No brand is listed
here: known are the foods of the bundled USDA table, the common ingredients, and plain words of six languages.
"""

import re
from functools import cache
from pathlib import Path
from typing import Final

from catalog.pantry.common import common_ingredients
from catalog.pantry.diets import facts_asked, named_facts
from catalog.pantry.food_table import foods
from catalog.pantry.food_words import is_packaging
from catalog.pantry.kind_words import foods_named
from catalog.pantry.name_words import folded

_DATA: Final = Path(__file__).resolve().parent / "data"
#: Plain foods and what they are made into, without accents; the beginnings of words. Common practice, no source.
_PLAIN: Final = frozenset((_DATA / "plain_foods.txt").read_text().split())
_WORD: Final = re.compile(r"[a-z]{2,}")
#: Words that say how something is, and not what: alone they say nothing.
_HOW: Final = frozenset((_DATA / "how_foods_are.txt").read_text().split())


def names_a_food(name: str) -> bool:
    """Return whether a name has a word of a food or of a thing that is packed with, in it."""
    plain = folded(name)
    if foods_named(name) or any(named_facts(name)) or any(facts_asked(name)) or is_packaging(name):
        return True
    words = _WORD.findall(plain)
    known = _known()
    return any(
        word in known or word.removesuffix("s") in known or any(one in word for one in _PLAIN if len(one) > 4)
        for word in words
    )


@cache
def _known() -> frozenset[str]:
    """Return single words by which a food is known, in small letters without accents."""
    names = [part for food in foods().values() for part in food.name.split(",")[:2]]
    # Names of makers stand in capitals in the table.
    of_table = {folded(word) for name in names for word in re.findall(r"[A-Za-z]{3,}", name) if not word.isupper()}
    of_common = {
        word
        for one in common_ingredients().values()
        for name in (*one.names.values(), *one.also)
        for word in _WORD.findall(folded(name))
    }
    return frozenset(word for word in {*of_table, *of_common, *_PLAIN} if word not in _HOW)
