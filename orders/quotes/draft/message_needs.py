"""Customers' messages that may name what a guest cannot eat, and that nobody has answered: as a need, or as none."""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from catalog.kitchen.selectors import kitchen
from catalog.pantry.allergens import covered, need_choices
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import may_name_need, needs_in, numbers_in
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.records.models import AuditEntry
from orders.records.need_errors import ListEmpty, NamesNeeds, NeedsNotInList

#: Event of a quote's history: somebody read a message and found no need in it.
NO_NEED: Final = "no_need_in_message"
#: Event of a quote's history: somebody read a message, and recorded the needs in it.
RECORDED: Final = "message_recorded"
#: Event of a quote's history: an approval was not possible, and the service wrote that down as a message.
HELD: Final = "approval_held"


@dataclass(frozen=True, slots=True)
class MessageOpen:
    """A message that may name a need: its words, and the needs recognized in them that the inquiry does not have.

    ``counted`` are needs it has, of which the message may say for how many guests: only somebody can tell. ``lacking``
    are those of ``missing``, and needs the inquiry has for fewer guests than the message names.
    """

    message: int
    quote: int
    text: str
    by: str
    at: datetime
    missing: Mapping[str, int | None] = field(default_factory=dict)
    counted: tuple[str, ...] = ()
    lacking: Mapping[str, int | None] = field(default_factory=dict)


#: Words by which there are more of them, or others.
_MORE: Final = re.compile(
    r"\b(?:more|another|additional|extra|weitere\w*|encore|otr[oa]s?|altr[oaie])\b"
    r"(?!\s+(?:things?|questions?|points?|notes?|requests?|details?|info\w*))",
    re.IGNORECASE,
)


#: Words for one person, in small letters without accents: perhaps one more than those recorded.
_SOMEBODY: Final = re.compile(
    r"\b(?:(?:grand)?(?:mother|father|son|daughter|child|kid|mum|mom|dad)|grand(?:ma|pa)|granny|nana|gramps|aunt\w*|uncle|niece|nephew"
    r"|cousin|sister|brother|wife|husband|partner|friend|colleague|neighbou?r|boss|bride|groom|best\s+man|bridesmaid|she|he|her|him"
    r"|one|(?:a|an|the|my|our)\s+guest|oma|opa|omi|opi|tante|onkel|nichte|neffe|cousine|kusine|schwester|bruder|mutter|vater|mama|papa"
    r"|tochter|sohn|kind|frau|mann|freund(?:in)?|kollegin|kollege|(?:ein|der|mein)\s+gast|(?:grand-?)?(?:mere|pere)|oncle|soeur|frere"
    r"|fille|fils|enfant|mamie|papi|ami|amie|femme|mari|nonn[oa]|zi[oa]|sorella|fratello|figli[oa]|madre|padre|cugin[oa]|amic[oa]"
    r"|moglie|marito|abuel[oa]|ti[oa]|herman[oa]|hij[oa]|prim[oa]|amig[oa]|espos[oa]|oom|zus|broer|moeder|vader|dochter|zoon|vriend(?:in)?)\b"
)


#: Words for a need before what is eaten: gluten-free, vegan, glutenfreies.
_OF_NEED: Final = r"(?:\w+[- ]free|vegan\w*|vegetari\w*|\w+frei(?:e[nrs]?)?)"
_OF_SIZE: Final = r"(?:small|big|large|different)"
_DISH: Final = (
    r"(?:dessert|sweet|cake|tart|tartlet|cupcake|cookie|brownie|square|dish|kind|sort|flavou?r|nachspeise|nachtisch"
    r"|torte|kuchen|t\u00f6rtchen)"
)
_FOR_NOBODY: Final = r"\b(?!\s+(?:for|per|f\u00fcr|pro|because|since|as|weil)\b)"
#: One more dish for a need, such as "one more gluten-free dessert", or any number of dishes without one: "20 fewer
#: tartlets". "Two more gluten-free desserts" may be for two more guests.
_OTHER_DISHES: Final = re.compile(
    rf"\b(?:(?:one|an?|noch\s+ein\w*|ein\w*)\s+)?(?<!\d\s)(?:more|another|additional|extra|weitere[rs]?)\s+"
    rf"(?:(?:{_OF_NEED}|{_OF_SIZE})\s+)*{_DISH}{_FOR_NOBODY}"
    rf"|\b(?:\d+\s+)?(?:more|additional|extra|other|fewer|less|weniger)\s+(?:{_OF_SIZE}\s+)*"
    rf"{_DISH}(?:e?s|n)?{_FOR_NOBODY}",
    re.IGNORECASE,
)


