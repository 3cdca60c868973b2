"""A sentence of several needs or numbers that cannot be told apart: then no number is read of any of them.

"The two who cannot have citrus are now four, and Ode swells up after nuts" has two numbers, and neither is of the nuts.
"""

import re
from collections.abc import Iterable, Iterator
from typing import Final

from catalog.pantry.name_words import spoken_in
from catalog.pantry.need_sums import FEW, NUMBER, SENTENCE_ENDS, Part, Sum

#: One number takes the place of another, or some of them; small letters without accents, in the six languages.
_CHANGED: Final = re.compile(
    r"\b(?:now|bec[ao]me|becoming|instead|rather\s+than|not\s+\w+\s+but|but\s+(?:it|they|there|we)|up\s+from|down\s+(?:to|from)"
    r"|from\s+\w+\s+to|used\s+to|were|was|had\s+been|thought|no\s+longer|cancel\w*|not\s+com(?:e|ing)|fewer|less|minus|chang\w+"
    r"|grew|grown|increas\w+|rose|turn(?:s|ed)?\s+out|sorry|actually|meant|correct\w*|previously|before|last\s+time|all\s+but"
    r"|jetzt|nun|inzwischen|mittlerweile|statt|anstatt|sondern|waren|geworden|wurden|weniger|abgesagt|eigentlich|fruher|doch"
    r"|maintenant|desormais|au\s+lieu|etai(?:t|ent)|devenus?|finalement|moins|annul\w+|avant"
    r"|adesso|ora|invece|erano|diventat[ie]|meno|ahora|en\s+vez|en\s+lugar|eran|menos|nu|in\s+plaats|minder|werden)\b"
)
_FIRST_NUMBER: Final = re.compile(rf"\b{NUMBER}\b")
_DIET: Final = re.compile(r"\bvega|\bveget|\bvegeta")
#: Guests who are counted apart from others, and all of them as one counts a party.
_GROUPS: Final = (
    r"(?:adults?|child(?:ren)?|kids?|boys?|girls?|women|men|ladies|aunts|uncles|cousins|sisters|brothers|friends|teens?\w*|toddlers?"
    r"|erwachsene\w*|kinder|frauen|manner|freunde|adultes?|enfants?|femmes|hommes|adulti|bambini|adultos?|ninos|volwassenen|kinderen)"
)
#: Some of a number, one number or another, several of them, or more than it says: "two of the six guests", "2-3",
#: "2 children 1 adult", "two dozen".
_LOOSE: Final = re.compile(
    rf"\b{NUMBER}\s+(?:out\s+)?(?:of|von|der|des|sur|d[eiu]|su|van)\s+(?:[^\W\d_]+\s+)?{NUMBER}\b"
    rf"|\b{NUMBER}\s*(?:-|\u2013|/|to|or|bis|oder|a|o|ou)\s*{NUMBER}\b"
    rf"|\b{NUMBER}\s+{_GROUPS}\b.*\b{NUMBER}\s+{_GROUPS}\b"
    r"|\b(?:half|third|quarter|most|dozens?|pairs?|halfte|drittel|dutzend|paare?|moitie|tiers|douzaines?|meta|dozzin[ae]|mitad|docenas?)\b"
)
#: Of two needs named before.
_BOTH: Final = re.compile(r"\b(?:both|beide[ns]?|les\s+deux|entrambi|ambos|allebei)\b")
_JOINED: Final = ("and", "&", "+", "plus", "und", "et", "e", "y", "en")


def unclear(parts: Iterable[Part]) -> dict[str, Sum]:
    """Return the needs of which parts of a note have a number, or one that belongs to another, and nobody can tell."""
    found: dict[str, Sum] = {}
    for sentence in _sentences(parts):
        for at, part in enumerate(sentence):
            before = sentence[at - 1] if at else None
            if part.needs and (_is_changed(sentence) or _is_mixed(part) or _goes_on(before, part)):
                least = max(1, *part.numbers, *(part.needs[code] or 1 for code in part.needs))
                found |= dict.fromkeys(part.needs, Sum(None, least))
    return found


def _sentences(parts: Iterable[Part]) -> Iterator[list[Part]]:
    sentence: list[Part] = []
    for part in parts:
        if SENTENCE_ENDS.search(part.after) and sentence:
            yield sentence
            sentence = []
        sentence.append(part)
    yield sentence


def _is_changed(sentence: list[Part]) -> bool:
    """Return whether a sentence has several numbers, one of them maybe in the place of another."""
    numbers = {number for part in sentence for number in part.numbers}
    return len(numbers) > 1 and any(_CHANGED.search(part.text) for part in sentence)


def _is_mixed(part: Part) -> bool:
    """Return whether numbers of a part are of some of others, or may stand behind what they are of: "nuts 2 eggs 3"."""
    if part.numbers and (_LOOSE.search(part.text) or (len(part.numbers) > 1 and _BOTH.search(part.text))):
        return True
    first = _FIRST_NUMBER.search(part.text)
    if first is None or len(part.numbers) < 2 or len(part.needs) < 2:
        return False
    head = part.text[: first.start()]
    return any(True for _ in spoken_in(head)) or _DIET.search(head) is not None


def _goes_on(before: Part | None, part: Part) -> bool:
    """Return whether those counted before may have the need as well: "two kids and four adults no nuts"."""
    if before is None or before.needs or not part.numbers or len(before.numbers) != 1 or before.numbers[0] > FEW:
        return False
    return part.after.strip() in _JOINED or re.search(rf"\b{_GROUPS}\b", before.text) is not None
