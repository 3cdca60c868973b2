"""What an inquiry's allergy note names and no need stands for: a note alone warns nobody of a dessert."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final

from catalog.pantry.allergens import covered
from catalog.pantry.avoid_words import names_feast
from catalog.pantry.more_words import NeedNumber, need_numbers
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import least_needs_in, needs_in, numbers_in
from catalog.pantry.other_words import may_name_any_need, needs_named, others_in
from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_needs import NeedChange, missing_needs


@dataclass(frozen=True, slots=True)
class NoteOpen:
    """An allergy note that no needs stand for, or not all: the needs it names, each with its number of guests."""

    note: str
    missing: Mapping[str, int | None] = field(default_factory=dict)


def note_open(inquiry: Inquiry) -> NoteOpen | None:
    """Return what is open of an inquiry's allergy note; None where there is none, or needs stand for all it names.

    Words that nobody recognizes count as named while no need is there at all.
    """
    note = inquiry.allergy_note.strip()
    missing = missing_needs(note, inquiry.allergies, inquiry.guests)
    return NoteOpen(note, missing) if note and (missing or not inquiry.allergies) else None


#: Words of an inquiry and its customer besides the allergy note, where people write of needs too: where they stand.
_PLACES: Final[Mapping[str, Callable[[Inquiry], str]]] = {
    "title": lambda inquiry: inquiry.title,
    "inner": lambda inquiry: inquiry.note,
    "place": lambda inquiry: inquiry.place,
    "customer": lambda inquiry: inquiry.customer.name,
    "customer_note": lambda inquiry: inquiry.customer.note,
    "address": lambda inquiry: inquiry.customer.address,
}


@dataclass(frozen=True, slots=True)
class WordsOpen(NoteOpen):
    """The same of other words of an inquiry; ``place`` is where: ``title``, or ``inner``, the kitchen's own note.

    ``order`` is the note for the kitchen of its order, ``customer`` the customer's name.
    """

    place: str = ""

    @property
    def text(self) -> str:
        """The words."""
        return self.note


def words_open(inquiry: Inquiry) -> tuple[WordsOpen, ...]:
    """Return the event's name, the kitchen's notes, place, and the customer's name, where they may name a need."""
    return tuple(_words_open(inquiry))


def _words_open(inquiry: Inquiry) -> Iterator[WordsOpen]:
    for place, words in _PLACES.items():
        if (found := _open(place, words(inquiry).strip(), inquiry)) is not None:
            yield found


def _open(place: str, text: str, inquiry: Inquiry) -> WordsOpen | None:
    # A name of theirs that is a food too, such as Almond, is none.
    names = [inquiry.customer.name] if place != "customer" else [one for one in text.split() if one.istitle()]
    if not may_name_any_need(text, sold=names) and not names_feast(text):
        return None
    missing = missing_counted(text, inquiry)
    return WordsOpen(text, missing, place) if missing or not needs_in(text) else None


def order_note_open(note: str, inquiry: Inquiry) -> WordsOpen | None:
    """Return the note of an inquiry's order for the kitchen, where it may name a need that is not recorded."""
    return _open("order", note.strip(), inquiry)


#: Guests, in a name: for whom something is.
_GUESTS: Final = re.compile(
    r"\b(?:guests?|people|persons?|adults?|children|child|kids?|ladies|gentlemen|couple|bride|groom|aunt\w*|uncle|mother|father|son"
    r"|daughter|sister|brother|mum|mom|dad|(?:co?eliac|vegan|vegetarian|allergic)s"
    r"|(?:for|fur|pour|per|para|voor)\s+(?:\w+\s+){0,3}(?:c(?:o?e)liac\w*|coeliak\w*|vegan\w*|vegetar\w*|vegetal\w*|allerg\w*)"
    r"|gaste?n?|kind(?:er)?|personen|leute|invites?|enfants?|ospiti|invitados?|gasten)\b"
)


def counts_unclear(texts: Iterable[str], guests: int | None) -> frozenset[str]:
    """Return the needs that texts name in a sentence with numbers, none of which is plainly theirs."""
    return frozenset(
        code
        for text in texts
        for sentence in re.split(r"[.!?;\n]+", text)
        if numbers_in(sentence, guests)
        for code, count in needs_named(sentence, guests).items()
        if count is None
    )


def extra_open(name: str, inquiry: Inquiry) -> WordsOpen | None:
    """Return the name of an extra where it says for which guests it is, and what they need is not recorded."""
    return _open("extra", name.strip(), inquiry) if _GUESTS.search(folded(name)) else None


def missing_counted(text: str, inquiry: Inquiry) -> dict[str, int | None]:
    """Return the needs that words name and the inquiry does not have, or for fewer guests.

    A kind of a group that is recorded for fewer guests is among them: four walnuts beside one tree nut. Of those that
    are recorded the number is that of all: "two more" are added to what was entered; None where nobody can tell it.
    """
    fewer: dict[str, int | None] = {one.code: one.guests or None for one in note_changes(text, inquiry)}
    counts = inquiry.need_counts
    for code, n in least_needs_in(text, inquiry.guests).items():
        wider = [one for one in inquiry.allergies if one != code and covered(code) <= covered(one)]
        if n and code not in inquiry.allergies and any(n > (counts.get(one) or n) for one in wider):
            fewer[code] = n
    return missing_needs(text, inquiry.allergies, inquiry.guests) | fewer | _more_of_others(text, inquiry)


def _more_of_others(text: str, inquiry: Inquiry) -> dict[str, int | None]:
    """Return the needs of no list that were entered for fewer guests than words say, as they were entered."""
    entered = {
        one: count for code in inquiry.allergies if (count := inquiry.need_counts.get(code)) for one in covered(code)
    }
    spelled = {one: code for code in inquiry.allergies for one in covered(code)}
    found = {one: n for code, n in others_in(text, inquiry.guests).items() for one in covered(code)}
    return {spelled[one]: n for one, n in found.items() if n and one in entered and n > entered[one]}


def note_changes(text: str, inquiry: Inquiry) -> tuple[NeedChange, ...]:
    """Return what words say of needs that were entered for fewer guests; ``guests`` is 0 where nobody can tell it."""
    counts, named = inquiry.need_counts, need_numbers(text, inquiry.guests)
    found = []
    for code, least in least_needs_in(text, inquiry.guests).items():
        was = counts.get(code)
        if code not in inquiry.allergies or not was or not least or least <= was:
            continue
        one = named.get(code, NeedNumber(None))
        number = one.guests or 0
        found.append(NeedChange(code, was, number or least, one.more, number + was if one.more and number else number))
    return tuple(found)
