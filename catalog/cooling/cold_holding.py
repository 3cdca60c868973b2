"""Whether a product's holding text says that it is held cold: then it has a time out of the cold like what cools.

The owner's words are read for a temperature that is cold, or a word for cold, in the languages of
``catalog/recipes/heat_words.py``, without accents. The lists are our own, by memory, and none is complete. What is read
too much only limits a time: the safe side.
"""

import re
import unicodedata
from collections.abc import Iterator
from typing import Final

from costing.chilling.profiles import celsius

#: The warmest temperature that counts as held cold [°C]: above every limit of a rule (8 °C), below a cellar.
MOST_COLD_C: Final = 10.0

_DEGREES: Final = re.compile(
    r"(?P<sign>[-−–]\s?)?(?P<figure>\d+(?:[.,]\d+)?)\s*(?:°|º|˚|degrees?|deg\.?|grad|degres|gradi|grados|graden)?\s*(?P<scale>C|F|Celsius|Fahrenheit)\b",
    re.IGNORECASE,
)
_COLD: Final = re.compile(
    r"\b(cold|colder|chill(s|ed|er|ing)?|(un)?refrigerat\w+|fridges?|cool[\s-]?box(es)?|ice[\s-]?packs?|on\s+ice"
    r"|frozen|freezers?"
    r"|(ge|unge)?kuhl(t|te|ten|en|schrank|haus|raum|box|tasche)?|kalt|kalte"
    r"|froide?s?|au\sfrais|refrigere\w*|refrigerateur|frigo|glaciere"
    r"|fredd[oaie]|frigorifer[oi]|refrigerat[oaie]|frio|fria|nevera|refrigera\w*"
    r"|koude?|koel(en|t|kast|box)?|gekoeld\w*)\b",
    re.IGNORECASE,
)
_NOT: Final = re.compile(
    r"(\b(no|not|never|without|cannot|nor|instead\s+of|rather\s+than|nicht|nie|kein\w*|ohne|ne|pas|sans|non|senza|sin"
    r"|niet|geen|zonder)\b|n[’']t\b)[^.;:,]*$",
    re.IGNORECASE,
)
#: The same behind the word: “chilling is not needed”.
_NOT_NEEDED: Final = re.compile(
    r"^[^.;:,]{0,60}?(?:\b(?:not|never|no|no\s+longer|nicht|kein\w*|pas|non|niet)\b|n[’']t\b)\s+(?:be\s+|really\s+|strictly\s+|es\s+|e\s+)?"
    r"(?:need\w*|requir\w*|necess\w*|necesari\w*|mandator\w*|obligat\w*|notig|noetig|erforderlich|notwendig|nodig|importan\w*|a\s+must)\b"
    r"|^[^.;:,]{0,60}?\b(?:unnecessar\w*|unneeded|optional|superfluous|uberflussig|unnotig|onnodig)\b",
    re.IGNORECASE,
)
_SENTENCES: Final = re.compile(r"[.;!?]\s+|\n")


_HOLD: Final = re.compile(r"\b(keep|kept|hold|held|halten|tenir|tenere|mantener|houden)\b", re.IGNORECASE)
_KEEP: Final = re.compile(
    r"\b(keep|kept|hold|held|stored?|lagern|halten|tenir|tenere|mantener|houden)\b", re.IGNORECASE
)
#: Between these temperatures food is held hot [°C]; what is hotter is an oven's. US Food Code 2022, 3-501.16(A)(1).
_HOT_C: Final = (57.0, 100.0)


def holds_cold(text: str) -> bool:
    """Return whether a holding text says that the product is held cold."""
    return any(_says_cold(sentence) for sentence in _SENTENCES.split(_plain(text)))


def holds_hot(text: str) -> bool:
    """Return whether a holding text says that the product is held hot, at which temperature."""
    low, high = _HOT_C
    return any(
        _HOLD.search(sentence) is not None and any(low <= found <= high for found in _temperatures_c(sentence))
        for sentence in _SENTENCES.split(_plain(text))
    )


