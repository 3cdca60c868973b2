"""What guests cannot or do not eat, as it is named in a note in plain words: "2 coeliac, 1 peanut, one is vegan"."""

import re
from collections.abc import Iterable, Mapping
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.name_words import allergens_named, folded, speaks_of_allergies
from catalog.pantry.plain_text import plain_text

#: Other names of what a need is about -> the need; in notes and messages, and in what the kitchen claims.
SYNONYMS: Final[Mapping[str, str]] = {
    **dict.fromkeys(("treenut", "praline", "praliné"), "tree-nuts"),
    **dict.fromkeys(("filbert", "gianduja", "gianduia"), "hazelnuts"),
    **dict.fromkeys(("marzipan", "frangipane"), "almonds"),
}
#: Word of a note -> need.
_WORDS: Final[Mapping[str, str]] = {
    **SYNONYMS,
    **dict.fromkeys(("coeliac", "celiac", "gluten"), "gluten"),
    **dict.fromkeys(("wheat",), "wheat"),
    **dict.fromkeys(("peanut", "ground-nut", "groundnut"), "peanuts"),
    **dict.fromkeys(("nut", "tree-nut"), "tree-nuts"),
    **dict.fromkeys(("shellfish", "crustacean", "shrimp", "prawn", "crab", "lobster"), "crustaceans"),
    **dict.fromkeys(("mollusc", "mollusk", "mussel", "oyster", "clam", "squid"), "molluscs"),
    **dict.fromkeys(("milk", "dairy", "lactose", "cream", "butter", "cheese"), "milk"),
    **dict.fromkeys(("soy", "soya", "soybean"), "soybeans"),
    **dict.fromkeys(("sulphite", "sulfite", "sulphur-dioxide", "sulfur-dioxide"), "sulphites"),
    **dict.fromkeys(("lupin", "lupine"), "lupin"),
    **dict.fromkeys(("gelatin", "gelatine"), "no-gelatin"),
    **{word: word for word in ("rye", "barley", "sesame", "fish", "celery", "mustard", "vegan", "vegetarian")},
    **{word: f"{word}s" for word in ("egg", "oat", "almond", "cashew", "hazelnut", "pecan", "walnut", "macadamia")},
    "pistachio": "pistachios",
    "brazil-nut": "brazil-nuts",
    "pine-nut": "pine-nuts",
    "alcohol": "no-alcohol",
}
_NUMBERS: Final = dict(
    zip(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
        range(1, 13),
        strict=True,
    )
)
_ANY: Final = "|".join(word.replace("-", r"[\s-]+") for word in sorted(_WORDS, key=len, reverse=True))
_BETWEEN: Final = (
    r"(?:x|×|of\s+them|guests?|people|persons?|children|child|kids?|adults?|women|woman|men|man|is|are|has|have|with|who"
    r"|cannot|can['’]t|do\s+not|does\s+not|don['’]t|doesn['’]t|eats?|no|not|any|an?|the|allergic|allergy|to|severely|severe"
    r"|strictly|strict|intolerant|avoids?|need|needs|:)"
)
_NAMED: Final = re.compile(
    rf"(?:\b(?P<number>\d{{1,4}}|{'|'.join(_NUMBERS)})\s?(?:{_BETWEEN}\s?){{0,24}}?)?\b(?P<word>{_ANY})s?\b",
    re.IGNORECASE,
)


#: What parts one guest's need from the next in a note.
_SEGMENT: Final = re.compile(r"[,;.\n]|\b(?:and|und|et|y|e|en|plus)\b|[+&]")
_COUNT: Final = re.compile(rf"\b(\d{{1,4}}|{'|'.join(_NUMBERS)})\b|(?<=[x×])\s?(\d{{1,4}})\b")


def needs_in(text: str) -> dict[str, int | None]:
    """Return the needs that a note names, each with its number of guests: that before it, or the one beside it."""
    found = _before(text)
    for part in _SEGMENT.split(folded(text)):
        named = [code for code in allergens_named(part) if not any(covered(one) < covered(code) for one in found)]
        numbers = [one or other for one, other in _COUNT.findall(part)]
        number = numbers[0] if len(named) == 1 and len(numbers) == 1 else None
        for code in named:
            count = None if number is None else _NUMBERS.get(number) or int(number)
            found[code] = found.get(code) or count
    return found


def numbers_in(text: str) -> list[int]:
    """Return the numbers that a text names, up to four digits, or in English words up to twelve."""
    every = (one or other for one, other in _COUNT.findall(folded(text)))
    return [_NUMBERS.get(one) or int(one) for one in every]


def _before(text: str) -> dict[str, int | None]:
    found: dict[str, int | None] = {}
    for match in _NAMED.finditer(plain_text(text)):
        word, number = re.sub(r"\s+", "-", match["word"].lower()), match["number"]
        need = _WORDS[word]
        count = None if number is None else _NUMBERS.get(number.lower()) or int(number)
        found[need] = count or found.get(need)
    return found


