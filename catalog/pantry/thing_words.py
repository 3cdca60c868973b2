"""Whether an extra may be food by its name, such as "Marzipan roses"; a stand or a knife for food is none.

What is no food is known by its words, every one of them: whatever has another word in it is asked.
"""

import re
from typing import Final

from catalog.pantry.plain_text import plain_text

#: Things and work that nobody eats, in the singular, and other words for them; own choice, common practice.
_THINGS: Final = frozenset(
    (
        *("backdrop", "balloon", "bench", "board", "box", "candle", "candlestick", "card", "chair", "charge"),
        *("chest", "cloth", "cooler", "cover", "crate", "cushion", "cutlery", "cutting", "decoration", "delivery"),
        *("dish", "display", "drape", "easel", "fee", "fork", "frame", "fridge", "glassware", "hire", "knife"),
        *("knive", "label", "lamp", "lantern", "light", "linen", "marquee", "mirror", "napkin", "package"),
        *("packaging", "parking", "pedestal", "plate", "platter", "porcelain", "presentation", "rack", "refrigerator"),
        *("rental", "ribbon", "riser", "runner", "screen", "server", "service", "serving", "set", "set-up"),
        *("setup", "sign", "signage", "spoon", "staff", "stand", "table", "tablecloth", "tableware", "tent"),
        *("tongs", "topper", "tower", "transport", "tray", "trestle", "tripod", "trolley", "vase", "vehicle"),
        *("waiter", "waitress", "work"),
    )
)
#: Words that stand beside them.
_BESIDE: Final = frozenset(
    (
        *("a", "acrylic", "an", "and", "antique", "at", "black", "blue", "brass", "bronze", "by", "cake"),
        *("clear", "cold", "copper", "cream-colored", "crystal", "cupcake", "dark", "day", "dessert", "down"),
        *("early", "eight", "evening", "event", "extra", "five", "floral", "for", "four", "from", "glass"),
        *("gold", "gray", "green", "grey", "half", "hour", "in", "iron", "ivory", "large", "late", "long"),
        *("low", "marble", "metal", "mirrored", "night", "nine", "oak", "of", "on", "one", "or", "our", "oval"),
        *("paper", "pastry", "per", "pink", "pink-colored", "plastic", "platform", "round", "rustic", "satin", "seven"),
        *("short", "silver", "single", "six", "slate", "small", "square", "steel", "tall", "tasting", "ten"),
        *("the", "three", "three-tier", "tier", "tiered", "to", "twelve", "two", "two-tier", "up", "velvet"),
        *("vintage", "wedding", "white", "with", "wood", "wooden", "yellow", "your"),
    )
)


def is_of_things(word: str) -> bool:
    """Return whether a word in small letters is of a thing nobody eats, or stands beside such a word."""
    return word in _BESIDE or bool({word, word.removesuffix("s"), word.removesuffix("es")} & _THINGS)


def plainly_no_food(name: str) -> bool:
    """Return whether every word of a name is of a thing or of work that nobody eats, or stands beside such a word."""
    words = re.findall(r"[^\W\d_]+(?:-[^\W\d_]+)*", plain_text(name).lower())
    known = [
        word in _THINGS or word.removesuffix("s") in _THINGS or word.removesuffix("es") in _THINGS for word in words
    ]
    if _of_food(words):
        return False
    return any(known) and all(thing or word in _BESIDE for thing, word in zip(known, words, strict=True))


#: What is eaten, and what it comes on or as: a tower of cupcakes is food, a stand for them is none.
_EATEN: Final = frozenset({"cake", "cupcake", "dessert", "pastry"})
_HOLDS: Final = frozenset({"tower", "platter", "tray", "table", "display"})
#: Words by which it is the thing alone.
_ALONE: Final = frozenset(
    {"hire", "rental", "stand", "linen", "cloth", "sign", "setup", "set-up", "riser", "frame", "runner"}
)


def _of_food(words: list[str]) -> bool:
    """Return whether a thing's name may be of the food on it: a cupcake tower, a stand with a cake."""
    single = [word.removesuffix("s") for word in words]
    if "with" in single and _EATEN & {*single[single.index("with") :]}:
        return True
    return bool(_EATEN & {*single} and _HOLDS & {*single} and not _ALONE & {*single})
