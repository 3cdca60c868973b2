"""What guests cannot eat and no list of allergens has: kiwi, corn, latex. It stands among the needs in its own words.

Nobody asks an ingredient about it, so nothing is ever free of it: it is in something by a name or by the label's list
of ingredients, or it was not checked. A code is ``other:`` with the words, of ASCII alone, so that it can be part of a
field's name; ``other:kiwi|Kiwi%20puree`` says besides by which name it is in something.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Final
from urllib.parse import quote, unquote

from catalog.pantry.other_foods import FAMILIES, family_of
from catalog.pantry.plain_text import folded, plain_text

_PREFIX: Final = "other:"
#: Most letters of such a need.
LONGEST: Final = 80
#: So many names are given by which it is in something.
_NAMED: Final = 3
_ENDS: Final = " .,;:!?\"'“”‘’„()[]*-–—_"
#: Words about a need that are no part of what it is: "corn-free", "no corn", "kiwi allergy".
_AROUND: Final = re.compile(
    r"^(?:no|without|any|all|allerg(?:y|ic)\s+to|intoleran(?:t|ce)\s+(?:to|of))\s+(?=\S)"
    r"|(?<=\S)[\s-]+(?:free|allerg(?:y|ies|ic)|intoleran(?:t|ce))$",
    re.IGNORECASE,
)
#: What says of a name that it is not in it: "corn-free baking powder", "without corn".
_TURNED_AFTER: Final = re.compile(r"\w*[\s-]*(?:free|frei)\b")
_TURNED_BEFORE: Final = re.compile(r"\b(?:no|non|not|without|ohne|sans|senza|sin|zonder)[\s-]+(?:\w+\s+)?$")
_WORD: Final = re.compile(r"\w+")
_BRACKET: Final = re.compile(r"[(\[][^()\[\]]*[)\]]")
#: A bracket in the name of what it is in, inside the bracket behind a need.
_NAME_BRACKET: Final = re.compile(r"\s*\(([^()]*)\)")
#: A word of so many letters in a bracket is looked for alone: not "too", not "with".
_SAYS_SOMETHING: Final = 5


def other_code(words: str) -> str:
    """Return the code of what somebody wrote, or nothing where there is no letter in it."""
    plain = _trimmed(" ".join("".join(char for char in plain_text(words) if char.isprintable()).split())[:LONGEST])
    while (shorter := _trimmed(_AROUND.sub("", plain))) not in ("", plain):
        plain = shorter
    if plain.partition(" ")[0][1:].islower():
        plain = plain[:1].lower() + plain[1:]
    return f"{_PREFIX}{quote(plain, safe='')}" if any(char.isalpha() for char in plain) else ""


def _trimmed(words: str) -> str:
    """Return words without what stands around them; a bracket inside them is kept whole."""
    plain = words.strip(_ENDS)
    for opens, closes in ("()", "[]"):
        more = plain.count(opens) - plain.count(closes)
        plain = f"{opens * -more}{plain}{closes * more}"
    return plain


def is_other(code: str) -> bool:
    """Return whether a code stands for words that somebody wrote."""
    return code.startswith(_PREFIX)


def is_other_code(code: str) -> bool:
    """Return whether a code is one that :func:`other_code` makes: a form sends nothing else."""
    return is_other(code) and code == other_code(other_words(code))


def other_words(code: str) -> str:
    """Return the words of a code, with the names by which it is in something in brackets behind them."""
    need, *names = code.removeprefix(_PREFIX).split("|")
    called = "; ".join(_NAME_BRACKET.sub(r", \1", unquote(name)) for name in names)
    return f"{unquote(need)} ({called})" if called else unquote(need)


def other_covered(code: str) -> str:
    """Return the code that all spellings of a need share: kiwi, kiwis, Kiwi fruit."""
    words = folded(other_words(code.partition("|")[0]))
    return f"{_PREFIX}{quote(family_of(words) or ' '.join(map(_stem, _WORD.findall(words))), safe='')}"


def names_with(need: str, texts: Iterable[tuple[str, str]]) -> tuple[str, ...]:
    """Return a code for each name in which, or in whose text, a need is named; ``texts`` are names with their text.

    A text without a name, as a recipe's, says that it is in it, and not by what: then it is the need's own code.
    """
    every = {name for name, text in texts if _is_in(need, text)}
    named = sorted(every - {""}, key=lambda name: (len(name), name))
    return tuple(f"{need}|{quote(name, safe='')}" for name in named[:_NAMED]) or ((need,) if every else ())


def speaks_of_own(text: str, needs: Iterable[str]) -> bool:
    """Return whether a text may be of one of some needs in own words, also where it says that there is none of it."""
    return any(is_other(need) and _is_in(need, text, turned=False) for need in needs)


def with_names_joined(codes: Iterable[str]) -> Iterator[str]:
    """Find the codes again, those of one need that differ by a name joined to one."""
    joined: dict[str, list[str]] = {}
    for code in codes:
        need, *names = code.split("|") if is_other(code) else [code]
        joined.setdefault(need, []).extend(names)
    yield from ("|".join((need, *dict.fromkeys(names))) for need, names in joined.items())


def _is_in(need: str, text: str, *, turned: bool = True) -> bool:
    """Return whether a text names a need: the whole, what stands before a bracket, or a word in the bracket."""
    words, plain = folded(other_words(need)), folded(text)
    inside = [word for part in _BRACKET.findall(words) for word in _WORD.findall(part)]
    single = [word for word in inside if len(word) >= _SAYS_SOMETHING or family_of(word)]
    return any(
        _holds(one, plain, turned=turned) for one in dict.fromkeys((words, _BRACKET.sub(" ", words).strip(), *single))
    )


def _holds(words: str, plain: str, *, turned: bool) -> bool:
    family = family_of(words)
    if family:
        return _says(FAMILIES[family].holds, plain, turned=turned)
    patterns = [_of_word(word) for word in _WORD.findall(words)]
    return bool(patterns) and all(_says(one, plain, turned=turned) for one in patterns)


def _says(pattern: re.Pattern[str], plain: str, *, turned: bool) -> bool:
    """Return whether a text says something; ``turned`` where it may also say that it is without it."""
    return any(
        not turned or not (_TURNED_AFTER.match(plain, match.end()) or _TURNED_BEFORE.search(plain[: match.start()]))
        for match in pattern.finditer(plain)
    )


#: Words inside another food's name: buckwheat is no wheat, and a grapefruit no grape.
_OTHER_FOODS: Final = {
    "wheat": r"(?<!buck)wheat",
    "grape": r"grape(?!fruit)",
    "pepper": r"pepper(?!mint)",
    "lemon": r"lemon(?!\s*(?:grass|balm))",
    "mango": r"mango(?!steen)",
    "honey": r"honey(?!dew)",
    "butter": r"butter(?!nut|scotch|cup|fly)",
    "cheese": r"cheese(?!cloth)",
    "apple": r"(?<!pine)apple",
}


def _of_word(word: str) -> re.Pattern[str]:
    """Return how a word may stand in a name: a long one inside another too, a short one alone."""
    if (known := _OTHER_FOODS.get(_stem(word))) is not None:
        return re.compile(known)
    stem = re.escape(_stem(word))
    return re.compile(stem if len(stem) > 4 else rf"\b{re.escape(word.removesuffix('s'))}(?:e?s)?\b")


def _stem(word: str) -> str:
    """Return a word without its ending in the plural, and without a y that becomes one."""
    if len(word) < 5:
        return word.removesuffix("s") if len(word) > 3 else word
    return re.sub(r"(?:ies|y|(?<=ch)es|(?<=sh)es|(?<=x)es|(?<=s)es|(?<=o)es|s)$", "", word)