#: What says that something is kept out of the cold, in the same languages; own lists, not whole. By a place or by what
#: it does not need, whatever else is said;
_OUT_PLACE: Final = re.compile(
    r"\b(leave\s+(\w+\s+)?out(?!\s+of\s+(the\s+)?(sun|light|heat))|left\s+out\b(?!\s+of\s+(the\s+)?(sun|light|heat))"
    r"|(keep|keeps|store|hold)\s+(it\s+|them\s+)?(out(side)?|warm|on\s+the\s+(counter|buffet|table|bench))\b(?!\s+of\s+(the\s+)?(sun|light|heat))"
    r"|(keeps?|stored?|hold|held|leave|stable|safe|fine|stays?|stands?|lasts?)\b[^.;:]{0,30}?\s(at\s+(room|ambient)|on\s+the\s+(counter|sideboard))"
    r"|(keeps?|fine|happy|stays?|stands?|lasts?|safe)\s+(out\s+of|outside)\s+(of\s+)?the\s+(fridge|refrigerator|cold)"
    r"|(no|without)\s+(need\s+(of|for|to)\s+)?(refrigerat\w+|cool(ing)?|chill(ing)?|fridge|keep\s+(it\s+)?cold)"
    r"|unrefrigerated|(need|do(es)?)n?[’']?\s?(not|t)\s+(need\s+(to\s+be\s+|a\s+)?)?(refrigerat\w+|chill\w*|cool|fridge)"
    r"|(refrigerat\w*|chill\w*|cool\w*|cold)\s+((is|are|storage)\s+)*(not|un)\s?(required|needed|necessary)|(un|nicht\s+)(notig|notwendig|erforderlich)|not\s+necessary\s+to\s+(refrigerate|chill|cool)|never\s+refrigerate"
    r"|nicht\s+(kuhlen|kaltstellen)|ungekuhlt|bei\s+(raum|zimmer)temperatur\s+(lager|aufbewahr|steh)\w*"
    r"|(garder|conserver|laisser)\s+a\s+temperature)\b",
    re.IGNORECASE,
)
#: and by how long, where nothing says cold.
_OUT_TIME: Final = re.compile(
    r"\b(all\s+(day|night|evening|afternoon|week)|the\s+whole\s+(day|evening|night|afternoon)|overnight|the\s+night\s+before|any\s+time"
    r"|(for|over|through)\s+(the\s+)?(weekend|night|party|evening)|until\s+(the\s+)?(\w+\s+)?(ends?|is\s+over|closes)|for\s+(two|three|several|some)\s+days"
    r"|as\s+long\s+as\s+you|den\s+ganzen\s+tag|uber\s+nacht|toute\s+la\s+(journee|nuit|soiree)|tutto\s+il\s+giorno|todo\s+el\s+dia"
    r"|de\s+hele\s+dag)\b",
    re.IGNORECASE,
)
_OUT_OF: Final = re.compile(r"\b(?:out\s+of|outside)\s+(?:of\s+)?(?:the\s+)?\w+", re.IGNORECASE)
#: What is kept outside the cold names it and is not in it: “keep out of the fridge”;
_OUTSIDE: Final = re.compile(
    r"\b(?:out\s+of|outside|away\s+from|protect\w*\s+(?:\w+\s+)?from)\s+(?:of\s+)?(?:(?:the|a|your|any)\s+)?\w+",
    re.IGNORECASE,
)
#: but not what is taken out of it.
_TAKEN_OUT: Final = re.compile(
    r"\b(tak(e|es|en|ing)|remov\w+|bring|brought|lift|serv\w+|eat(en)?|time)\b", re.IGNORECASE
)
_FORBIDS: Final = re.compile(
    r"(\b(do\s+not|don[’']t|never|not\s+be|cannot|must\s+not|nicht|nie|ne|jamais|non|mai|nunca|niet)\b)[^.;:,]*$",
    re.IGNORECASE,
)
#: How long, in figures: what has an end is compared with the rule’s hours.
_HOURS: Final = re.compile(r"\b\d+\s*(h|hrs?|hours?|min|minutes?|stunden?|heures?|ore|horas|uur)\b", re.IGNORECASE)


def says_out(text: str) -> bool:
    """Return whether a text says that something is kept out of the cold without an end: “leave it out all day”."""
    return any(_says_out(sentence) for sentence in _SENTENCES.split(_plain(text)) if not _HOURS.search(sentence))


def _says_out(sentence: str) -> bool:
    low, high = MOST_COLD_C, _HOT_C[0]
    if _KEEP.search(sentence) and any(low < found < high for found in _temperatures_c(sentence)):
        return True
    # "Out of the fridge" names the cold and is not in it.
    patterns = (_OUT_PLACE,) if _says_cold(_OUT_OF.sub(" ", sentence)) else (_OUT_PLACE, _OUT_TIME)
    return any(not _FORBIDS.search(sentence[: found.start()]) for each in patterns for found in each.finditer(sentence))


def _plain(text: str) -> str:
    """Return a text without accents; the signs of degrees stay."""
    parts = unicodedata.normalize("NFD", text)
    return "".join(each for each in parts if not unicodedata.combining(each))


def _says_cold(sentence: str) -> bool:
    if any(found <= MOST_COLD_C for found in _temperatures_c(sentence)):
        return True
    sentence = sentence if _TAKEN_OUT.search(sentence) or _HOURS.search(sentence) else _OUTSIDE.sub(" ", sentence)
    return any(
        not _NOT.search(sentence[: found.start()]) and not _NOT_NEEDED.search(sentence[found.end() :])
        for found in _COLD.finditer(sentence)
    )


def _temperatures_c(sentence: str) -> Iterator[float]:
    for found in _DEGREES.finditer(sentence):
        figure = float(found["figure"].replace(",", ".")) * (-1 if found["sign"] and _signed(sentence, found) else 1)
        yield celsius(figure) if found["scale"][0] in "fF" else figure


def _signed(sentence: str, found: re.Match[str]) -> bool:
    """Return whether the dash is a sign: in “2–8 °C” it is none."""
    return not sentence[: found.start()].rstrip()[-1:].isdigit()
