"""What some guests do not eat besides allergens, and how an ingredient answers for it.

Questions about an ingredient are answered like those about allergens: contains, free, or not checked yet. Neither
"vegetarian" nor "vegan" is defined in the laws read (no act under Art. 36(3)(b) of Regulation 1169/2011; UK advisory
criteria of 2005): the criteria here are common practice, no source, and traces do not count against them.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from django.utils.translation import gettext_noop as marked

from catalog.pantry.near_words import one_off

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

#: Words in a name that say what is in it, or a kind of food that is usually made of it; nothing is concluded from their
#: silence. In English, German, French, Italian, Spanish and Dutch; generic words, common practice, no source.
_NAMED: Final = {
    GELATIN: re.compile(
        r"\b(?:gelatine?s?|gélatine|gelatina|\w*gelatine|marshmallows?|guimauves?|malvavisco|gumm[iy](?:\s+bears?|bär\w*)"
        r"|isinglass|hausenblase|aspic|aspik|jell-?o)\b",
        re.IGNORECASE,
    ),
    MEAT: re.compile(
        r"\b(?:lard|suet|bacon|beef|pork|chicken|meat|schmalz|schweine\w+|speck|saindoux|strutto|manteca\s+de\s+cerdo|reuzel"
        r"|rennet|tallow|talg)\b",
        re.IGNORECASE,
    ),
    ANIMAL: re.compile(
        r"\b(?:honey|beeswax|shellac|carmine|cochineal|\w*honig|miel|miele|honing|bienenwachs|schellack|karmin|cochenille"
        r"|propolis|royal\s+jelly)\b",
        re.IGNORECASE,
    ),
    ALCOHOL: re.compile(
        r"\b(?:alcohol|rum|brandy|whisk(?:e?y|ies)|bourbon|liqueurs?|vodka|kirsch|cognac|amaretto|sherry"
        r"|wine(?!\s+vinegar)|limoncello|\w*likör\w*|\w*likoer|liquor[ei]?|licor(?:es)?|likeur|gin|grappa|tequila|mezcal|absinth\w*"
        r"|armagnac|calvados|eau[\s-]de[\s-]vie|schnaps|\w+schnaps|\w*kirschwasser|obstler|marsala|madeira\s+wine|port\s+wine|portwein"
        r"|prosecco|champagner?|spumante|sekt|cava|vermouth|wermut|vermut|vins?\s+(?:blanc|rouge|cuit|santo)|vino|\w*wijn"
        r"|(?:weiß|weiss|rot|rosé|glüh|süß|dessert|schaum|port|apfel)weine?|wein|cider|cidre|sidra|bier|beer|birra|cerveza|stout|ale"
        r"|advocaat|eierlikör|rhum|ron|maraschino|sambuca|anisette|curaçao|triple\s+sec|crème\s+de\s+(?:cassis|menthe|cacao)|ouzo"
        r"|raki|sake|spirits?)\b",
        re.IGNORECASE,
    ),
}
#: Words that turn such a name around, or make it a taste: "vegan gelatin", "alcohol-free wine", "rum flavoring".
_TURNED: Final = re.compile(
    r"\b(?:free|without|no|non|vegan|plant|instead|substitute|flavou?r\w*|ohne|\w*frei\w*|sans|senza|sin|zonder|aroma|arôme|vinegar"
    r"|\w*essig|vinaigre|aceto|vinagre|azijn|ginger)\b",
    re.IGNORECASE,
)


#: Names that usually stand for one of them, and not always: extracts of flavor are mostly alcohol, jelly is often set
#: with gelatin, and there are some without. Common practice, no source.
_USUALLY: Final = {
    GELATIN: re.compile(r"(?<!royal\s)(?<!petroleum\s)\b(?:jell(?:y|ies|ied)|gel[ée]es?)\b", re.IGNORECASE),
    ALCOHOL: re.compile(
        r"\b(?:(?:vanilla|vanille|almond|lemon|orange|citrus|(?:pepper)?mint|rose|coffee|anise|hazelnut|maple)[\s-]+(?:bean\s+)?"
        r"(?:extracts?|extrakt|extract|essence|tincture)|vanilleextra[kc]t|vanillaextract|tinctures?|bitters"
        r"|(?:extrait|estratto|extracto)\s+(?:de|di|d['’])\s*(?:vanille|vaniglia|vainilla|amande|mandorla|almendra|limone|limón|citron))\b",
        re.IGNORECASE,
    ),
}
#: Words that are often misspelt, of six letters or more; no everyday word is one letter away.
_SPELT: Final = {
    **dict.fromkeys(("gelatin", "gelatine", "gelatina", "marshmallow", "isinglass"), GELATIN),
    **dict.fromkeys(("alcohol", "liqueur", "bourbon", "amaretto", "limoncello", "prosecco", "cognac"), ALCOHOL),
    **dict.fromkeys(("shellac", "carmine", "cochineal", "beeswax"), ANIMAL),
}


def facts_asked(name: str) -> Iterator[tuple[str, str]]:
    """Find what an ingredient's name may say is in it, each with the word: by kind, or nearly spelled so."""
    if _TURNED.search(name):
        return
    named = {code for code, _ in named_facts(name)}
    for code, words in _USUALLY.items():
        if code not in named and (found := words.search(name)):
            named.add(code)
            yield code, found.group(0)
    for word in re.findall(r"[^\W\d_]{6,}", name):
        for meant in _meant(word.lower()) - named:
            named.add(meant)
            yield meant, word


@lru_cache(maxsize=4096)
def _meant(word: str) -> frozenset[str]:
    """Return what a word may mean that is often misspelt."""
    return frozenset(code for right, code in _SPELT.items() if one_off(word, right))


def named_facts(name: str) -> Iterator[tuple[str, str]]:
    """Find what an ingredient's name says is in it, each with the word."""
    if not _TURNED.search(name):
        yield from ((code, found.group(0)) for code, words in _NAMED.items() if (found := words.search(name)))
