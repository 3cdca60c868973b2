"""Whether an extra is plainly food by its name, such as "Marzipan roses"; a stand or a knife for food is none."""

import re
from typing import Final

from catalog.pantry.plain_text import plain_text

_FOOD: Final = re.compile(
    r"\b(?:berr(?:y|ies)|biscuits?|bonbons?|breads?|brownies?|buns?|cakes?|cand(?:y|ies)|caramels?|cheeses?|chocolates?|compotes?"
    r"|cookies?|coulis|creams?|cr[eê]pes?|cupcakes?|custards?|desserts?|dough?nuts?|donuts?|edible|fondants?|frostings?|fruits?"
    r"|fudge|ganache|gelato|honey|icings?|jams?|macarons?|macaroons?|marshmallows?|marzipans?|meringues?|mousses?|nougats?|nuts?"
    r"|pancakes?|past(?:e|ry|ries)|petits?\s+fours?|pies?|popcorn|pralines?|puddings?|sauces?|scones?|sorbets?|sprinkles"
    r"|strawberr(?:y|ies)|raspberr(?:y|ies)|blueberr(?:y|ies)|sugars?|sugarwork|sweets|syrups?|tarts?|tartlets?|toppings?|truffles?"
    r"|wafers?|waffles?)\b",
    re.IGNORECASE,
)
#: What is no food, though something to eat is named before it: "cake stands", "cutting the cake".
_THING: Final = re.compile(
    r"(?:boards?|cards?|charges?|cloths?|coolers?|cutlery|cutting|deliver(?:y|ies)|displays?|fees?|forks?|hire|kni(?:fe|ves)"
    r"|labels?|linens?|napkins?|racks?|rentals?|ribbons?|servers?|service|set-?up|signs?|spoons?|staff|stands?|tables?|tablecloths?"
    r"|tastings?|toppers?|towers?|work)",
    re.IGNORECASE,
)
_PARTS: Final = re.compile(r"\s(?:with|and|plus)\s|[,(+&/]", re.IGNORECASE)
_OF: Final = re.compile(r"\s(?:for|of|on|in|from)\s", re.IGNORECASE)


def plainly_food(name: str) -> bool:
    """Return whether a name is of something to eat, and not of a thing that is used beside it."""
    return any(_is_food(part) for part in _PARTS.split(plain_text(name)))


def _is_food(part: str) -> bool:
    words = re.findall(r"[\w-]+", _OF.split(part)[0])
    thing = bool(words) and any(_THING.fullmatch(word) for word in (words[0], words[-1]))
    return not thing and _FOOD.search(part) is not None
