"""A note that names one need in several places: what is plainly to be added, and what only somebody can tell.

"2 sesame and 3 more sesame" are five; "2 sesame at noon, 3 sesame at night" may be three or five, and then no number is
read. Numbers of tables, rooms and courses are none of guests.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from catalog.pantry.other_foods import families_in

#: A number in digits or words; in small letters.
NUMBER: Final = (
    r"(?:\d{1,4}|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|eins?|zwei|drei|vier|f[u\u00fc]nf|sechs"
    r"|sieben|acht|neun|zehn|un|deux|trois|quatre|cinq|sept|huit|neuf|dix)"
)
_PLACE: Final = (
    r"(?:tables?|rooms?|rows?|courses?|seats?|chairs?|floors?|levels?|tiers?|halls?|tents?|day|line|page|version|tische?n?"
    r"|zimmer|raum|reihe|gang|sitz|salles?|chambres?|rang|mesa|sala|tavolo|tavolata|tafel|stoel)"
)
#: A number that says which table it is, or how many tables; in any letters.
_OF_PLACE: Final = re.compile(
    rf"\btables\s*(?:no\.?|nos\.?)?\s*#?\s*{NUMBER}\b(?:\s*(?:,|and|&|or|to|-|\u2013)\s*{NUMBER}\b)*"
    rf"|\b{_PLACE}\s*(?:number|nummer|numero|nr\.?|no\.?|n\u00b0)?\s*#?\s*{NUMBER}\b|\b{NUMBER}\s+{_PLACE}\b",
    re.IGNORECASE,
)
#: What is added to those named before; small letters without accents.
_MORE: Final = re.compile(
    r"\b(?:more|another|additional|extra|further|others?|too|also|as\s+well|plus|likewise|ditto"
    r"|weitere\w*|noch|zusatzlich\w*|auch|ebenfalls|ebenso|encore|autres?|aussi|egalement|supplementaires?|de\s+plus|en\s+plus"
    r"|otr[oa]s?|mas|tambien|altr[oaie]|anche|nog|ook|andere)\b"
)
_SAME: Final = re.compile(
    r"\bso\s+(?:is|are|does|do|has|have)\b|\b(?:(?:the\s+)?same(?!\s+(?:guests?|persons?|people|one|two|child|kid|\d))|dasselbe|das\s+gleiche|pareil|lo\s+mismo|idem"
    r"|lo\s+stesso|hetzelfde)\b"
)
#: They have what those before have, and do not only come besides.
_TOO: Final = re.compile(
    r"\b(?:too|also|as\s+well|likewise|ditto|auch|ebenfalls|ebenso|aussi|egalement|tambien|anche|ook)\b"
)
#: One of those who follow a need without a number of their own.
_ONE_MORE: Final = re.compile(r"\b(?:another|one\s+more|otr[oa]|un\s+altr[oa]|un\s+autre|une\s+autre)\b")
_PERSON: Final = (
    r"(?:bride|groom|best\s+man|(?:grand|step|god)?(?:mother|father|son|daughter|child|mum|mom|dad)|grand(?:ma|pa)|granny|nana"
    r"|aunt(?:ie|y)?|uncle|niece|nephew|cousin|sister|brother|wife|husband|boy|girl|baby|toddler|fiancee?|bridesmaid|groomsman"
    r"|maid\s+of\s+honou?r|friend|colleague|partner|boss|neighbou?r|kid|guest|braut|brautigam|trauzeuge|trauzeugin|oma|opa|tante|onkel"
    r"|nichte|neffe|schwester|bruder|mutter|vater|tochter|sohn|mere|pere|oncle|soeur|frere|mariee?|temoin)"
)
_ARTICLE: Final = (
    r"(?:an?|the|my|our|his|her|their|your|of|for|one|ein|eine|der|die|das|mein|meine|unsere?|ihre?|la|le|ma|mon|sa"
    r"|son)"
)
_ONLY_PERSON: Final = re.compile(rf"\s*(?:{_ARTICLE}\s+)*{_PERSON}(?:'s\s+{_PERSON})?\s*")
_PEOPLE: Final = re.compile(rf"\b(?:{_PERSON}s?|both|guests?|people|children)\b")
_LOOSE_PERSON: Final = re.compile(rf"\b{_PERSON}\b")
#: Words that say nothing but that somebody has what another one has.
_FILLER: Final = re.compile(
    rf"\b(?:{_PERSON}s?|{_ARTICLE}|has|have|is|are|it|that|this|with|goes|applies|boys|girls|kids|children|aunts|uncles|sisters"
    r"|brothers|sons|daughters|cousins|friends|guests|people|them|us|hat|haben|gilt|fur|a|ont|est|sont|pour)\b"
)
_FEW_WORDS: Final = 2
#: One person by name and what is said of one alone: "ella is coeliac"; small letters without accents.
_BY_NAME: Final = re.compile(
    r"\s*(?!(?:it|this|that|there|here|what|who|which|everyone|everybody|nobody|everything|nothing|food|family|group|table|menu|cake"
    r"|dessert|the|one|es|das|wer|alles|il|cela|ce|on|tout|rien|who|she|he|they|we|i|you)\b)[a-z]{2,20}(?:'s\b|\s+(?:is|has|hat|ist|est|a|carries|darf|kann|isst"
    r"|vertragt|can't|cannot)\b)"
)
_ONE_WORD: Final = re.compile(r"\s*[a-z]{2,20}\s*")
_AND: Final = ("and", "&", "+", "plus", "und", "et")
#: Where others are who have the same, and what they are: "two more on her table", "drei an der Bar".
_WHERE: Final = re.compile(
    r"\b(?:at|on|in|from|to|of|over|there|here|back|front|bar|table|side|end|room|garden|barn|kitchen|party|families|family|then|later"
    r"|evening|noon|night|arrive|late|come|coming|an|im|auf|bei|der|dem|den|ihrem|ihrer|seinem|unserem|tisch|theke|saal|hinten|vorne|dort"
    r"|abend|fond|bar|sa|leur|notre|au|aux|cote|la-bas|bas|soir|table|who|others?|adults?|erwachsene\w*|kinder|freunde\w*|adultes?|enfants?|amis|ushers?|bridesmaids?|seated|sitting)\b"
)
#: So many of them and no more are read as others with the same need, where nothing says that they have it [guests].
FEW: Final = 12
#: Guests who come besides, and maybe have no need: "2 more guests".
_ANYBODY: Final = re.compile(r"\b(?:guests?|people|persons?|gaste?n?|personen|leute|invites|personnes)\b")
#: Words of a number that nobody can count.
_VAGUE: Final = re.compile(
    r"\b(?:a\s+couple|a\s+few|several|some|many|both|einige|ein\s+paar|mehrere|beide|quelques|plusieurs|certains?)\b"
)
#: What ends a sentence of a note.
SENTENCE_ENDS: Final = re.compile(r"[.;\n]")
#: Words by which one of two numbers is only maybe so: "3 coeliac (4 if Lars comes)".
_MAYBE: Final = re.compile(
    r"\b(?:if|unless|maybe|perhaps|possibly|probably|or|wenn|falls|vielleicht|oder|si|peut-etre|ou|forse|se|quizas?|als|misschien)\b"
)


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a note in small letters: what parts it from the one before, its needs with counts, and numbers."""

    text: str
    after: str
    needs: Mapping[str, int | None]
    numbers: tuple[int, ...]
    one_person: bool