def _of_dishes_alone(text: str, inquiry: Inquiry) -> bool:
    """Return whether a text that names a need does so only of desserts, more or fewer of them, and of nobody."""
    rest = _OTHER_DISHES.sub(" ", text)
    if rest == text or may_name_need(rest) or needs_in(rest, inquiry.guests):
        return False
    somebody = _SOMEBODY.search(folded(rest)) or _PEOPLE.search(folded(rest))
    return not somebody and not _MORE.search(rest) and max(numbers_in(rest, inquiry.guests), default=0) < 2


#: Words for people, by which a number may be one of guests.
_PEOPLE: Final = re.compile(
    r"\b(?:guests?|people|persons?|adults?|children|kids|who|they|them|gaste?n?|leute|personen|kinder)\b"
)


def _counted(text: str, inquiry: Inquiry) -> tuple[str, ...]:
    """Return the needs of an inquiry that a text names beside another number of guests, or beside "more"."""
    if _of_dishes_alone(text, inquiry):
        return ()
    more, most = _MORE.search(text), max(numbers_in(text, inquiry.guests), default=0)
    needs = needs_in(text, inquiry.guests)
    known = {code: n for code, n in needs.items() if any(covered(code) & covered(one) for one in inquiry.allergies)}
    counts, one_more = inquiry.need_counts, _SOMEBODY.search(folded(text)) is not None
    return tuple(
        code
        for code, n in known.items()
        if more
        or ((n or most) != counts.get(code) and ((n or most) > 1))
        # Of one person beside several that are recorded nobody can tell whether they are among them.
        or (one_more and (n or most) < 2 and (counts.get(code) or 0) > 1)
    )


def missing_needs(text: str, which: str, known: Collection[str], guests: int | None = None) -> dict[str, int | None]:
    """Return the needs that a text names and ``known`` ones do not cover, each with its number of guests.

    ``guests`` are those of the event: a number above is none of them.
    """
    asked = {code for code, _ in need_choices(which)}
    served = [covered(code) for code in known]
    return {
        code: count
        for code, count in needs_in(text, guests).items()
        if code in asked and not any(covered(code) <= one for one in served) and code not in known
    }


def needs_lacking(text: str, which: str, inquiry: Inquiry) -> dict[str, int | None]:
    """Return the needs that a text names and an inquiry does not have, or not for at least that number of guests.

    A need that is recorded without a number stands for no number that a text names.
    """
    missing, counts = missing_needs(text, which, inquiry.allergies, inquiry.guests), inquiry.need_counts
    asked = {code for code, _ in need_choices(which)}
    for code, count in needs_in(text, inquiry.guests).items():
        stand = [one for one in inquiry.allergies if one == code or covered(code) <= covered(one)]
        if code in asked and count and stand and max(counts.get(one) or 0 for one in stand) < count:
            missing[code] = count
    return missing


def messages_open(inquiries: Iterable[Inquiry]) -> dict[int, tuple[MessageOpen, ...]]:
    """Return what is open of customers' messages about some inquiries, by the inquiry's key; three queries at most.

    A message is answered once every need it names is recorded, or somebody has said that they are, or that there is
    none in it; one that names another number beside a need only by the latter, for "two more" may be three in all. What
    somebody said is held to the list as it is now: a need that is not in it is asked about again, unless they said that
    it is no guest's.
    """
    every = {inquiry.pk: inquiry for inquiry in inquiries}
    rows = Message.objects.filter(quote__inquiry__in=every).exclude(kind=Message.Kind.REPLY).exclude(text="")
    columns = "quote_id", "text", "by", "at", "quote__inquiry_id", "quote__lines__product__name"
    texts: dict[int, tuple[int, str, str, datetime, int]] = {}
    sold: dict[int, set[str]] = {}
    for pk, quote, text, by, at, inquiry, name in rows.order_by("pk").values_list("pk", *columns):
        texts[pk] = quote, text, by, at, inquiry
        sold.setdefault(pk, set()).add(name or "")
    named = {pk: row for pk, row in texts.items() if may_name_need(row[1], sold[pk])}
    found: dict[int, list[MessageOpen]] = {}
    which = kitchen().allergen_list if named else ""
    settled = _settled({row[0] for row in named.values()}, which) if named else {}
    for pk, (quote, text, by, at, inquiry) in named.items():
        missing = missing_needs(text, which, every[inquiry].allergies, every[inquiry].guests)
        counted = _counted(text, every[inquiry])
        lacking = needs_lacking(text, which, every[inquiry])
        asked = lacking.keys() - settled.get(pk, frozenset())
        if asked if pk in settled else (missing or counted or not needs_in(text)):
            found.setdefault(inquiry, []).append(MessageOpen(pk, quote, text, by, at, missing, counted, lacking))
    return {inquiry: tuple(rows) for inquiry, rows in found.items()}


