"""The needs that an inquiry had when a customer wrote: to them a message that says "two more" adds."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from orders.inquiries.models import Inquiry
from orders.quotes.models import Quote
from orders.records.models import AuditEntry

#: Needs with their numbers of guests, None where nobody entered one.
Needs = Mapping[str, int | None]


@dataclass(frozen=True, slots=True)
class Wrote:
    """A message: the quote and the inquiry it is about, and when it came."""

    quote: int
    inquiry: Inquiry
    at: datetime


def needs_then(messages: Mapping[int, Wrote]) -> dict[int, Needs]:
    """Return by message the needs that were recorded as it came; two queries, none where there is no message.

    They are those that its quote names; where the inquiry was changed after it was sent and before the message, and not
    since, those of today. History has no needs in it, for they are erased with a person's data.
    """
    if not messages:
        return {}
    sent = _of_quotes({one.quote for one in messages.values()})
    changed = _changed({one.inquiry.pk for one in messages.values()})
    found = {}
    for message, wrote in messages.items():
        at, needs = sent.get(wrote.quote, (None, {}))
        moments = changed.get(wrote.inquiry.pk, ())
        before = any((at is None or at < moment) and moment < wrote.at for moment in moments)
        if before and not any(moment >= wrote.at for moment in moments):
            needs = {code: wrote.inquiry.need_counts.get(code) for code in wrote.inquiry.allergies}
        found[message] = needs
    return found


def _of_quotes(quotes: Iterable[int]) -> dict[int, tuple[datetime | None, Needs]]:
    rows = Quote.objects.filter(pk__in=quotes).exclude(content="").values_list("pk", "sent_at", "content")
    found: dict[int, tuple[datetime | None, Needs]] = {}
    for quote, at, content in rows:
        data = json.loads(content)
        counts = {need["need"]: need.get("guests") for need in data.get("needs") or ()}
        named = (data.get("event") or {}).get("allergies") or ()
        found[quote] = at, {code: counts.get(code) for code in named} | counts
    return found


def _changed(inquiries: Iterable[int]) -> dict[int, list[datetime]]:
    rows = AuditEntry.objects.filter(document="inquiry", document_pk__in=inquiries, event="change")
    found: dict[int, list[datetime]] = {}
    for inquiry, at in rows.values_list("document_pk", "at"):
        found.setdefault(inquiry, []).append(at)
    return found