@dataclass(frozen=True, slots=True)
class Sum:
    """The guests [count] of a need in a whole note, None where only somebody can tell, and the least they are."""

    guests: int | None
    least: int


@dataclass(frozen=True, slots=True)
class _Mention:
    guests: int | None
    more: bool = False


def without_places(text: str) -> str:
    """Return a text without the numbers of tables, rooms, rows and courses."""
    return _OF_PLACE.sub(lambda match: " table" + " " * max(1, len(match[0]) - 6), text)


def names_people(words: str) -> bool:
    """Return whether words in small letters name people of the family or among the guests."""
    return _PEOPLE.search(words) is not None


def sums(parts: Iterable[Part]) -> dict[str, Sum]:
    """Return the needs that parts of a note name more than once, each with what they are together."""
    reader = _Reader()
    for part in parts:
        if SENTENCE_ENDS.search(part.after):
            reader.waiting, reader.listed, reader.begun, reader.somebody = 0, False, False, False
        if part.needs:
            reader.name(part)
        elif part.text.strip():
            reader.go_on(part)
    return {code: _together(rows) for code, rows in reader.mentions.items() if len(rows) > 1 and _counts(rows)}


@dataclass(slots=True)
class _Reader:
    """The mentions by need so far; the needs named last, and what the sentence has before: people, a list, a need.

    ``somebody`` is a single word before, which may be a name.
    """

    mentions: dict[str, list[_Mention]] = field(default_factory=dict)
    last: list[str] = field(default_factory=list)
    waiting: int = 0
    listed: bool = False
    begun: bool = False
    somebody: bool = False

    def name(self, part: Part) -> None:
        """Read a part that names needs; "bride and groom are coeliac", not "bride vegan, groom, best man coeliac"."""
        people = self.waiting if part.one_person else 0
        for code, count in part.needs.items():
            if code not in self.mentions and not people and (self.waiting or self._after_a_name(part)) and part.numbers:
                # "My daughter and two of her friends are vegan", "Ella and two more are coeliac".
                self.mentions[code] = [_Mention(None, more=True)]
            self.mentions.setdefault(code, []).append(_named(part, count))
            if len(part.needs) == 1 and len({*part.numbers}) > 1 and _MAYBE.search(part.text):
                self.mentions[code].append(_Mention(max(part.numbers)))
            if people:
                self.mentions[code].append(_Mention(None if self.begun else people, more=True))
        if self.waiting and self.begun:
            self._add(_Mention(None, more=True))
        self.last, self.waiting, self.begun = list(part.needs), 0, True
        self.listed = part.one_person and _LOOSE_PERSON.search(part.text.partition(":")[2]) is not None

    def go_on(self, part: Part) -> None:
        """Read a part without a need: one more of a list, somebody who may have the next need, or others as those."""
        if _ONLY_PERSON.fullmatch(part.text) and not self.listed:
            self.waiting += 1
        elif _ONLY_PERSON.fullmatch(part.text):
            self._add(_Mention(1, more=True))
        elif any(families_in(part.text)):
            pass  # of another need: "my other daughter itches with kiwi"
        elif self.last and (one := _follows(part, listed=self.listed)) is not None:
            self._add(one)
        self.somebody = _ONE_WORD.fullmatch(part.text) is not None

    def _after_a_name(self, part: Part) -> bool:
        """Return whether a name stands just before a part, joined to it: "Ella and two more are coeliac"."""
        return self.somebody and part.after.strip() in _AND

    def _add(self, one: _Mention) -> None:
        for code in self.last:
            self.mentions[code].append(one)


