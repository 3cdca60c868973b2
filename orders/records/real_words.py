"""Whether a note or a name that lifts a block says anything: real words, not a dot or “n/a”."""

import re
from typing import Final

#: A word has two letters at least: “n/a” has none.
_WORD: Final = re.compile(r"[^\W\d_]{2,}")
#: One word of so many letters says something; own choice.
_LONG: Final = 8
#: What stands for nothing or nobody.
_NOTHING: Final = frozenset(("na", "nil", "no", "nobody", "none", "nothing", "null", "one", "tba", "tbd", "xx", "xxx"))


def says_something(text: str) -> bool:
    """Return whether a note has two words, or one of eight letters, that do not stand for nothing."""
    words = _words(text)
    return len(words) >= 2 or any(len(word) >= _LONG for word in words)


def names_somebody(text: str) -> bool:
    """Return whether a name has two letters, and does not stand for nobody."""
    return bool(_words(text))


def _words(text: str) -> list[str]:
    return [word for word in _WORD.findall(text) if word.casefold() not in _NOTHING]
