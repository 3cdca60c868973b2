"""Whether a text speaks of guests besides those that are known: "two more guests have a peanut allergy", "noch zwei".

What is read is a number to be added, or the number there is in all; where neither is plain, nothing is read of it, and
whoever compares the text with the list is asked. English, German and French, as customers write.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from catalog.pantry.name_words import folded
from catalog.pantry.need_sums import without_places
from catalog.pantry.note_needs import COUNTED, SEGMENT, listed_in, sums_in
from catalog.pantry.other_foods import families_in
from catalog.pantry.shellfish import with_molluscs


@dataclass(frozen=True, slots=True)
class NeedNumber:
    """The guests [count] that a text names with a need; ``more`` than those that are known, or in all.

    They come ``besides`` others whom the text names itself, and of whom nobody can tell how many they are.
    """

    guests: int | None
    more: bool = False
    besides: bool = False


_N: Final = rf"(?P<n%d>\d{{1,3}}|{'|'.join(COUNTED)})"
#: What is counted and is no guest.
_THINGS: Final = (
    r"(?!\s+(?:(?:\w+(?:[- ]free|freie?n?)|vegan\w*|small|big)\s+)?(?:"
    r"things?|questions?|points?|notes?|requests?|details?|info\w*|days?|weeks?|hours?|minutes?|months?|times?|tables?"
    r"|chairs?|tage?n?|wochen?|stunden?|minuten|fragen?|dinge?|tische?|jours?|semaines?|heures?|questions?|choses?|dessert\w*"
    r"|portion\w*|piece\w*|stuck\w*|part\w*|cakes?|tart\w*|torten?|kuchen|sorten?|fois|mal)\b)"
)
_MORE: Final = r"(?:more|additional|extra|further|other|weitere\w*|zusatzliche\w*|mehr)"
#: A number of others, or another one; small letters without accents.
_ADDED: Final = re.compile(
    r"(?<!\bno )(?<!\bany )(?<!\bnot )(?<!\bnicht )(?:"
    + "|".join(
        (
            rf"\b{_N % 1}\s+(?:\w+\s+)?(?:{_MORE}|others)\b(?!\s+than\b)",
            rf"\b(?:another|additional|extra|further|weitere|noch(?:\s+(?:mal|einmal))?|encore|plus)\s+{_N % 2}\b",
            r"\b(?P<one>another|an?\s+(?:additional|extra|further)|noch\s+weitere[rsn]?|eine?n?\s+weitere[rsn]?)\b"
            rf"(?!\s+{_N % 9}\b)",
            rf"\b{_N % 3}\s+(?:\w+\s+)?(?:de\s+plus|autres?|supplementaires?|en\s+plus)\b",
            rf"\b{_N % 4}\s+(?:\w+\s+){{1,2}}(?:de\s+plus|en\s+plus|supplementaires?|extra|dazu|mehr)\b",
        )
    )
    + rf"){_THINGS}"
)
#: How many there are altogether.
_IN_ALL: Final = re.compile(
    rf"\b{_N % 1}\s+(?:\w+\s+){{0,3}}(?:in\s+all|in\s+total|altogether|all\s+told|insgesamt|zusammen|en\s+tout"
    rf"|now(?!\s+(?:are\s+)?{_N % 9}\b)|au\s+total)\b"
    rf"|\b(?:(?:a\s+)?total\s+of|in\s+total|in\s+all|altogether|insgesamt|zusammen|en\s+tout|au\s+total|makes(?:\s+it)?"
    rf"|(?:they|we)(?:\s+are|'re)\s+now|jetzt|dann|now)\s+(?:are\s+|sind\s+)?{_N % 2}\b"
)
#: Some of those who come besides.
_OF_THEM: Final = re.compile(r"\b(?:of\s+(?:them|those|these|whom|which)|davon|darunter|d'entre\s+e(?:ux|lles)|dont)\b")
#: All who come, and not those with a need.
_PARTY: Final = re.compile(r"\b(?:we|us|guests?|people|persons?|wir|gaste?n?|leute|personen|nous|invites|personnes)\b")
#: It follows from what was said before.
_SO: Final = re.compile(r"\b(?:so|makes?|making|then|thus|also|dann|macht|donc|fait)\b")
_SENTENCE: Final = re.compile(r"[.!?;\n]+")


def need_numbers(text: str, guests: int | None = None) -> dict[str, NeedNumber]:
    """Return the needs that a text names, each with the guests it is of: so many more, or so many in all.

    ``guests`` are those of the event: a number above is none of them.
    """
    found = {code: NeedNumber(count) for code, count in listed_in(text, guests).items()}
    if len(found) == 1 and (all_of_them := _in_all(text, next(iter(found)), guests)) is not None:
        return with_molluscs(text, dict.fromkeys(found, all_of_them))
    total = [one for part in _parts(text) if not _PARTY.search(part) for one in _totals(part)]
    if not total:
        found |= _added(text, guests, found)
    together = sums_in(text, guests)
    for code, named in [*found.items()]:
        unclear = code in together and together[code].guests is None
        besides = named.more and (unclear or not _starts_with_more(text, code, guests))
        found[code] = replace(named, besides=besides)
    for code, one in together.items():
        # "2 sesame and 3 more sesame": what was named first is not added to those that are known.
        if code in found and not total and one.guests is not None and one.guests > (found[code].guests or 0):
            found[code] = NeedNumber(one.guests, more=_starts_with_more(text, code, guests))
    return with_molluscs(text, {code: one for code, one in found.items() if code in listed_in(text, guests)})


def _parts(text: str) -> list[str]:
    """Return the parts of all sentences of a text, in small letters."""
    plain = folded(without_places(text))
    return [part for sentence in _SENTENCE.split(plain) for part in SEGMENT.split(sentence)]


def _totals(text: str) -> list[int]:
    """Return the numbers that a text says there are altogether."""
    matches = _IN_ALL.finditer(folded(text))
    return [number for match in matches if (number := _number(match)) is not None]


def _in_all(text: str, code: str, guests: int | None) -> NeedNumber | None:
    """Return how many have the one need of a text, where it says how many there are altogether.

    That stands beside the need, or behind it: "one more coeliac, so 3 in all"; what else may be meant is no number.
    """
    named, plain = False, folded(text)
    for part in _parts(text):
        named = named or code in listed_in(part, guests)
        total = _totals(part)
        if total and not _PARTY.search(part) and (guests is None or total[0] <= guests):
            sure = len(total) == 1 and (code in listed_in(part, guests) or (named and _SO.search(part)))
            return NeedNumber(total[0] if sure and not any(families_in(plain)) else None)
    return None


def _starts_with_more(text: str, code: str, guests: int | None) -> bool:
    """Return whether the first words of a text about a need speak of others already."""
    first = next((one for one in _SENTENCE.split(folded(text)) if code in listed_in(one, guests)), "")
    match = _ADDED.search(first)
    return match is not None and code not in listed_in(first[: match.start()], guests)


def _added(text: str, guests: int | None, named: dict[str, NeedNumber]) -> dict[str, NeedNumber]:
    """Return the needs of which a text says how many more they are."""
    found: dict[str, NeedNumber] = {}
    loose: list[int] = []
    coming = False
    for sentence in _SENTENCE.split(folded(text)):
        if coming and _OF_THEM.search(sentence):
            found |= {code: NeedNumber(n, more=True) for code, n in listed_in(sentence, guests).items() if n}
        for chunk, number in _chunks(sentence):
            coming = True
            needs = listed_in(chunk, guests)
            found |= {code: NeedNumber(n or number, more=True) for code, n in needs.items()}
            if not needs:
                loose.append(number)
    if (
        len(loose) == 1
        and len(named) == 1
        and not found
        and all(one.guests in (None, loose[0]) for one in named.values())
    ):
        return {code: NeedNumber(loose[0], more=True) for code in named}
    return found


def _chunks(sentence: str) -> Iterator[tuple[str, int]]:
    """Find what a sentence says from each of its words of more on, with the number that these have."""
    matches = list(_ADDED.finditer(sentence))
    ends = [*(match.start() for match in matches), len(sentence)][1:]
    for match, end in zip(matches, ends, strict=True):
        number = 1 if match["one"] else _number(match)
        if number is not None:
            yield sentence[match.start() : end], number


def _number(match: re.Match[str]) -> int | None:
    words = [word for name, word in match.groupdict().items() if word and name.startswith("n")]
    if not words:
        return None
    return COUNTED[words[0]] if words[0] in COUNTED else int(words[0])
