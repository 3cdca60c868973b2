"""What some guests do not eat besides allergens, and how an ingredient answers for it.

Questions about an ingredient are answered like those about allergens: contains, free, or not checked yet. Neither
"vegetarian" nor "vegan" is defined in the laws read (no act under Art. 36(3)(b) of Regulation 1169/2011; UK advisory
criteria of 2005): the criteria here are common practice, no source, and traces do not count against them.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from django.utils.translation import gettext_noop as marked

GELATIN: Final = "gelatin"
MEAT: Final = "meat"
ANIMAL: Final = "other-animal"
ALCOHOL: Final = "alcohol"
#: Asked of eggs only: whether they are pasteurized. ``free`` means that they are.
RAW_EGG: Final = "raw-egg"

#: What an ingredient is asked for besides allergens, each with its name in a list.
DIET_FACTS: Final = {
    GELATIN: marked("gelatin"),
    MEAT: marked("meat, poultry, seafood, lard, suet or animal rennet"),
    ANIMAL: marked("honey, beeswax, shellac, carmine or another animal product"),
    ALCOHOL: marked("alcohol"),
    RAW_EGG: marked("egg that is not pasteurized"),
}
#: How each is called where something contains it.
DIET_NAMES: Final = {
    GELATIN: marked("gelatin"),
    MEAT: marked("meat or seafood"),
    ANIMAL: marked("an animal product such as honey"),
    ALCOHOL: marked("alcohol"),
    RAW_EGG: marked("raw or lightly cooked egg"),
}


@dataclass(frozen=True, slots=True)
class Diet:
    """A need of guests besides allergens: its name, and the codes nothing they eat may contain."""

    code: str
    name: str
    excludes: frozenset[str]


_SEA: Final = frozenset({"fish", "crustaceans", "molluscs"})
_NO_MEAT: Final = frozenset({GELATIN, MEAT}) | _SEA

DIETS: Final = {
    diet.code: diet
    for diet in (
        Diet("vegetarian", marked("vegetarian"), _NO_MEAT),
        Diet("vegan", marked("vegan"), _NO_MEAT | {ANIMAL, "milk", "eggs"}),
        Diet("no-gelatin", marked("no gelatin"), frozenset({GELATIN})),
        Diet("no-alcohol", marked("no alcohol"), frozenset({ALCOHOL})),
        Diet("no-raw-egg", marked("no raw or lightly cooked egg"), frozenset({RAW_EGG})),
    )
}

#: Words in an ingredient's name that say what is in it; English only, and nothing is concluded from their silence.
_NAMED: Final = {
    GELATIN: re.compile(r"\bgelatine?s?\b", re.IGNORECASE),
    MEAT: re.compile(r"\b(?:lard|suet|bacon|beef|pork|chicken|meat)\b", re.IGNORECASE),
    ANIMAL: re.compile(r"\b(?:honey|beeswax|shellac|carmine|cochineal)\b", re.IGNORECASE),
    ALCOHOL: re.compile(
        r"\b(?:alcohol|rum|brandy|whisk(?:e?y|ies)|bourbon|liqueurs?|vodka|kirsch|cognac|amaretto|sherry"
        r"|wine(?!\s+vinegar))\b",
        re.IGNORECASE,
    ),
}
#: Words that turn such a name around, or make it a taste: "vegan gelatin", "alcohol-free wine", "rum flavoring".
_TURNED: Final = re.compile(r"\b(?:free|without|no|non|vegan|plant|instead|substitute|flavou?r\w*)\b", re.IGNORECASE)


def named_facts(name: str) -> Iterator[tuple[str, str]]:
    """Find what an ingredient's name says is in it, each with the word."""
    if not _TURNED.search(name):
        yield from ((code, found.group(0)) for code, words in _NAMED.items() if (found := words.search(name)))
