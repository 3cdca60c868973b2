"""Whether a product's holding text says that it is held cold: then it has a time out of the cold like what cools.

The owner's words are read for a temperature that is cold, or a word for cold. Words in another language than English
are not found; a temperature is. What is read too much only limits a time: the safe side.
"""

import re
from collections.abc import Iterator
from typing import Final

from costing.chilling.profiles import celsius

#: The warmest temperature that counts as held cold [°C]: above every limit of a rule (8 °C), below a cellar.
MOST_COLD_C: Final = 10.0

_DEGREES: Final = re.compile(
    r"(?P<sign>[-−–]\s?)?(?P<figure>\d+(?:[.,]\d+)?)\s*(?:°|º|˚|degrees?|deg\.?)?\s*(?P<scale>C|F|Celsius|Fahrenheit)\b",
    re.IGNORECASE,
)
_COLD: Final = re.compile(
    r"\b(cold|colder|chill(s|ed|er|ing)?|(un)?refrigerat\w+|fridges?|cool[\s-]?box(es)?|ice[\s-]?packs?|on\s+ice"
    r"|frozen|freezers?)\b",
    re.IGNORECASE,
)
_NOT: Final = re.compile(
    r"(\b(no|not|never|without|cannot|nor|instead\s+of|rather\s+than)\b|n[’']t\b)[^.;:,]*$", re.IGNORECASE
)
_SENTENCES: Final = re.compile(r"[.;!?]\s+|\n")


def holds_cold(text: str) -> bool:
    """Return whether a holding text says that the product is held cold."""
    return any(_says_cold(sentence) for sentence in _SENTENCES.split(text))


def _says_cold(sentence: str) -> bool:
    if any(found <= MOST_COLD_C for found in _temperatures_c(sentence)):
        return True
    return any(not _NOT.search(sentence[: found.start()]) for found in _COLD.finditer(sentence))


def _temperatures_c(sentence: str) -> Iterator[float]:
    for found in _DEGREES.finditer(sentence):
        figure = float(found["figure"].replace(",", ".")) * (-1 if found["sign"] and _signed(sentence, found) else 1)
        yield celsius(figure) if found["scale"][0] in "fF" else figure


def _signed(sentence: str, found: re.Match[str]) -> bool:
    """Return whether the dash is a sign: in “2–8 °C” it is none."""
    return not sentence[: found.start()].rstrip()[-1:].isdigit()