#: Words of an allergy or a diet, in the languages in which claims are read too; the beginnings of words.
_SURE: Final = re.compile(
    r"\b(?:allerg|alerg|alérg|intol[eé]ran|intolleran|unverträglich|anaphyla|epi-?pen|zöliakie|coeliak|c(?:o?e|œ)liac|celíac"
    r"|celiach|diabet|vegan|végan|vegeta[lr]i|végéta[lr]i|vegetarisch|halal|kosher|koscher|dietary|pregnan|schwanger|enceinte|embaraza|incinta|zwanger"
    r"|grávid|la[ck]tos)"
    r"|\b(?:can\s?not|can['’]?t|must\s+not|mustn['’]t|unable\s+to|not\s+allowed\s+to)\s+(?:\w+\s+)?(?:eat|tolerate)\b"
    r"|\b(?:gluten|dairy|egg|wheat|nut|alcohol)[\s-]*free\b"
    # What happens to somebody who eats it.
    r"|\b(?:reactions?|swell(?:s|ed|ing)|swollen|hives|wheez\w*|adrenaline?|auto-?injectors?)\b|\bswell\s+up\b"
    r"|\b(?:will|would|to|may|can|does|throat|lips?|tongue|face|eyes|him|her|me|them)\s+swell\b"
    r"|\breact(?:s|ed|ing)?\s+(?:\w+ly\s+)?(?:badly|terribly|severely|strongly|to|when|if|after)\b"
    r"|\b(?:went|been|end(?:s|ed)?\s+up|rushed|taken|took\s+\w+|landed|put\s+\w+|sent\s+\w+)\s+(?:\w+\s+){0,2}?"
    r"(?:to|in|into)\s+(?:the\s+|an?\s+)?(?:hospital|emergency|e\.?r\b|a&e\b)|\bgo(?:es)?\s+(?:in)?to\s+hospital\b"
    r"|\b(?:mak|made|get|got|fall|fell|becom|became|feel|felt)\w*\s+(?:[\w'-]+\s+){0,3}?(?:ill|sick|unwell|poorly)\b"
    r"|(?<!\bwe )(?<!\byou )\b(?:can\s?not|can't|must\s+not|mustn't|may\s+not)\s+have\b"
    r"|\bwe\s+(?:can\s?not|can't)\s+have\b(?!\s+(?:an?|the|our|your|it|this|that|these|those|any|more|less|both|people)\b)"
    r"|\b(?:ohne|keine?|sans|sin|senza|sem|zonder|geen)\s+(?:\w+\s+)?(?:gl[uú]t|n[uü][sß]|noten|noix|nuec|noci|nozes|milch|melk"
    r"|lait|leche|latte|leite|eier|œuf|oeuf|huevo|uov|ovos)",
    re.IGNORECASE,
)
#: Foods that are talked of for their taste as often as for an allergy: they need words of refusal before them.
_OF_TASTE: Final = re.compile(
    r"(?:milk|cream|butter|cheese|fish|crab|lobster|oyster|alcohol|praline|praliné|gianduja|gianduia|marzipan|frangipane)s?",
    re.IGNORECASE,
)
#: So far before a food such words are looked for [characters].
_REACH: Final = 400
_REFUSED: Final = re.compile(
    r"\b(?:no|not|without|any|avoid\w*|never|n['’]t|\w+n['’]t|react\w*|sick|ill|harm\w*|danger\w*)\b[^.!?\n]*$",
    re.IGNORECASE,
)
#: What follows a food that only names what is sold: "walnut sponge", "almond tartlets".
_SOLD: Final = (
    r"bars?|bread|biscuits?|brownies?|buns?|cakes?|chocolates?|cookies?|creams?|crumbles?|cups?|custards?|desserts?|fillings?"
    r"|frangipanes?|glazes?|icings?|macarons?|meringues?|mousses?|ones?|pastes?|pastr(?:y|ies)|pies?|portions?|pots?|pralines?"
    r"|puddings?|rolls?|shortbreads?|slices?|sponges?|squares?|tarts?|tartlets?|tortes?|tiers?|trays?|variet(?:y|ies)|version"
)
_NAME: Final = re.compile(rf"[\s-]+(?:{_SOLD})\b", re.IGNORECASE)


def may_name_need(text: str, sold: Iterable[str] = ()) -> bool:
    """Return whether words of a customer may name what a guest cannot eat, rather too often than not.

    ``sold`` are names of products: a food in one of them, or before "cake" and the like, is what they want to eat.
    """
    text = plain_text(text)
    if _SURE.search(text) or speaks_of_allergies(text):
        return True
    for name in sorted(filter(None, map(plain_text, sold)), key=len, reverse=True):
        text = re.sub(re.escape(name), " ", text, flags=re.IGNORECASE)
    if set(allergens_named(text)) - _before(text).keys():
        return True  # in another language, or joined to another word
    return any(
        not _NAME.match(text, match.end())
        and not (
            _OF_TASTE.fullmatch(match["word"])
            and not _REFUSED.search(text[max(0, match.start() - _REACH) : match.start()])
        )
        for match in _NAMED.finditer(text)
    )
