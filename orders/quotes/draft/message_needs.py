"""Customers' messages that may name what a guest cannot eat, and that nobody has answered: as a need, or as none."""

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from catalog.pantry.allergens import covered
from catalog.pantry.avoid_words import goes_on
from catalog.pantry.more_words import NeedNumber, need_numbers
from catalog.pantry.name_words import folded
from catalog.pantry.note_needs import needs_in, numbers_in
from catalog.pantry.other_needs import speaks_of_own
from catalog.pantry.other_words import may_name_any_need, needs_named
from catalog.pantry.plain_text import plain_text
from catalog.pantry.reaction_words import speaks_of_reaction
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.quotes.draft.needs_then import Needs, Wrote, needs_then
from orders.records.models import AuditEntry

#: Event of a quote's history: somebody read a message and found no need in it.
NO_NEED: Final = "no_need_in_message"
#: Event of a quote's history: somebody read a message, and recorded the needs in it.
RECORDED: Final = "message_recorded"
#: Event of a quote's history: the kitchen replied to a message, and stated nothing of what guests cannot eat.
REPLIED: Final = "message_replied"
#: Event of a quote's history: an approval was not possible, and the service wrote that down as a message.
HELD: Final = "approval_held"


@dataclass(frozen=True, slots=True)
class NeedChange:
    """A need with its guests as the message came (0: it was not recorded; None: nobody entered a number), and named.

    ``more`` are added to them; otherwise the message says a number, and maybe it is that of all. ``guests`` is then
    the number there should be at least.
    """

    code: str
    was: int | None
    number: int
    more: bool
    guests: int


@dataclass(frozen=True, slots=True)
class MessageOpen:
    """A message that may name a need: its words, and the needs recognized in them that the inquiry does not have.

    ``counted`` are needs it has, of which the message may say for how many guests: only somebody can tell. ``lacking``
    are those of ``missing``, and needs the inquiry has for fewer guests than the message names, or adds. ``changes``
    are what it says of numbers; it ``reacts`` where it speaks of a reaction.
    """

    message: int
    quote: int
    text: str
    by: str
    at: datetime
    missing: Mapping[str, int | None] = field(default_factory=dict)
    counted: tuple[str, ...] = ()
    lacking: Mapping[str, int | None] = field(default_factory=dict)
    changes: tuple[NeedChange, ...] = ()
    reacts: bool = False


#: Words by which there are more of them, or others.
_MORE: Final = re.compile(
    r"\b(?:more|another|additional|extra|weitere\w*|encore|otr[oa]s?|altr[oaie])\b"
    r"(?!\s+(?:things?|questions?|points?|notes?|requests?|details?|info\w*))",
    re.IGNORECASE,
)


#: Words for one person, in small letters without accents: perhaps one more than those recorded.
_SOMEBODY: Final = re.compile(
    r"\b(?:(?:grand|step|god)?(?:mother|father|son|daughter|child|kid|mum|mom|dad)|grand(?:ma|pa)|granny|nana|gramps|aunt\w*|uncle"
    r"|niece|nephew|boy|girl|baby|toddler|fiancee?"
    r"|cousin|sister|brother|wife|husband|partner|friend|colleague|neighbou?r|boss|bride|groom|best\s+man|bridesmaid|she|he|her|him"
    r"|one|(?:a|an|the|my|our)\s+guest|oma|opa|omi|opi|tante|onkel|nichte|neffe|cousine|kusine"
    r"|(?:schwieger|gross|stief|ur|paten)*(?:schwester|bruder|mutter|vater|mama|papa|tochter|sohn|kind|eltern)"
    r"|tochter|sohn|kind|frau|mann|freund(?:in)?|kollegin|kollege|(?:ein|der|mein)\s+gast|(?:grand-?)?(?:mere|pere)|oncle|soeur|frere"
    r"|fille|fils|enfant|mamie|papi|ami|amie|femme|mari|nonn[oa]|zi[oa]|sorella|fratello|figli[oa]|madre|padre|cugin[oa]|amic[oa]"
    r"|moglie|marito|abuel[oa]|ti[oa]|herman[oa]|hij[oa]|prim[oa]|amig[oa]|espos[oa]|oom|zus|broer|moeder|vader|dochter|zoon|vriend(?:in)?)\b"
)