def check_answer(one: MessageOpen, inquiry: Inquiry, *, recorded: bool, no_guest: bool) -> None:
    """Refuse an answer to a message that the list does not bear out: that it is ``recorded``, or names no need.

    Raises NeedsNotInList, ListEmpty, NamesNeeds.
    """
    if recorded and one.lacking:
        raise NeedsNotInList(needs=dict(one.lacking))
    if recorded and not inquiry.allergies and not inquiry.allergy_note.strip():
        raise ListEmpty()
    if one.lacking and not no_guest:
        raise NamesNeeds(needs=dict(one.lacking))


def held_of(messages: Iterable[Message]) -> dict[int, dict[str, Any]]:
    """Return the messages that the service wrote when somebody wanted to approve, with what was noted; one query."""
    keys = {one.pk: one.quote_id for one in messages}
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=set(keys.values()), event=HELD)
    found = {params.get("message"): params for params in rows.values_list("params", flat=True)} if keys else {}
    return {pk: found[pk] for pk in keys if pk in found}


def messages_unread(inquiry: Inquiry, besides: Iterable[MessageOpen] = ()) -> tuple[Message, ...]:
    """Return what a customer wrote about an inquiry that nobody has read, whatever it says; ``besides`` left out."""
    left = {one.message for one in besides}
    return tuple(one for one in messages_unread_of([inquiry]).get(inquiry.pk, ()) if one.pk not in left)


def messages_unread_of(inquiries: Iterable[Inquiry]) -> dict[int, tuple[Message, ...]]:
    """Return what customers wrote that nobody has read, by the inquiry's key; one query."""
    rows = Message.objects.filter(quote__inquiry__in=[one.pk for one in inquiries], seen_at=None)
    found: dict[int, tuple[Message, ...]] = {}
    for one in rows.exclude(kind=Message.Kind.REPLY).exclude(text="").select_related("quote").order_by("pk"):
        found[one.quote.inquiry_id] = (*found.get(one.quote.inquiry_id, ()), one)
    return found


def messages_elsewhere(inquiries: Iterable[Inquiry]) -> dict[int, tuple[MessageOpen, ...]]:
    """Return what the same customers wrote about their other inquiries, by an inquiry's key; five queries.

    That is what nobody has read, and what may name a need that nobody has answered there and that is not recorded here.
    """
    every = [one for one in inquiries if one.closed_at is None]
    others = list(Inquiry.objects.filter(customer__in=[one.customer_id for one in every]))
    wrote = _wrote(others)
    which = kitchen().allergen_list if wrote else ""
    found: dict[int, tuple[MessageOpen, ...]] = {}
    for here in every:
        rows = [one for pk, customer, one in wrote if customer == here.customer_id and pk != here.pk]
        if shown := tuple(one for row in rows if (one := _seen_from(row, here, which)) is not None):
            found[here.pk] = shown
    return found


def _wrote(inquiries: Sequence[Inquiry]) -> list[tuple[int, int, MessageOpen]]:
    """Return what is open or unread of some inquiries, each with the inquiry and its customer, the oldest first."""
    open_, unread = messages_open(inquiries), messages_unread_of(inquiries)
    found = []
    for one in inquiries:
        rows = {wrote.message: wrote for wrote in open_.get(one.pk, ())}
        for new in unread.get(one.pk, ()):
            rows.setdefault(new.pk, MessageOpen(new.pk, new.quote_id, new.text, new.by, new.at))
        found += [(one.pk, one.customer_id, row) for row in rows.values()]
    return sorted(found, key=lambda row: row[2].message)


def _seen_from(one: MessageOpen, here: Inquiry, which: str) -> MessageOpen | None:
    """Return a message about another inquiry with what this one lacks of it; None where it has all that is named."""
    missing = missing_needs(one.text, which, here.allergies, here.guests)
    if needs_in(one.text) and not missing:
        return None
    return replace(one, missing=missing, counted=())


def reason_needs(text: str, inquiry: Inquiry) -> list[str]:
    """Return the needs that the owner's own words about an approval name and its inquiry does not have."""
    return (
        list(missing_needs(text, kitchen().allergen_list, inquiry.allergies, inquiry.guests))
        if may_name_need(text)
        else []
    )


def _settled(quotes: Collection[int], which: str) -> dict[int, frozenset[str]]:
    """Return the messages that somebody answered, each with the needs in it that are no guest's."""
    every = [code for code, _ in need_choices(which)]
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=quotes, event__in=(NO_NEED, RECORDED, HELD))
    found: dict[int, frozenset[str]] = {}
    for event, params in rows.order_by("pk").values_list("event", "params"):
        if "message" in params:
            named = every if event == HELD else params.get("no_guest", ())
            found[params["message"]] = found.get(params["message"], frozenset()) | frozenset(named)
    return found
