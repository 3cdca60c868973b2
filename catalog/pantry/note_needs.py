"""What guests cannot or do not eat, as it is named in a note in plain words: "2 coeliac, 1 peanut, one is vegan"."""

import re
from collections.abc import Mapping
from typing import Final

#: Word of a note -> need.
_WORDS: Final[Mapping[str, str]] = {
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
    rf"(?:\b(?P<number>\d{{1,4}}|{'|'.join(_NUMBERS)})\s*(?:{_BETWEEN}\s*)*?\s*)?\b(?P<word>{_ANY})s?\b", re.IGNORECASE
)


def needs_in(text: str) -> dict[str, int | None]:
    """Return the needs that a note names, in its order, each with the number of guests that stands before it."""
    found: dict[str, int | None] = {}
    for match in _NAMED.finditer(text):
        word, number = re.sub(r"\s+", "-", match["word"].lower()), match["number"]
        need = _WORDS[word]
        count = None if number is None else _NUMBERS.get(number.lower()) or int(number)
        found[need] = count or found.get(need)
    return found
