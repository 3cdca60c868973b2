"""What a person states of a customer's message: that the list has all it speaks of, or that it names no need.

Words that are recognized make a statement harder to give; no words give one.
"""

import re
from collections.abc import Iterable
from datetime import datetime
from typing import Final

from catalog.pantry.avoid_words import goes_on
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import numbers_in
from catalog.pantry.other_needs import is_other, other_words, speaks_of_own
from catalog.pantry.other_words import may_name_any_need, needs_named
from catalog.pantry.reaction_words import speaks_of_reaction
from catalog.records.versions import version_mark
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.quotes.draft.message_needs import (
    REPLIED,
    MessageOpen,
    held_of,
    messages_open,
    messages_unread,
    missing_needs,
    names_somebody,
    refers_back,
)
from orders.quotes.models import Quote
from orders.records.list_seen import list_stored
from orders.records.models import AuditEntry
from orders.records.need_errors import ListChanged, ListEmpty, NamesNeeds, NamesReaction, NeedsNotInList, NotCompared

#: Words of a text that may be a food; so many letters of two are the same where one is the plural of the other.
_WORD: Final = re.compile(r"[^\W\d_]{4,}")
_STEM: Final = 5
#: Words that stand beside a food in notes and messages, and are none.
_NO_FOOD: Final = re.compile(
    r"(?:allerg\w+|guests?|with|from|have|having|after|when|every|that|this|there|their|they|them|what|some|something|anything"
    r"|food|eats?|eating|nach|gast|gaste|invites?)"
)


#: Up to four words with a capital: more than that may be an answer, and somebody reads one line too many.
_PLAIN_NAME: Final = re.compile(r"(?:[A-Z\u00c0-\u00de][^\W\d_]*(?:[-'’][^\W\d_]+)*\.?\s*){1,4}")


def has_list(inquiry: Inquiry) -> bool:
    """Return whether a need, or a note about needs, is in an inquiry's list."""
    return bool(inquiry.allergies or inquiry.allergy_note.strip())


def list_mark(inquiry: Inquiry) -> str:
    """Return a mark of an inquiry's list: needs, numbers and note."""
    return version_mark([*sorted(_counted(inquiry).items()), inquiry.allergy_note.strip()])


def list_seen(message: str, inquiry: Inquiry) -> str:
    """Return a message and the list beside which it was answered, for the history: they can be erased there."""
    return list_stored(message, _counted(inquiry), inquiry.allergy_note.strip())


def _counted(inquiry: Inquiry) -> dict[str, int | None]:
    return {code: inquiry.need_counts.get(code) for code in inquiry.allergies}


def is_recognized(text: str, inquiry: Inquiry, sold: Iterable[str] = ()) -> bool:
    """Return whether words in a text are recognized as maybe of a need; ``sold`` are names of desserts."""
    spoken = may_name_any_need(text, sold) or speaks_of_own(text, inquiry.allergies) or speaks_of_reaction(text)
    return spoken or (has_list(inquiry) and goes_on(text))


def is_urgent(text: str, inquiry: Inquiry) -> bool:
    """Return whether a message is read before others: it may be of a need, or of more guests with one of the list."""
    if is_recognized(text, inquiry):
        return True
    of_people = names_somebody(text) or refers_back(text) or len(numbers_in(text, inquiry.guests)) > 1
    return has_list(inquiry) and of_people


def has_own_words(message: Message) -> bool:
    """Return whether a message says more than the counts that it asks for, of which each is one line of its text."""
    wanted = message.wants or {}
    return len(message.text.splitlines()) > len(wanted.get("units", {})) + ("guests" in wanted)


def words_noted(quote: Quote, words: str, *, by: str, at: datetime) -> None:
    """Make a message of what a customer said otherwise than in writing, in the caller's transaction.

    It is answered as what they write is: somebody states what it names.
    """
    if words.strip():
        Message.objects.create(quote=quote, kind=Message.Kind.CHANGE, text=words.strip(), by=by.strip()[:120], at=at)


def words_beyond(name: str, words: str) -> str:
    """Return what was said, with what stands where a name stands and is more than one."""
    plain = _PLAIN_NAME.fullmatch(name.strip())
    return words if plain else "\n".join(filter(None, [name.strip(), words.strip()]))


def of_plain(message: Message, inquiry: Inquiry) -> MessageOpen:
    """Return a message that stops no approval, with what is recognized in it all the same."""
    missing = missing_needs(message.text, inquiry.allergies, inquiry.guests)
    facts = message.pk, message.quote_id, message.text, message.by, message.at
    return MessageOpen(*facts, missing, lacking=missing, reacts=speaks_of_reaction(message.text))


def replied_of(messages: Iterable[Message]) -> frozenset[int]:
    """Return the messages that somebody replied to without stating anything of the list; one query."""
    quotes = {one.quote_id for one in messages}
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=quotes, event=REPLIED) if quotes else ()
    return frozenset(row.params["message"] for row in rows)


def message_waits(inquiry: Inquiry) -> bool:
    """Return whether a customer wrote what nobody has stated anything of, whatever it says; four queries at most."""
    unread = messages_unread(inquiry)
    return bool({one.pk for one in unread} - held_of(unread).keys() or messages_open([inquiry]))


def check_answer(one: MessageOpen, inquiry: Inquiry, *, recorded: bool, no_guest: bool, compared: str = "") -> None:
    """Refuse an answer to a message that the list does not bear out: that it is ``recorded``, or names no need.

    With ``no_guest`` nobody is to be added to a need of the list: it counts them already, or they do not come.
    ``compared`` is the mark of the list that the message was compared with.

    Raises NeedsNotInList, ListEmpty, NamesNeeds, NamesReaction, NotCompared, ListChanged.
    """
    if recorded and (lacking := {code: n for code, n in one.lacking.items() if code in one.missing or not no_guest}):
        raise NeedsNotInList(needs=lacking)
    if recorded and not has_list(inquiry):
        raise ListEmpty()
    if one.lacking and not no_guest:
        raise NamesNeeds(needs=dict(one.lacking))
    if one.reacts and not no_guest and not (recorded and _has_cause(one.text, inquiry)):
        raise NamesReaction(text=one.text[:240])
    if recorded and compared != list_mark(inquiry):
        raise ListChanged() if compared else NotCompared()


def _has_cause(text: str, inquiry: Inquiry) -> bool:
    """Return whether the list has what a text that speaks of a reaction names: as a need, or in words of a note."""
    if needs_named(text, inquiry.guests):
        return not missing_needs(text, inquiry.allergies, inquiry.guests)
    listed = " ".join([inquiry.allergy_note, *(other_words(code) for code in inquiry.allergies if is_other(code))])
    return bool(_stems(text) & _stems(listed))


def _stems(text: str) -> set[str]:
    return {word[:_STEM] for word in _WORD.findall(folded(text)) if not _NO_FOOD.fullmatch(word)}