#: A person by name, and what they cannot or have: in the six languages' plainest verbs.
_BY_NAME: Final = re.compile(
    r"\b(?!(?:It|This|That|There|Here|What|Who|He|She|We|You|They|Everyone|Everybody|Nobody|Everything|Nothing|Es|Das|Dies"
    r"|Wer|Was|Wir|Sie|Er|Ihr|Il|Elle|Cela|Nous|Vous|On)\b)[A-Z\u00c0-\u00dc][a-z\u00df-\u00ff]{1,20}\s+(?:can't|cannot|can\s+not"
    r"|doesn't|won't|mustn't|is|has|gets|turns|goes|carries|avoids|breaks|swells|reacts|vertr\u00e4gt|darf|kann|hat|ist|bekommt|isst|reagiert"
    r"|est|a|ne|n'|supporte)\b"
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
    if rest == text or may_name_any_need(rest) or needs_in(rest, inquiry.guests):
        return False
    somebody = _SOMEBODY.search(folded(rest)) or _PEOPLE.search(folded(rest))
    return not somebody and not _MORE.search(rest) and max(numbers_in(rest, inquiry.guests), default=0) < 2


#: Words for people, by which a number may be one of guests.
_PEOPLE: Final = re.compile(
    r"\b(?:guests?|people|persons?|adults?|children|kids|who|they|them|gaste?n?|leute|personen|kinder)\b"
)


def _counted(text: str, inquiry: Inquiry, then: Needs) -> tuple[str, ...]:
    """Return the needs of an inquiry that a text names beside another number of guests, "more", or somebody.

    ``then`` are the needs that were recorded as it was written.
    """
    if _of_dishes_alone(text, inquiry):
        return ()
    more, most = _MORE.search(text), max(numbers_in(text, inquiry.guests), default=0)
    needs = need_numbers(text, inquiry.guests)
    known = {code: one for code, one in needs.items() if any(covered(code) & covered(one) for one in inquiry.allergies)}
    counts, one_more = inquiry.need_counts, names_somebody(text)
    return tuple(
        code
        for code, one in known.items()
        if more
        or one.more
        or ((one.guests or most) != counts.get(code) and ((one.guests or most) > 1))
        # Of one person beside those that are recorded nobody can tell whether they are among them.
        or (one_more and (one.guests or most) < 2 and ((counts.get(code) or 0) > 1 or _among(code, then)))
    )


#: What refers to something that was written before: "another three like that".
_REFERS: Final = re.compile(
    r"\b(?:another|more|additional|also|same|too|like\s+(?:that|this|her|him|them)|as\s+well|only\s+eats?|won't\s+eat"
    r"|doesn't\s+eat|noch|auch|ebenso|gleiche[nrs]?|weitere[nrs]?|isst\s+nur|encore|aussi|autres?|pareil\w*|meme)\b"
)


def names_somebody(text: str) -> bool:
    """Return whether a text speaks of one person, perhaps one more than those who are recorded."""
    return _SOMEBODY.search(folded(text)) is not None or _BY_NAME.search(plain_text(text)) is not None


def refers_back(text: str) -> bool:
    """Return whether a text may mean what was written before it, such as one more guest with the same need."""
    return _REFERS.search(folded(text)) is not None


def _among(code: str, then: Needs) -> list[str]:
    """Return the needs among recorded ones that stand for a need: itself, or one that covers it."""
    return [one for one in then if one == code or covered(code) <= covered(one)]


def missing_needs(text: str, known: Collection[str], guests: int | None = None) -> dict[str, int | None]:
    """Return the needs that a text names and ``known`` ones do not cover, each with its number of guests.

    ``guests`` are those of the event: a number above is none of them. A need that is on no legal list of the kitchen's
    country is one all the same: whoever cannot eat it is ill of it.
    """
    served = [covered(code) for code in known]
    return {
        code: count
        for code, count in needs_named(text, guests).items()
        if not any(covered(code) <= one for one in served) and code not in known
    }


def needs_lacking(text: str, inquiry: Inquiry, changes: Collection[NeedChange], then: Needs) -> dict[str, int | None]:
    """Return the needs that a text names and an inquiry does not have, or not for at least that number of guests.

    A need that is recorded without a number stands for one guest, and for no number above. What a text adds counts
    beside what was recorded ``then``.
    """
    missing, counts = missing_needs(text, inquiry.allergies, inquiry.guests), inquiry.need_counts
    for one in changes:
        stand = _among(one.code, {code: counts.get(code) for code in inquiry.allergies})
        held = max((counts.get(code) or 1 for code in stand), default=0)
        apart = one.more and one.code not in then and (counts.get(one.code) or 0) >= one.number
        if held < one.guests and not apart:
            missing[one.code] = (
                one.guests if stand or one.code not in missing else max(one.guests, missing[one.code] or 0)
            )
    return missing


def _changes(numbers: Mapping[str, NeedNumber], then: Needs, before: Mapping[str, int]) -> tuple[NeedChange, ...]:
    """Return what the numbers of a message say beside what was recorded ``then``, or waited to be: ``before``."""
    found = []
    for code, one in numbers.items():
        if one.guests is None:
            continue
        stand = _among(code, then)
        was = max((then[known] or 1 for known in stand), default=0)
        stated = None if stand and all(then[known] is None for known in stand) else was
        if before.get(code, 0) > was:
            was = stated = before[code]
        if one.besides and not was:
            continue  # "the Fays are vegan, and two more": more than two, and nobody can tell how many
        found.append(NeedChange(code, stated, one.guests, one.more, was + one.guests if one.more else one.guests))
    return tuple(found)


def _changes_of(
    texts: Mapping[int, tuple[str, Inquiry, datetime]], then: Mapping[int, Needs], settled: Mapping[int, "_Answered"]
) -> dict[int, tuple[NeedChange, ...]]:
    """Return what messages say of numbers, the oldest first; what one adds counts for those before its answer."""
    found: dict[int, tuple[NeedChange, ...]] = {}
    waiting: dict[tuple[int, str], list[tuple[int, datetime | None]]] = {}
    for pk, (text, inquiry, at) in texts.items():
        before: dict[str, int] = {}
        for (of, code), sums in waiting.items():
            held = [guests for guests, until in sums if of == inquiry.pk and (until is None or until >= at)]
            before |= {code: max(held)} if held else {}
        numbers = {} if _of_dishes_alone(text, inquiry) else need_numbers(text, inquiry.guests)
        found[pk] = _changes(numbers, then.get(pk, {}), before)
        answer = settled.get(pk)
        for one in found[pk]:
            if one.more and not (answer and (one.code in answer.no_guest or not answer.recorded)):
                waiting.setdefault((inquiry.pk, one.code), []).append((one.guests, answer.at if answer else None))
    return found


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
    named: dict[int, tuple[int, str, str, datetime, int]] = {}
    # "And her sister too" is of a need where one is known, or where a message before names one.
    known = {pk for pk, one in every.items() if one.allergies or one.allergy_note.strip()}
    for pk, row in texts.items():
        own = speaks_of_own(row[1], every[row[4]].allergies)
        if own or may_name_any_need(row[1], sold[pk]) or (row[4] in known and goes_on(row[1])):
            named[pk] = row
            known.add(row[4])
    found: dict[int, list[MessageOpen]] = {}
    settled = _settled({row[0] for row in named.values()}) if named else {}
    asked_of = {
        pk: Wrote(quote, every[inquiry], at)
        for pk, (quote, text, _, at, inquiry) in named.items()
        if names_somebody(text) or any(one.more or (one.guests or 0) > 1 for one in need_numbers(text).values())
    }
    then = needs_then(asked_of)
    numbers = _changes_of({pk: (text, every[of], at) for pk, (_, text, _, at, of) in named.items()}, then, settled)
    for pk, (quote, text, by, at, inquiry) in named.items():
        here, needs = every[inquiry], then.get(pk, {})
        missing = missing_needs(text, here.allergies, here.guests)
        counted = _counted(text, here, needs)
        lacking = needs_lacking(text, here, numbers[pk], needs)
        answer = settled.get(pk)
        asked = answer is not None and not answer.held and bool(lacking.keys() - answer.no_guest)
        if asked if answer is not None else (missing or counted or lacking or not needs_in(text)):
            one = MessageOpen(pk, quote, text, by, at, missing, counted, lacking, numbers[pk], speaks_of_reaction(text))
            found.setdefault(inquiry, []).append(one)
    return {inquiry: tuple(rows) for inquiry, rows in found.items()}


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
    found: dict[int, tuple[MessageOpen, ...]] = {}
    for here in every:
        rows = [one for pk, customer, one in wrote if customer == here.customer_id and pk != here.pk]
        if shown := tuple(one for row in rows if (one := _seen_from(row, here)) is not None):
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


def _seen_from(one: MessageOpen, here: Inquiry) -> MessageOpen | None:
    """Return a message about another inquiry with what this one lacks of it; None where it has all that is named."""
    missing = missing_needs(one.text, here.allergies, here.guests)
    if needs_in(one.text) and not missing:
        return None
    return replace(one, missing=missing, counted=())


def reason_needs(text: str, inquiry: Inquiry) -> list[str]:
    """Return the needs that the owner's words about an approval name and its inquiry lacks, or has for other guests."""
    if not may_name_any_need(text):
        return []
    now = _INSTEAD.sub(" ", plain_text(text))
    known = [code for code in needs_in(text) if _has_other_number(now, code, inquiry)]
    return list(dict.fromkeys([*missing_needs(text, inquiry.allergies, inquiry.guests), *known]))


#: A number that there was before: "three instead of one".
_INSTEAD: Final = re.compile(r"\b(?:instead\s+of|rather\s+than|statt|au\s+lieu\s+de)\s+\w+", re.IGNORECASE)
_SENTENCE: Final = re.compile(r"[.!?;\n]+")


def _has_other_number(text: str, code: str, inquiry: Inquiry) -> bool:
    """Return whether a text says more, or another number than the list, where it speaks of a need or of people."""
    count = inquiry.need_counts.get(code)
    return any(
        _MORE.search(one) or any(number != count for number in numbers_in(one, inquiry.guests))
        for one in _SENTENCE.split(text)
        if code in needs_in(one) or _PEOPLE.search(folded(one))
    )


@dataclass(frozen=True, slots=True)
class _Answered:
    """How somebody answered a message: the needs in it that are no guest's, whether the list has the others, when.

    ``held`` is what the service wrote itself, of which nothing is asked.
    """

    no_guest: frozenset[str]
    recorded: bool
    at: datetime
    held: bool = False


def _settled(quotes: Collection[int]) -> dict[int, _Answered]:
    """Return the messages that somebody answered, each with its answer."""
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=quotes, event__in=(NO_NEED, RECORDED, HELD))
    found: dict[int, _Answered] = {}
    for event, params, at in rows.order_by("pk").values_list("event", "params", "at"):
        if "message" in params:
            before = found.get(params["message"])
            none = frozenset(params.get("no_guest", ())) | (before.no_guest if before else frozenset())
            held = event == HELD or (before is not None and before.held)
            found[params["message"]] = _Answered(none, event == RECORDED, at, held)
    return found
