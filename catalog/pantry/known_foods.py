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
from catalog.pantry.food_words import is_packaging, speaks_of_food
from catalog.pantry.kind_words import foods_named
from catalog.pantry.made_foods import is_of_a_maker
from catalog.pantry.name_words import folded

_DATA: Final = Path(__file__).resolve().parent / "data"
#: Plain foods and what they are made into, without accents; the beginnings of words. Common practice, no source.
PLAIN: Final = frozenset((_DATA / "plain_foods.txt").read_text().split())
_WORD: Final = re.compile(r"[a-z]{2,}")
#: Words that say how something is, and not what: alone they say nothing.
HOW: Final = frozenset((_DATA / "how_foods_are.txt").read_text().split())


#: What is made of several things, whatever it is named after: mint cups, rice bars. Common practice, no source.
_MADE: Final = re.compile(
    r"(?:cup|bar|bite|ball|pop|puff|cluster|thin|nugget|truffle|sprinkle|topping|eye|crunch|crunchie|wrap|snack|treat)s?|candy|candies"
)
#: Shapes and packs in which one thing may come as well: cinnamon sticks, mango pieces.
_SHAPES: Final = re.compile(r"(?:stick|piece|chip|mini|mix|mixe|drop|bit|chunk|pack|bag|box|boxe|tub|crisp)s?")
#: Materials and uses of what is packed in: a paper cup, and not a mint cup.
OF_PACKING: Final = re.compile(
    r"\b(?:paper|plastic|glass|clear|card(?:board)?|compostable|bagasse|kraft|portion|dessert|sauce|baking|cake|cupcake|muffin|souffle"
    r"|serving|tasting|parfait|trifle|disposable|pla|pet|rpet|wood\w*|bamboo|foil|lids?|ml|cl|oz|porcelain|kraft|returnable|look)\b"
)


def names_a_food(name: str) -> bool:
    """Return whether a name says what something is: a food, or a thing that is packed with.

    Words of a shape or a pack alone do not: beside one, every other word has to be known.
    """
    words = [word for word in _WORD.findall(folded(name)) if word not in ("and", "with", "for", "the", "of", "in")]
    made = [word for word in words if _MADE.fullmatch(word)]
    if is_common(name):
        return True
    if made:
        packs = len(made) == len(words) or OF_PACKING.search(folded(name)) is not None
        return packs and is_packaging(name) and not speaks_of_food(name)
    if foods_named(name) or any(named_facts(name)) or any(facts_asked(name)) or is_packaging(name):
        return True
    shapes = [word for word in words if _SHAPES.fullmatch(word)]
    others = [word for word in words if word not in shapes and (not shapes or word not in HOW)]
    return bool(others) and (all if shapes else any)(map(_is_known, others))


def says_what_is_in_it(name: str) -> bool:
    """Return whether a name tells enough that its label's list of ingredients need not be asked for.

    A maker's own cream or paste says one thing that is in it at most; a plain food says it all, whoever makes it.
    """
    if is_common(name) or not names_a_food(name):
        return is_common(name)
    return (is_packaging(name) and not speaks_of_food(name)) or not is_of_a_maker(name, _is_known)


def _is_known(word: str) -> bool:
    return is_known_word(word) or any(one in word for one in PLAIN if len(one) > 4)


def is_known_word(word: str) -> bool:
    """Return whether a food is known by just this word in small letters without accents, in the plural too."""
    known = _known()
    return word in known or word.removesuffix("s") in known


def is_common(name: str) -> bool:
    """Return whether a name is that of a common ingredient, in any language."""
    return folded(name).strip() in _common_names()


@cache
def _common_names() -> frozenset[str]:
    return frozenset(folded(name) for one in common_ingredients().values() for name in (*one.names.values(), *one.also))


#: What stands for a list of ingredients and is none.
_NO_LIST: Final = re.compile(
    r"\b(?:see|s\.|siehe|voir|vedi|ver|zie)\b.*\b(?:label|pack\w*|box|jar|etikett\w*|verpackung|etiquette|emballage|etichetta|etiqueta|etiket)\b"
    r"|\b(?:n/?a|none|nil|nothing|unknown|tbd|tba|todo|not\s+(?:known|given|stated|listed)|no\s+(?:list|ingredients)|as\s+on|on\s+the\s+label"
    r"|keine?|unbekannt|aucun\w*|inconnu\w*)\b"
)
_WHOLLY: Final = re.compile(r"\b100\s?%\s*\w{3,}|\w{3,}[^,;]*\b100\s?%")


def is_ingredient_list(text: str) -> bool:
    """Return whether a text may be a label's list of ingredients: two at least, or the one that it wholly is."""
    plain = folded(text)
    if _NO_LIST.search(plain):
        return False
    parts = [part for part in re.split(r"[,;\u2022\u00b7]", plain) if re.search(r"[^\W\d_]{2,}", part)]
    return len(parts) > 1 or _WHOLLY.search(plain) is not None


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
    return frozenset(word for word in {*of_table, *of_common, *PLAIN} if word not in HOW)
