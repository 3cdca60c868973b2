"""Customers' messages that may name what a guest cannot eat, and that nobody has answered: as a need, or as none."""

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from catalog.kitchen.selectors import kitchen
from catalog.pantry.allergens import covered, need_choices
from catalog.pantry.note_needs import may_name_need, needs_in, numbers_in
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.records.models import AuditEntry

#: Event of a quote's history: somebody read a message and found no need in it.
NO_NEED: Final = "no_need_in_message"
#: Event of a quote's history: an approval was not possible, and the service wrote that down as a message.
HELD: Final = "approval_held"


@dataclass(frozen=True, slots=True)
class MessageOpen:
    """A message that may name a need: its words, and the needs recognized in them that the inquiry does not have.

    ``counted`` are needs it has, of which the message may say for how many guests: only somebody can tell.
    """

    message: int
    quote: int
    text: str
    by: str
    at: datetime
    missing: Mapping[str, int | None] = field(default_factory=dict)
    counted: tuple[str, ...] = ()


#: Words by which there are more of them, or others.
_MORE: Final = re.compile(
    r"\b(?:more|another|additional|extra|weitere\w*|encore|otr[oa]s?|altr[oaie])\b"
    r"(?!\s+(?:things?|questions?|points?|notes?|requests?|details?|info\w*))",
    re.IGNORECASE,
)


def _counted(text: str, inquiry: Inquiry) -> tuple[str, ...]:
    """Return the needs of an inquiry that a text names beside another number of guests, or beside "more"."""
    more, most = _MORE.search(text), max(numbers_in(text), default=0)
    needs = [code for code in needs_in(text) if any(covered(code) & covered(one) for one in inquiry.allergies)]
    return tuple(code for code in needs if more or (most > 1 and most != inquiry.need_counts.get(code)))


def missing_needs(text: str, which: str, known: Collection[str]) -> dict[str, int | None]:
    """Return the needs that a text names and ``known`` ones do not cover, each with its number of guests."""
    asked = {code for code, _ in need_choices(which)}
    served = [covered(code) for code in known]
    return {
        code: count
        for code, count in needs_in(text).items()
        if code in asked and not any(covered(code) <= one for one in served) and code not in known
    }


def messages_open(inquiries: Iterable[Inquiry]) -> dict[int, tuple[MessageOpen, ...]]:
    """Return what is open of customers' messages about some inquiries, by the inquiry's key; three queries at most.

    A message is answered once every need it names is recorded, or somebody has found none in it; one that names a
    number beside a need only by the latter, for "two more" may be three in all.
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
    settled = _settled({row[0] for row in named.values()}) if named else frozenset()
    which = kitchen().allergen_list if named else ""
    for pk, (quote, text, by, at, inquiry) in named.items():
        missing = missing_needs(text, which, every[inquiry].allergies)
        counted = _counted(text, every[inquiry])
        if pk not in settled and (missing or counted or not needs_in(text)):
            found.setdefault(inquiry, []).append(MessageOpen(pk, quote, text, by, at, missing, counted))
    return {inquiry: tuple(rows) for inquiry, rows in found.items()}


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


def reason_needs(text: str, inquiry: Inquiry) -> list[str]:
    """Return the needs that the owner's own words about an approval name and its inquiry does not have."""
    return list(missing_needs(text, kitchen().allergen_list, inquiry.allergies)) if may_name_need(text) else []


def _settled(quotes: Collection[int]) -> frozenset[int]:
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=quotes, event__in=(NO_NEED, HELD))
    return frozenset(params["message"] for params in rows.values_list("params", flat=True) if "message" in params)
