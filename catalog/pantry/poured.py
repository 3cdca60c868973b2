"""What is poured, by its name: its ounces can be meant by volume."""

import re
from typing import Final

#: Words of what is poured, and words that make something else of it (common practice, no source).
_LIQUID: Final = frozenset(
    {
        "milk", "buttermilk", "cream", "water", "juice", "oil", "wine", "beer", "cider", "stock",
        "coffee", "espresso", "tea", "syrup", "honey", "molasses", "treacle", "vinegar", "extract", "liqueur", "rum",
        "brandy", "bourbon", "whiskey", "whisky", "cognac", "vodka", "puree", "purée", "eggnog", "kefir", "nectar",
    }
)  # fmt: skip
_SOLID: Final = frozenset(
    {
        "cheese", "powder", "powdered", "dry", "dried", "tartar", "chocolate", "bean", "beans", "ground", "leaves",
        "cracker", "crackers", "candy", "instant", "frozen", "crystals", "granules", "solids",
    }
)  # fmt: skip


def is_liquid(name: str) -> bool:
    """Return whether ounces of something may be meant by volume."""
    words = words_in(name)
    return bool(words & _LIQUID) and not words & _SOLID


def words_in(name: str) -> set[str]:
    """Return the words of a name without case."""
    return set(re.findall(r"\w+", name.casefold()))
