"""Words as they are read for allergens: however a dash, a space or a letter is written, or what is hidden between."""

import re
import unicodedata
from collections.abc import Callable
from typing import Final

#: Characters that look like a hyphen and are no dash by their category: minus sign, hyphen bullet, modifier minus.
_LIKE_DASH: Final = frozenset("\u2212\u2043\u02d7")
_LIKE_APOSTROPHE: Final = frozenset("\u2018\u2019\u201b\u02bc\u02b9\u00b4`\uff07\u2032")
#: What shows nothing: a format character (soft hyphen, zero-width space), a variation selector, a grapheme joiner.
_SELECTORS: Final = re.compile("[\ufe00-\ufe0f\u034f\u115f\u1160\u3164]")

#: Where a sentence ends; not at a question that is answered at once: "Dairy? Not in these."
SENTENCE_END: Final = re.compile(
    r"(?<=[.!;])\s+|(?<=\?)\s+(?!(?:no|not|none|nil|zero|nope|never|nothing|nowhere|free|nein|nicht|nichts|nie|keine?[rnsm]?|non|pas"
    r"|aucune?|rien|jamais|ningun[ao]?|nada|nunca|nessun[ao]?|niente|mai|geen|niet|nooit)\b)|\n+",
    re.IGNORECASE,
)

_SPACES: Final = re.compile(r"[^\S\n]+")
_LINES: Final = re.compile(r" ?\n[\n ]*")


def plain_text(text: str) -> str:
    """Return a text with one kind of hyphen, apostrophe and space, composed letters and nothing that shows nothing.

    Every reader of claims and of guests' needs reads this, so a no-break hyphen in "nut-free" is a hyphen. Between two
    words stands one space, or one end of line: patterns that allow any number would try each in turn.
    """
    shown = _SELECTORS.sub("", text).translate(_PLAIN)
    plain = unicodedata.normalize("NFKC", shown).translate(_PLAIN)
    return _LINES.sub("\n", _SPACES.sub(" ", plain))


def folded(text: str) -> str:
    """Return a text in small letters without accents; ß is ss, œ is oe."""
    small = plain_text(text).casefold().replace("œ", "oe").replace("æ", "ae")
    return unicodedata.normalize("NFKD", small).translate(_WITHOUT_ACCENTS)


def _plain(char: str) -> str:
    category = unicodedata.category(char)
    kind, part = category[0], category[1]
    if char in _LIKE_APOSTROPHE:
        return "'"
    if (kind, part) == ("C", "f"):
        return ""
    if (kind, part) == ("P", "d") or char in _LIKE_DASH:
        return "-"
    if kind == "Z":
        return " " if part == "s" else "\n"
    return char


class CharacterTable(dict[int, str]):
    """What to write for each character, for ``str.translate``: found by a function once, when it is first met."""

    def __init__(self, written: Callable[[str], str]) -> None:
        super().__init__()
        self._written = written

    def __missing__(self, code: int) -> str:
        found = self[code] = self._written(chr(code))
        return found


_PLAIN: Final = CharacterTable(_plain)
_WITHOUT_ACCENTS: Final = CharacterTable(lambda char: "" if unicodedata.combining(char) else char)
