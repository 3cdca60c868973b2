"""Words that British English spells or names in its own way; sources are in US English."""

import re
from collections.abc import Callable
from typing import Final

#: US English -> British English, in lower case and without what is added to both (s, ed, ing, er).
BRITISH: Final = {
    "acknowledgment": "acknowledgement",
    "aging": "ageing",
    "aluminum": "aluminium",
    "analyze": "analyse",
    "authorize": "authorise",
    "behavior": "behaviour",
    "canceled": "cancelled",
    "canceling": "cancelling",
    "catalog": "catalogue",
    "center": "centre",
    "centimeter": "centimetre",
    "color": "colour",
    "favor": "favour",
    "favorite": "favourite",
    "fiber": "fibre",
    "fulfill": "fulfil",
    "gray": "grey",
    "inquiry": "enquiry",
    "inquiries": "enquiries",
    "kilometer": "kilometre",
    "labeled": "labelled",
    "labeling": "labelling",
    "labor": "labour",
    "liter": "litre",
    "mold": "mould",
    "millimeter": "millimetre",
    "milliliter": "millilitre",
    "organization": "organisation",
    "organize": "organise",
    "recognize": "recognise",
    "summarize": "summarise",
    "traveled": "travelled",
    "unlabeled": "unlabelled",
}
#: Whole words only; a plural or an ending may follow. What stands in a placeholder, a tag or an address is no word.
ENDINGS: Final = r"(s|ed|ing|er|ers|d)?"
_US: Final = re.compile(rf"\b({'|'.join(sorted(BRITISH, key=len, reverse=True))}){ENDINGS}\b", re.IGNORECASE)
NO_WORDS: Final = re.compile(r"%\([a-z_]+\)[a-z]|\{[^{}]*\}|<[^<>]*>|\S+@\S+|https?://\S+|(?<![\w<])/[\w./-]+")


def british(text: str) -> str:
    """Spell a text in British English."""
    return _outside(text, lambda part: _US.sub(lambda found: _cased(BRITISH[found[1].lower()], found), part))


def _cased(word: str, found: re.Match[str]) -> str:
    first = found[1]
    cased = word.upper() if first.isupper() and len(first) > 1 else word.capitalize() if first[0].isupper() else word
    return cased + (found[2] or "")


def _outside(text: str, written: Callable[[str], str]) -> str:
    """Change what is no placeholder, tag or address."""
    parts, begin = [], 0
    for found in NO_WORDS.finditer(text):
        parts += [written(text[begin : found.start()]), found[0]]
        begin = found.end()
    return "".join([*parts, written(text[begin:])])
