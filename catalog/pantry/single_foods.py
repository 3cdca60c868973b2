"""Names that are of one plain food, every word of them known: granulated sugar, lemons, European style butter.

A list of what is risky never ends, so this goes the other way: whatever is not plainly one food is declared free of
something only with how that is known (``free_by.py``). A word nobody knows is enough ("Zorb sugar disc"), and so is a
food that is made of several things (a praline, a cookie). Common practice, no source.
"""

import re
from functools import cache, lru_cache
from typing import Final

from catalog.pantry.common import common_ingredients
from catalog.pantry.food_table import foods
from catalog.pantry.food_words import is_packaging, is_packing_word, speaks_of_food
from catalog.pantry.kind_words import foods_named
from catalog.pantry.known_foods import HOW, OF_PACKING, PLAIN, says_what_is_in_it
from catalog.pantry.made_foods import SORTS, is_made
from catalog.pantry.name_words import spoken_in
from catalog.pantry.plain_text import folded
from catalog.pantry.thing_words import is_of_things

#: Groups of the USDA table that are of plain foods, by the first two digits of a row's number: dairy and egg, spices,
#: fats, fruit, vegetables, nuts and seeds, legumes, grains. Not: baked products, sweets, beverages, soups, meals.
_PLAIN_GROUPS: Final = frozenset({"01", "02", "04", "09", "11", "12", "16", "20"})
#: What is made of several things beside those that makers sell under names of their own.
_DISHES: Final = re.compile(
    r"\b(?:pies?|tarts?|tartlets?|pastr(?:y|ies)|dough|breads?|rolls?|buns?|noodles?|pasta|soups?|salads?|dressings?|pesto"
    r"|drizzles?|brittle|bark|puffs?|cups?|cones?|bars?|sprinkles|nonpareils|truffles?|dragees?|jelly\s+beans?|miso|spices|streusel)\b"
    r"|kuchen|torte|teig\b|strudel|gebak|taart|frangipan|amarett|hal[vw]a|mayonnais|buttercream"
)
#: Beside these a word of a dish is of the plain thing.
_PLAIN: Final = re.compile(r"\b(?:bread|pastry|tart)\s+(?:flour|cherr\w+)\b|\bcherr\w+,\s+tart\b|\brolled\b")
_WORD: Final = re.compile(r"[^\W\d_]{2,}")
_BESIDE: Final = frozenset(
    ("and", "or", "with", "without", "in", "of", "for", "the", "no", "from", "at", "least", "style", "type")
)


@lru_cache(maxsize=4096)
def is_single_food(name: str) -> bool:
    """Return whether a name is of one plain food and every word of it is known, or whether it is of packaging."""
    if not says_what_is_in_it(name):
        return False
    if plainly_packing(name):
        return not foods_named(name)
    plain = folded(name)
    if is_made(name) or _DISHES.search(_PLAIN.sub(" ", plain)):
        return False
    words = [word for word in _WORD.findall(plain) if word not in _BESIDE]
    return any(map(_is_plain, words)) and all(word in SORTS or word in HOW or _is_plain(word) for word in words)


@lru_cache(maxsize=4096)
def plainly_packing(name: str) -> bool:
    """Return whether a name is of something to pack in, every word of it known, and of nothing to eat."""
    if not is_packaging(name) or speaks_of_food(name):
        return False
    words = (word for word in _WORD.findall(folded(name)) if word not in _BESIDE)
    return all(
        is_packing_word(word)
        or OF_PACKING.fullmatch(word)
        or is_of_things(word)
        or word in SORTS
        or word in HOW
        or _is_plain(word)
        for word in words
    )


def _is_plain(word: str) -> bool:
    """Return whether a food is known by a word, in the plural too, or behind a word of its sort: Puderzucker."""
    known = _plain_words()
    forms = {word, word.removesuffix("s"), word.removesuffix("es"), f"{word.removesuffix('y')}ies"}
    if forms & known or any(word[one.end :] in {"", "s", "n", "en", "er"} and not one.start for one in spoken_in(word)):
        return True
    return any(word.startswith(sort) and word.removeprefix(sort) in known for sort in SORTS if len(sort) > 3)


@cache
def _plain_words() -> frozenset[str]:
    of_table = {
        folded(word)
        for food in foods().values()
        if food.ndb[:2] in _PLAIN_GROUPS
        for part in food.name.split(",")[:2]
        for word in re.findall(r"[A-Za-z]{3,}", part)
        if not word.isupper()
    }
    of_common = {
        word for one in common_ingredients().values() for name in one.called for word in _WORD.findall(folded(name))
    }
    return frozenset(word for word in {*of_table, *of_common, *PLAIN} if word not in HOW)
