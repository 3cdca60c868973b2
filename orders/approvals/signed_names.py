"""What stands where somebody signs: the name on record, another plain name, or more: then the kitchen reads it."""

import re
import unicodedata
from collections.abc import Iterator
from enum import Enum
from typing import Final

from catalog.pantry.any_words import has_any_word, is_of_food
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import COUNTED

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


#: A need by its own name, which nobody is called; and what nobody eats, or how many others come. Small letters
#: without accents, in the six languages.
_NEED: Final = re.compile(
    r"allerg|alerg(?:i|ic)|intol[le]?eran|anaphyla|\bzoe?liak|coeliak|c(?:o?e|oe)lia[cq]\w|celiach|gl[uo]ten|glutine"
    r"|\bvegan|\bvegeta|\bvegetar|\bvegie|\bveggie|la[ck]tos|lattosio|diabet|\bhalal\b|\bkosher\b|\bkoscher\b|\bepi-?pen"
    r"|\b(?:nuss|milch|ei|zucker|soja|weizen|mandel|erdnuss)frei\b"
    r"|\b(?:nut|dairy|egg|milk|wheat|soya?|sugar|alcohol)s?[\s-]+free\b"
    r"|frutos?\s+secos|frutta\s+a\s+guscio|fruits?\s+a\s+coque|fruits?\s+de\s+mer|frutti\s+di\s+mare"
)
_LEFT_OUT: Final = re.compile(
    r"\b(?:no|not|without|never|avoids?|ohne|kein\w*|nicht|sans|pas|sin|senza|non|zonder|geen|niet)\b"
)
_OTHERS: Final = re.compile(
    rf"\b(?:\d+|{'|'.join(COUNTED)})\s+(?:[^\W\d_]+\s+)?(?:guests?|people|persons?|adults?|children|kids?|others?|gaste?n?|personen"
    r"|leute|kind(?:er|eren)?|erwachsene\w*|invites?|personnes?|enfants?|ospiti|persone|bambini|invitados?|personas?|ninos|gasten"
    r"|volwassenen)\b"
)
_NUMBER: Final = re.compile(rf"\b(?:\d+|{'|'.join(COUNTED)})\b")
#: What joins names, or stands before or behind them.
_JOINING: Final = re.compile(
    r"(?:&|\+|and|und|et|y|e|the|mrs?|ms|miss|dr|herr|frau|mme|sig|sr|sra|family|familie|famille|co|jr|\d(?:st|nd|rd|th))\.?"
)


def names_need(signed: str, recorded: str) -> bool:
    """Return whether a name names a need, too, or so many others: that is read before the approval, not after it.

    A food that somebody may be called, such as Rye or Almond, stops nothing where all of it can be a name: each word
    with a capital (or all of it in capitals), four words at most, no number, no comma and no word of leaving out. It
    stops behind the whole name that is on record, for then it is no part of the name: "Ida Fenwick Kiwi".
    """
    text, known = unicodedata.normalize("NFC", signed), set(_folded(recorded))
    words = [word for word in text.split() if folded(word) not in known]
    rest, plain = [word for word in words if not _JOINING.fullmatch(folded(word))], folded(" ".join(words))
    if _NEED.search(plain) or _OTHERS.search(plain):
        return True
    foods = [word for word in rest if is_of_food(folded(word))]
    if not foods:
        return False
    whole = known <= set(_folded(signed)) and len(known) > 1 and len(foods) == len(rest)
    return whole or _NUMBER.search(plain) is not None or _LEFT_OUT.search(plain) is not None or not _all_of_names(rest)


def _all_of_names(words: list[str]) -> bool:
    return len(words) <= _MOST and all(_WORD.fullmatch(word) and _of_name(word) for word in words)


def _looks_like_a_name(signed: str, words: list[str], known: set[str]) -> bool:
    if signed.islower() or (signed.isupper() and len(words) > 1):
        return len(words) in (2, 3) and bool(set(_folded(signed)) & known)
    return words[0][0].isupper() and words[-1][0].isupper() and all(map(_of_name, words))


def _of_name(word: str) -> bool:
    return word[0].isupper() or _PARTICLES.fullmatch(word) is not None


def _folded(words: str) -> Iterator[str]:
    return (folded(word) for word in words.split())
