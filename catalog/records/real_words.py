"""Whether a text says anything: real words, not a dot or “n/a”. The lists are our own, by memory, and not complete."""

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
    words = real_words(text)
    return len(words) >= 2 or any(len(word) >= _LONG for word in words)


def real_words(text: str) -> list[str]:
    """Return the words of a text that do not stand for nothing."""
    return [word for word in _WORD.findall(text) if word.casefold() not in _NOTHING]
