"""Customers' messages that may name what a guest cannot eat, and that nobody has answered: as a need, or as none."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from catalog.kitchen.selectors import kitchen
from catalog.pantry.allergens import covered, need_choices
from catalog.pantry.note_needs import may_name_need, needs_in
from orders.approvals.models import Message
from orders.inquiries.models import Inquiry
from orders.records.models import AuditEntry

#: Event of a quote's history: somebody read a message and found no need in it.
NO_NEED: Final = "no_need_in_message"
#: Event of a quote's history: an approval was not possible, and the service wrote that down as a message.
HELD: Final = "approval_held"


@dataclass(frozen=True, slots=True)
class MessageOpen:
    """A message that may name a need: its words, and the needs recognized in them that the inquiry does not have."""

    message: int
    quote: int
    text: str
    by: str
    at: datetime
    missing: Mapping[str, int | None] = field(default_factory=dict)


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

    A message is answered once every need it names is recorded, or somebody has found none in it.
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
        if pk not in settled and (missing or not needs_in(text)):
            found.setdefault(inquiry, []).append(MessageOpen(pk, quote, text, by, at, missing))
    return {inquiry: tuple(rows) for inquiry, rows in found.items()}


def messages_unread(inquiry: Inquiry, besides: Iterable[MessageOpen] = ()) -> tuple[Message, ...]:
    """Return what a customer wrote about an inquiry that nobody has read, whatever it says; ``besides`` left out."""
    rows = Message.objects.filter(quote__inquiry=inquiry, seen_at=None).exclude(kind=Message.Kind.REPLY)
    return tuple(rows.exclude(text="").exclude(pk__in=[one.message for one in besides]).order_by("pk"))


def reason_needs(text: str, inquiry: Inquiry) -> list[str]:
    """Return the needs that the owner's own words about an approval name and its inquiry does not have."""
    return list(missing_needs(text, kitchen().allergen_list, inquiry.allergies)) if may_name_need(text) else []


def _settled(quotes: Collection[int]) -> frozenset[int]:
    rows = AuditEntry.objects.filter(document="quote", document_pk__in=quotes, event__in=(NO_NEED, HELD))
    return frozenset(params["message"] for params in rows.values_list("params", flat=True) if "message" in params)
