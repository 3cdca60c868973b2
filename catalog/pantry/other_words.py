"""What a note or a message says that guests cannot eat and no list of allergens has: "allergic to kiwi and tamarind".

A food that is known by name counts in a sentence of an allergy, of what somebody avoids, or of a reaction; any other
word counts where it is named as what somebody is allergic to or cannot eat. What is found is offered to whoever reads
it, and never concluded from. English, German and French, and a few words of Italian, Spanish and Dutch.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Final

from catalog.pantry.avoid_words import speaks_of_avoiding
from catalog.pantry.kind_words import foods_named
from catalog.pantry.name_words import speaks_of_allergies
from catalog.pantry.need_sums import names_people, without_places
from catalog.pantry.note_needs import (
    COUNTED,
    SEGMENT,
    count_of,
    is_sold,
    is_wanted,
    leaves_out,
    may_name_need,
    needs_in,
    numbers_in,
    speaks_of_need,
)
from catalog.pantry.other_foods import FAMILIES, families_in
from catalog.pantry.other_needs import other_code
from catalog.pantry.plain_text import folded, plain_text
from catalog.pantry.reaction_words import speaks_of_reaction
from catalog.pantry.reacts_to import CAUSES, EATS, NO_CAUSE, REACTS_TO

_SENTENCE: Final = re.compile(r"[.!?;\n]+")
_WHAT: Final = r"(?P<what>[^.!?;:()\n]{3,120})"
_NOT: Final = (
    r"(?:can\s?not|can'?t|could\s?n'?t|must\s?n'?t|must\s+not|may\s+not|does\s?n'?t|does\s+not|do\s?n'?t|do\s+not|never"
    r"|won'?t)"
)
#: Words before what somebody is allergic to or cannot eat.
_BEFORE: Final = tuple(
    re.compile(words)
    for words in (
        r"\b(?:allergic|allerg(?:y|ies|ie|ia|isch\w*|iques?|ic[oaie])|alergi(?:a|c[oa])s?|intoleran\w+|sensitive"
        r"|react(?:s|ed)?(?:\s+\w+ly)?)(?:\s*:|\s+(?:to|of|gegen(?:uber)?|auf|aux?|a\s+la|a\s+l'|all'|alla?|alle|ai|agli|al|a|voor))\s*"
        + _WHAT,
        rf"\b{_NOT}\s+(?:\w+\s+)?(?:eats?|tolerates?|digests?|stomach|have)\s+{_WHAT}",
        rf"\bavoid(?:s|ing)?\s+{_WHAT}",
        rf"\b(?:vertragt|vertragen|isst|essen|darf|durfen)\s+(?:\w+\s+)?keine?[nr]?\s+{_WHAT}",
        r"\b(?:auf|gegen)\s+(?P<what>[^.!?;:()\n]{3,80}?)\s+allergisch",
        r"\b(?:mange|supporte|tolere|digere)(?:nt)?\s+(?:pas|plus|jamais)\s+(?:de\s+|d'|l'|les?\s+|la\s+|du\s+)?"
        + _WHAT,
        REACTS_TO + _WHAT,
        EATS + _WHAT,
    )
)
#: The same before the words of an allergy: kiwi allergy, Kiwiallergie.
_BEHIND: Final = re.compile(
    r"(?:\b(?P<two>[a-z][a-z'-]{1,25}\s+[a-z][a-z'-]{2,25})|\b(?P<one>[a-z][a-z'-]{2,25}))[\s-]+(?:allerg(?:y|ies)|intoleranc\w+)\b"
    r"|\b(?P<joined>\w{3,30})(?:allergie|unvertraglichkeit|intoleranz)n?\b"
    r"|\b(?P<harms>[a-z][a-z'-]{2,25}(?:\s+[a-z][a-z'-]{2,25})?)\s+(?:upsets?\b|(?:makes?|gives?)\s+(?:me|him|her|them|us|my\s+\w+)\s+"
    r"(?:ill|sick|unwell|poorly|(?:a\s+)?rash|hives|cramps)\b)"
)
#: More words of what somebody cannot have: latex-fruit syndrome, upsets my stomach.
_HARM: Final = re.compile(
    r"\bsyndrome?\b|\b(?:triggers?|causes?)\s+(?:\w+\s+){0,2}asthma\b|\breagier\w*\s+auf\b"
    r"|\bupsets?\s+(?:me|him|her|them|my|his|our|their|the)\b"
)
#: So far before a food such words are looked for [characters].
_REACH: Final = 60
#: Words of what stays out, just before it.
_OUT: Final = re.compile(
    r"\b(?:no|without|ohne|keine?[nrs]?|sans|pas\s+d[e'u]s?|sin|senza|geen|zonder|(?:can't|cannot|doesn't|don't)\s+do)\s*(?:\w+\s+)?$"
)
_FREE_OF: Final = re.compile(r"\w*[\s-]+(?:free|frei)\b|\w*frei\b")
#: Where what is named ends.
_ENDS: Final = re.compile(
    r"\b(?:but|so|please|which|that|when|if|as|because|since|for|who|is|are|was|has|have|had|he|she|they|we|i|you|though|although|only|too"
    r"|also|at|on|in|from|with|within|during|before|after|until|then|there|than|thanks?|not|aber|bitte|weil|wenn|deshalb|und\s+zwar|mais"
    r"|donc|car|pero|porque|perche|sehr|stark|badly|severely|really|very|itself|any\s?more"
    r"|just(?=\s+(?:so|to|in|for|as|letting|fyi)\b|\s*$))\b.*"
)
#: What somebody can eat besides.
_CAN_EAT: Final = re.compile(
    r"\b(?:can|could|may)\s+(?:\w+\s+)?(?:have|eat)\b(?<!not have)(?<!not eat)(?<!never have)(?<!never eat).*"
    r"|\b(?:is|are)\s+(?:fine|ok(?:ay)?|good|happy)\s+with\b.*"
)
_ITEMS: Final = re.compile(r"[,/&+]|\b(?:and|or|und|oder|et|ou|nor|sowie|as\s+well)\b")
_LEADING: Final = re.compile(
    r"^(?:(?:just|all|any|both|the|an?|some|most|every|kinds?|types?|sorts?|of|to|le|la|les|du|de|des|der|die|das|den|dem|gegen|auf|aux?"
    r"|my|his|her|our|your|severe|mild|bad|serious|strong|slight|known|has|have|have\s+an?|is|one|two|three|\d+)\s+|[ld]'|\d+\s*x?\s*)+"
)
#: What is named so and is no food, or too little to say what it is; and diets, which are no single food.
_NONE: Final = re.compile(
    r"\b(?:it|this|that|them|these|those|something|anything|nothing|none|nobody|about|everything|things?|stuff|much|many|lots?|foods?|certain|few|several"
    r"|multiple|bees?|wasps?|insects?|stings?|bites?|cats?|dogs?|animals?|pets?|pollen|hay|dust|mites?|mold|mould|penicillin|antibiotics?"
    r"|medicines?|medication|aspirin|ibuprofen|perfumes?|nickel|dinner|lunch|breakfast|dessert\w*|cakes?|here|now|more|less|other\w*"
    r"|halal|kosher|koscher|keto|fodmaps?|diabet\w*|sweets?|late|early|time|well|enough|allerg\w*|intoleran\w*|any|no|food|severe|bad"
    r"|mild|has|have|his|her|my|our|and|with|the|an?|got|there|full|complete|dietary|hen|bienen|wespen|katzen|hunde|staub|graser"
    rf"|can(?:'t|not)?|who|swells?|up|{'|'.join(COUNTED)})\b"
)
_COUNTS: Final = re.compile(
    rf"\b(?:{'|'.join(COUNTED)}|\d+|x|guests?|people|persons?|child(?:ren)?|kids?|adults?|and|the|an?|no)\b"
)


def needs_named(text: str, guests: int | None = None) -> dict[str, int | None]:
    """Return the needs that a text names, those on no list among them, each with its number of guests where it says so.

    ``guests`` are those of the event: a number above is none of them.
    """
    return needs_in(text, guests) | others_in(text, guests)


def others_in(text: str, guests: int | None = None) -> dict[str, int | None]:
    """Return what a text names and no list has, each with its number of guests; None where nobody can tell it."""
    found: dict[str, int | None] = {}
    for sentence in _SENTENCE.split(folded(without_places(text))):
        loose = _has_loose_number(sentence, guests)
        for words, part in _in_sentence(_CAN_EAT.sub(" ", sentence)):
            code = other_code(_as_written(words, text))
            count = None if loose else count_of(part, guests)
            found[code] = count if found.get(code, count) == count else None
    return found


def may_name_any_need(text: str, sold: Iterable[str] = ()) -> bool:
    """Return whether words of a customer may name what a guest cannot eat, whether or not a list has it.

    ``sold`` are names of products: a food in one of them is what they want to eat.
    """
    names = list(sold)
    if may_name_need(text, names):
        return True
    plain = folded(text)
    for name in sorted(filter(None, map(folded, names)), key=len, reverse=True):
        plain = plain.replace(name, " ")
    return any(
        True for sentence in _SENTENCE.split(plain) for _ in _in_sentence(_CAN_EAT.sub(" ", sentence), bare=False)
    )


def _has_loose_number(sentence: str, guests: int | None) -> bool:
    """Return whether a part that names nothing has a number: "corn (1 adult, 2 children)"."""
    parts = [part for part in SEGMENT.split(sentence) if numbers_in(part, guests)]
    return any(not any(families_in(part)) and not needs_in(part) and not any(_items(part)) for part in parts)


def _in_sentence(sentence: str, *, bare: bool = True) -> Iterator[tuple[str, str]]:
    """Find the words of each need of a sentence in small letters, with the part of it that names it.

    A part that names foods and hardly anything else counts only with ``bare``.
    """
    of_need = (
        _HARM.search(sentence) is not None
        or speaks_of_need(sentence)
        or speaks_of_allergies(sentence)
        or speaks_of_avoiding(sentence)
    )
    of_need = of_need or speaks_of_reaction(sentence)
    parts = SEGMENT.split(sentence)
    seen: dict[str, str] = {}
    for part in parts:
        wanted, alone, out = is_wanted(part), bare and _is_bare(part), bare and leaves_out(part)
        for name, start, end in families_in(part):
            if name in seen or is_sold(part, _word_end(part, end)):
                continue
            left = of_need or out or _OUT.search(part[max(0, start - _REACH) : start]) is not None
            if (left and not wanted) or alone or _FREE_OF.match(part, start) is not None:
                seen[name] = f"{part[:start]} {part[end:]}"
    for item in _items(sentence) if of_need else ():
        part = next((one for one in parts if item in one), sentence)
        seen.setdefault(item, part.replace(item, " "))
    yield from ((words.replace("-", " ") if words in FAMILIES else words, part) for words, part in seen.items())


def _as_written(words: str, text: str) -> str:
    """Return words in small letters as a text has them, with their accents."""
    tokens, n = re.findall(r"[\w'-]+", plain_text(text)), len(words.split())
    written = (" ".join(tokens[at : at + n]) for at in range(len(tokens)))
    return next((one for one in written if folded(one) == words), words)


def _word_end(part: str, end: int) -> int:
    return next((at for at in range(end, len(part)) if not part[at].isalpha()), len(part))


def _is_bare(part: str) -> bool:
    """Return whether a part names foods and hardly anything else, as notes do: "2 kiwi", "Rosa: corn"."""
    rest = _COUNTS.sub(" ", part)
    for _name, start, end in families_in(rest):
        rest = f"{rest[:start]}{' ' * (end - start)}{rest[end:]}"
    return len(re.findall(r"\b[^\W\d_]{2,}", rest)) < 2


def _items(sentence: str) -> Iterator[str]:
    for match in (match for words in (*_BEFORE, _BEHIND, CAUSES) for match in words.finditer(sentence)):
        for what in filter(None, match.groupdict().values()):
            for item in _ITEMS.split(_ENDS.sub("", what)):
                plain = _LEADING.sub("", item.strip()).strip(" '\"-")
                if _is_food(plain):
                    yield plain


def _is_food(item: str) -> bool:
    words = item.split()
    plain = 0 < len(words) <= 3 and len(item) > 2 and re.fullmatch(r"[^\W\d_][\w' -]*", item) is not None
    if not plain or _NONE.search(item) or NO_CAUSE.search(item) or names_people(item):
        return False
    return not needs_in(item) and not foods_named(item) and not any(families_in(item))
