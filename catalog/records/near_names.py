"""Names that may mean the same thing: other order, number, case, accents, spacing, or one slip of the pen."""

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Final, Generic, TypeVar

from django.db.models import Model

Thing = TypeVar("Thing")
_SLIP: Final = 0.84
#: Words shorter than this have to be equal: salt is no malt.
_LONG: Final = 4
_LEFT_OUT: Final = frozenset({"the", "of", "a", "an", "and", "with"})


def near_names(name: str, names: Iterable[tuple[int, str]], *, most: int = 4) -> list[tuple[int, str]]:
    """Return the rows (primary key, name) whose names are near one, in their order, ``most`` of them.

    Figures have to be the same: a tart of 20 cm is not one of 24 cm.
    """
    wanted = words_of(name)
    if not wanted:
        return []
    found = [row for row in names if _are_near(wanted, words_of(row[1]))]
    return found[:most]


def near_rows(rows: type[Model], name: str, *, most: int = 4) -> list[tuple[int, str]]:
    """Return primary key and name of the rows of a table whose names are near one; one query."""
    return near_names(name, rows._default_manager.order_by("name", "pk").values_list("pk", "name"), most=most)


def _are_near(first: tuple[str, ...], second: tuple[str, ...]) -> bool:
    one, other = sorted(first), sorted(second)
    if one == other or "".join(first) == "".join(second):
        return True
    if len(one) != len(other):
        return False
    left, right = _without(one, other), _without(other, one)
    return len(left) == len(right) == 1 and _is_slip(left[0], right[0])


def _without(words: list[str], others: list[str]) -> list[str]:
    return [word for word in words if word not in others]


def _is_slip(one: str, other: str) -> bool:
    if min(len(one), len(other)) < _LONG or one[0] != other[0] or not (one + other).isalpha():
        return False
    return SequenceMatcher(None, one, other, autojunk=False).ratio() >= _SLIP


def words_of(name: str) -> tuple[str, ...]:
    """Return the words of a name without case and accents, in the singular."""
    apart = unicodedata.normalize("NFKD", name.casefold())
    plain = "".join(sign for sign in apart if not unicodedata.combining(sign))
    words = (_singular(word) for word in re.findall(r"\w+", plain))
    return tuple(word for word in words if word not in _LEFT_OUT)


def spoken(name: str) -> tuple[str, ...]:
    """Return the words of a name in the order they are spoken: “Flour, all-purpose” is all-purpose flour."""
    return words_of(" ".join(reversed(name.split(","))))


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("ches", "shes", "xes", "sses", "oes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


#: Words of a list that say nothing of which thing it is (common practice, no source).
_NOISE: Final = frozenset({"grade", "fresh", "bulk", "pure", "large", "medium", "small", "premium", "case"})
#: Words and short forms of grade, keeping, cut and packing, which make no other food of it (common practice, no
#: source). What is frozen or blanched weighs as much.
_SPECIFIC: Final = _NOISE | frozenset(
    {
        "aa", "aaa", "uht", "esl", "iqf", "fzn", "frz", "frzn", "frozen", "loose", "loaf", "block", "brick", "print",
        "choice", "fancy", "extra", "fine", "coarse", "bleached", "blanched", "organic", "imported", "domestic",
        "past", "pasteurized", "ct", "count", "gal", "gallon", "qt", "lb", "oz", "kg", "gram", "ltr", "liter", "litre",
        "doz", "dz", "pk", "pack", "dbl", "acting", "clover", "kosher", "piece", "pcs", "pc", "med", "lrg", "lg", "sm",
    }
)  # fmt: skip
_SHORTEST: Final = 3
#: What a word that tells counts beside one that does not, and what a name that is the same but for a slip counts.
_FULL: Final = 100
_SAME: Final = 100_000


@dataclass(frozen=True, slots=True)
class Near(Generic[Thing]):
    """What a name may mean: ``nearness`` compares finds of several indexes.

    ``beyond`` are the words of the name that say something the thing's own name does not; ``full`` whether every word
    of the thing's own name is there, written in full.
    """

    thing: Thing
    nearness: int
    beyond: tuple[str, ...]
    full: bool


class NearIndex(Generic[Thing]):
    """Things by their names, found by a name that is near: a slip, words run together, or words that are shortened.

    A long list asks it for each of its rows: only names whose words begin with the same letters are compared.
    """

    def __init__(self) -> None:
        self._joined: dict[str, Thing] = {}
        self._rows: list[tuple[frozenset[str], tuple[str, ...], Thing]] = []

    def add(self, name: str, thing: Thing) -> None:
        """Add a thing under a name."""
        if words := words_of(name):
            self._joined.setdefault("".join(words), thing)
            self._rows.append((_initials(_telling(words)), words, thing))

    def find(self, name: str) -> Thing | None:
        """Return what a name may mean: the nearest, and of those that are as near the first; None where none is."""
        near = self.nearest(name)
        return near.thing if near else None

    def nearest(self, name: str) -> Near[Thing] | None:
        """Return what a name may mean as :meth:`find` does, with how near it is and what the name says beyond it."""
        words = words_of(name)
        if not words:
            return None
        if (same := self._joined.get("".join(words))) is not None:
            return Near(same, _SAME, (), True)
        initials, best, found = _initials(words), 0, None
        for begins, known, thing in self._rows:
            if begins <= initials and (near := _nearness(words, known)) > best:
                best, found = near, (known, thing)
        if found is None:
            return None
        return Near(found[1], best, _beyond(words, found[0]) if best < _SAME else (), set(found[0]) <= set(words))


def _beyond(words: tuple[str, ...], known: tuple[str, ...]) -> tuple[str, ...]:
    """Return the words that say something which those of a name do not, even shortened."""
    left = (word for word in words if word not in known and not any(_shortens(word, one) for one in known))
    return tuple(dict.fromkeys(word for word in left if _says(word)))


def _says(word: str) -> bool:
    """Return whether a word of a list may make another thing of it."""
    return word.isalpha() and len(word) > 1 and word not in _SPECIFIC


def _telling(words: tuple[str, ...]) -> tuple[str, ...]:
    """Return the words that say which thing it is: fresh lemon juice is lemon juice; all where none does."""
    return tuple(word for word in words if word not in _NOISE) or words


def _initials(words: Iterable[str]) -> frozenset[str]:
    return frozenset(word[0] for word in words)


def _nearness(words: tuple[str, ...], known: tuple[str, ...]) -> int:
    """Return how near words are to those of a name, 0 for not at all: words of a list may be shortened, or more."""
    if _are_near(words, known):
        return _SAME
    left, telling = list(words), _telling(known)
    for word in telling:
        match = next((one for one in left if one == word or _shortens(one, word)), None)
        if match is None:
            return 0
        left.remove(match)
    if len(telling) == 1 and any(len(word) >= _SHORTEST and _says(word) for word in left):
        return 0
    # Of two names that tell as much, the one that is written in full is nearer.
    return _FULL * len(telling) + sum(word in words for word in known if word in _NOISE)


def _shortens(short: str, word: str) -> bool:
    """Return whether one word is another with letters left out, as suppliers shorten them: unsltd, hvy, choc."""
    if not _SHORTEST <= len(short) < len(word) or short[0] != word[0]:
        return False
    rest = iter(word)
    return all(sign in rest for sign in short)
