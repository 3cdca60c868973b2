"""Enumerations in a claim, in six languages: "nut-, coconut- and milk-free", "free of nuts, coconut or milk".

A claim's own words hold one food; what is listed before or behind it is claimed as well. What nobody knows among it
("coconut") keeps the list together and claims nothing.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from catalog.products.claim_words import BARE, DOING, FOREIGN, NEEDS, NOT, SOME, any_word

#: So far from a claim a list of it is read [characters]; the longest legal list of allergens is shorter.
REACH: Final = 320
_AND: Final = r"(?:and|or|nor|und|oder|noch|sowie|et|ou|ni|né|y|e|o|u|ed|od|en|of|noch|nem)"
_SEPARATOR: Final = re.compile(
    rf"\s*,\s*(?:{_AND}\s+)?(?:(?:no|ni|nem|noch)\s+)?|\s+{_AND}\s+(?:(?:no|any)\s+)?|\s*[/&+]\s*", re.IGNORECASE
)
_CLAUSE_END: Final = re.compile(r"[.;:!?\n()]")
#: What stands before a list of what is inside: "made with milk and gluten-free flour" claims no milk.
_INSIDE: Final = re.compile(
    r"(?:with|of|from|contains?|containing|has|have|having|using|uses?|add|added|adds|plus|mit|aus|avec|au|con|di|met|van|com)$",
    re.IGNORECASE,
)
_LAST_FOOD: Final = re.compile(rf"(?:^|\s)((?:{BARE})s?-?)$", re.IGNORECASE)
_LAST_FOREIGN: Final = re.compile(rf"(?:^|\s)((?:{any_word(FOREIGN)})(?:n|s|x|en|er)?-)$", re.IGNORECASE)
_ARTICLES: Final = r"(?:(?:a|an|the|any|added|whole|ground|traces?\s+of|d'|di|de|le|la|les|los|las|gli|der|die|das)\s*)"
#: What may follow the last food of a list that is no part of its name; "milk chocolate" is no milk.
_AFTER: Final = (
    r"(?=$|[-\s]*(?:in|for|at|by|as|and|so|but|we|it|which|that|on|to|whatsoever|anywhere|inside|here|im|und|dans|en"
    r"|nella|nel)\b)"
)
_STARTS: Final = re.compile(
    rf"{_ARTICLES}?(?P<food>(?:{BARE})s?\b|(?:{any_word(FOREIGN)})(?:n|s|x|en|er)?\b){_AFTER}", re.IGNORECASE
)
#: After these a list of what is left out begins.
_WITHOUT: Final = re.compile(
    r"\b(?:free\s+(?:of|from)|without|neither|weder|ni|né|nem|ohne|frei\s+von|keine?[nr]?|sans|libres?\s+de|exempte?s?\s+de|sin|senza|sem|zonder"
    rf"|vrij\s+van|{NOT}\s+{SOME % 3}{DOING})\s+",
    re.IGNORECASE,
)
#: What begins to say what is inside after all: "ohne Nüsse, mit Milch".
_TURNS: Final = re.compile(r"(?:with|but|mit|aber|avec|mais|con|pero|ma|com|met|maar)\b", re.IGNORECASE)


#: A member of a list that nobody knows: "coconut", "noix de coco".
_UNKNOWN: Final = r"\s*[\w'-]+(?:\s[\w'-]+){0,2}\s*"


@dataclass(frozen=True, slots=True)
class Listed:
    """The members of a list, each the need it claims, and where the list begins and ends in its text."""

    start: int
    end: int
    needs: tuple[str, ...]


def listed_before(text: str, match: re.Match[str]) -> Listed:
    """Return what is listed before a claim such as "milk-free", where its list begins, and nothing else of it."""
    begin = max(0, match.start() - REACH)
    head = text[begin : match.start()]
    if cut := list(_CLAUSE_END.finditer(head)):
        begin, head = begin + cut[-1].end(), head[cut[-1].end() :]
    if begin and not cut and (word := re.search(r"\s", head)):
        begin, head = begin + word.end(), head[word.end() :]
    pieces = list(_pieces(head))
    if not pieces or pieces[-1].end != len(head):
        return Listed(match.start(), match.end(), ())
    members = _members(pieces, foreign="foreign" in match.re.groupindex)
    counted = [one for one in members if one.hangs] if not _plain_counts(members, pieces[-1], match) else members
    known = [one for one in counted if one.need]
    start = begin + known[-1].start if known else match.start()
    return Listed(start, match.end(), tuple(one.need for one in reversed(known)))


@dataclass(frozen=True, slots=True)
class _Piece:
    """What stands before one separator of a list."""

    text: str
    start: int
    separator: str
    end: int


@dataclass(frozen=True, slots=True)
class _Member:
    """A food of a list, or something unknown without a ``need``; ``hangs`` with the hyphen that waits for "free"."""

    need: str
    start: int
    hangs: bool
    plural: bool
    inside: bool = False


def _pieces(head: str) -> Iterator[_Piece]:
    start = 0
    for found in _SEPARATOR.finditer(head):
        yield _Piece(head[start : found.start()], start, found[0], found.end())
        start = found.end()


def _members(pieces: list[_Piece], *, foreign: bool) -> list[_Member]:
    """Return the members of the list that ends here, the last one first."""
    found: list[_Member] = []
    for piece in reversed(pieces):
        last = (_LAST_FOREIGN if foreign else _LAST_FOOD).search(piece.text)
        if last is not None:
            lead = piece.text[: last.start(1)].strip()
            word = last[1]
            need = _foreign_need(word.rstrip("-")) if foreign else _need(word.rstrip("-"))
            plural = not foreign and word.rstrip("-").lower().endswith("s")
            inside = bool(_INSIDE.search(lead))
            found.append(_Member(need, piece.start + last.start(1), word.endswith("-"), plural, inside))
            if lead:
                return found
        elif re.fullmatch(_UNKNOWN, piece.text):
            inside = bool(_INSIDE.search(piece.text.split()[0]))
            found.append(_Member("", piece.start, piece.text.endswith("-"), plural=False, inside=inside))
        else:
            return found
    return found


def _plain_counts(members: list[_Member], last: _Piece, match: re.Match[str]) -> bool:
    """Return whether members without a hyphen are claimed: "nut, egg and milk free", not "with milk and nut-free oats".

    A plural right before "-free" is an ingredient rather than a claim; so is a row of words with commas alone, unless
    each of them is a food.
    """
    if any(one.inside for one in members):
        return False
    if any(one.plural for one in members) and not re.search(r"\sfree$", match[0], re.IGNORECASE):
        return False
    return last.separator.strip() != "," or (len(members) > 1 and all(one.need and not one.plural for one in members))


def listed_after(text: str) -> Iterator[Listed]:
    """Find what is listed after "free of", "without" and the like, each list with the needs of all its members."""
    for found in _WITHOUT.finditer(text):
        tail = text[found.end() : found.end() + REACH]
        if cut := _CLAUSE_END.search(tail):
            tail = tail[: cut.start()]
        pieces = [*_pieces(tail)]
        rest = _Piece(tail[pieces[-1].end if pieces else 0 :], pieces[-1].end if pieces else 0, "", len(tail))
        needs, end = _listed([*pieces, rest])
        if needs:
            yield Listed(found.start(), found.end() + end, tuple(dict.fromkeys(needs)))


def _listed(pieces: Iterable[_Piece]) -> tuple[list[str], int]:
    needs, end = [], 0
    for piece in pieces:
        if _TURNS.match(piece.text):
            break
        food = _STARTS.match(piece.text)
        if food is not None:
            needs.append(_need(food["food"]) or _foreign_need(food["food"]))
            end = piece.start + food.end()
        elif not re.fullmatch(_UNKNOWN, piece.text):
            break
    return needs, end


def _need(word: str) -> str:
    """Return the need that an English word stands for; empty where it stands for none."""
    plain = "-".join(re.split(r"[\s-]+", word.lower()))
    return NEEDS.get(plain) or NEEDS.get(plain.removesuffix("s"), "")


def _foreign_need(word: str, among: Mapping[str, str] = FOREIGN) -> str:
    lower = word.lower()
    return next((among[one] for one in sorted(among, key=len, reverse=True) if lower.startswith(one)), "")
