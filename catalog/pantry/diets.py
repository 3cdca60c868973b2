"""What some guests do not eat besides allergens, and how an ingredient answers for it.

Questions about an ingredient are answered like those about allergens: contains, free, or not checked yet. Neither
"vegetarian" nor "vegan" is defined in the laws read (no act under Art. 36(3)(b) of Regulation 1169/2011; UK advisory
criteria of 2005): the criteria here are common practice, no source, and traces do not count against them.
"""

from dataclasses import dataclass
from typing import Final

GELATIN: Final = "gelatin"
MEAT: Final = "meat"
ANIMAL: Final = "other-animal"
ALCOHOL: Final = "alcohol"
#: Asked of eggs only: whether they are pasteurized. ``free`` means that they are.
RAW_EGG: Final = "raw-egg"

#: What an ingredient is asked for besides allergens, each with its name in a list.
DIET_FACTS: Final = {
    GELATIN: "gelatin",
    MEAT: "meat, poultry, seafood, lard, suet or animal rennet",
    ANIMAL: "honey, beeswax, shellac, carmine or another animal product",
    ALCOHOL: "alcohol",
    RAW_EGG: "egg that is not pasteurized",
}
#: How each is called where something contains it.
DIET_NAMES: Final = {
    GELATIN: "gelatin",
    MEAT: "meat or seafood",
    ANIMAL: "honey or another animal product",
    ALCOHOL: "alcohol",
    RAW_EGG: "raw or lightly cooked egg",
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
        Diet("vegetarian", "vegetarian", _NO_MEAT),
        Diet("vegan", "vegan", _NO_MEAT | {ANIMAL, "milk", "eggs"}),
        Diet("no-gelatin", "no gelatin", frozenset({GELATIN})),
        Diet("no-alcohol", "no alcohol", frozenset({ALCOHOL})),
        Diet("no-raw-egg", "no raw or lightly cooked egg", frozenset({RAW_EGG})),
    )
}
