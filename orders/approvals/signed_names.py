"""What stands where somebody signs: the name on record, another plain name, or more: then the kitchen reads it."""

import re
import unicodedata
from collections.abc import Iterator
from enum import Enum
from typing import Final

from catalog.pantry.any_words import has_any_word
from catalog.pantry.name_words import folded

#: Most words of a name that nobody has on record.
_MOST: Final = 4
#: Words of a name in small letters, or in capitals.
_PARTICLES: Final = re.compile(r"v[oa]n|de[rl]?|d[iau]|l[ae]|el|al|bin|y|e|und|and|zu|ten|ter|dos|of")  # from memory
#: One word of a name: letters, with a hyphen, an apostrophe or a period between or behind them.
_WORD: Final = re.compile(r"[^\W\d_]+(?:[-'\u2019.][^\W\d_]+)*\.?")


class Signed(Enum):
    """What somebody signed with."""

    ON_RECORD = "on_record"
    #: Looks like a name, and nothing tells whether it is one: a language we have no words of may be spoken in it.
    NAME = "name"
    MORE = "more"


def signed_with(signed: str, recorded: str) -> Signed:
    """Return what was signed; ``recorded`` is the customer's name.

    A name of another person begins each word with a capital; in small letters or capitals alone it has a word of the
    name on record. What it does not know is more than a name, and so is a word of food, needs or reactions that is not
    on record: somebody then reads one line too many, and never one too few.
    """
    words, known = unicodedata.normalize("NFC", signed).split(), set(_folded(recorded))
    if set(_folded(signed)) <= known:
        return Signed.ON_RECORD
    if has_any_word(" ".join(word for word in words if folded(word) not in known)):
        return Signed.MORE
    if len(words) > _MOST or not all(_WORD.fullmatch(word) for word in words):
        return Signed.MORE
    return Signed.NAME if _looks_like_a_name(signed, words, known) else Signed.MORE


def _looks_like_a_name(signed: str, words: list[str], known: set[str]) -> bool:
    if signed.islower() or (signed.isupper() and len(words) > 1):
        return len(words) in (2, 3) and bool(set(_folded(signed)) & known)
    return words[0][0].isupper() and words[-1][0].isupper() and all(map(_of_name, words))


def _of_name(word: str) -> bool:
    return word[0].isupper() or _PARTICLES.fullmatch(word) is not None


def _folded(words: str) -> Iterator[str]:
    return (folded(word) for word in words.split())