def _named(part: Part, count: int | None) -> _Mention:
    more = bool(_MORE.search(part.text) or _SAME.search(part.text) or part.after.strip() in ("plus", "+"))
    if count is None and not part.numbers and (_ONE_MORE.search(part.text) or _BY_NAME.match(part.text)):
        count = 1
    return _Mention(count, more)


def _follows(part: Part, *, listed: bool) -> _Mention | None:
    """Return what a part without a need adds to the needs before it: "her sister too", "same for 2 of her aunts"."""
    more = _MORE.search(part.text) or _SAME.search(part.text) or part.after.strip() in ("plus", "+")
    person = _LOOSE_PERSON.search(part.text)
    rest = part.text
    for known in (_MORE, _SAME, _VAGUE, _MAYBE, _FILLER):
        rest = known.sub(" ", rest)
    words = [word for word in re.findall(r"[^\W\d_]+", rest) if not re.fullmatch(NUMBER, word)]
    # Others, and where they are at most: maybe of the same need, and nobody can tell.
    loose = not _WHERE.sub(" ", " ".join(words)).strip()
    some = _VAGUE.search(part.text) is not None or 0 < max(part.numbers, default=0) <= FEW
    if not more:
        listed = listed and 0 < len(words) <= _FEW_WORDS
        return _Mention(None, more=True) if listed or (loose and some) else None
    if not part.numbers and not person:
        return _Mention(None, more=True) if loose and some else None
    besides = not _TOO.search(part.text) and not _SAME.search(part.text)
    plain = loose and part.numbers and not _ANYBODY.search(part.text) if besides else len(words) <= _FEW_WORDS
    if not plain or len(part.numbers) > 1:
        return _Mention(None, more=True)
    return _Mention(part.numbers[0] if part.numbers else 1, more=True)


def _counts(rows: list[_Mention]) -> bool:
    """Return whether more than one mention says something of a number."""
    return sum(one.guests is not None or one.more for one in rows) > 1


def _together(rows: list[_Mention]) -> Sum:
    found = [one for one in rows if one.guests is not None or one.more]
    numbers = [one.guests or 0 for one in found]
    plain = all(one.guests is not None for one in found) and all(one.more for one in found[1:])
    added = sum(number for number, one in zip(numbers[1:], found[1:], strict=True) if one.more)
    least = max(1, numbers[0] + added, *numbers)
    return Sum(least if plain else None, least)
