"""Which of a kitchen's cancellation terms can still apply to an event, with their dates; the terms are the owner's."""

import re
from collections.abc import Callable
from datetime import date, timedelta
from typing import Final

from django.utils.translation import gettext

from catalog.kitchen.cancellation import RetainedRow
from catalog.web import display
from orders.documents.content import QuoteContent
from orders.quotes.terms.retained import RetainedSpan, retained_spans

#: Days before the event as people write them in English: until one, between two, from one on.
_UNTIL: Final = re.compile(r"\b(?:up to|until|at least|more than) (\d{1,3}) days? before\b", re.IGNORECASE)
_BETWEEN: Final = re.compile(r"\b(?:from|between) (\d{1,3}) (?:to|and|until) (\d{1,3}) days? before\b", re.IGNORECASE)
_FROM: Final = re.compile(r"\b(?:within|less than|fewer than) (\d{1,3}) days?\b", re.IGNORECASE)


#: Words that stand for something named before.
_REFERS: Final = re.compile(r"\b(?:it|them|this|that|these|those|then|so|also)\b", re.IGNORECASE)


def cancellation_now(content: QuoteContent) -> list[str]:
    """Write the sentences of the terms that can still apply from the day of sending on, each with its dates.

    Empty where all of them can, or where any sentence does not say for which days it is: then the text stands alone.
    """
    event, today = content.event.window_start.date(), content.sent_at.date()
    sentences = [one for one in re.split(r"(?<=[.!;])\s+|\n+", content.cancellation_terms.strip()) if one]
    found = [_dated(one, event, today) for one in sentences]
    if len(found) < 2 or None in found or all(found):
        return []
    if any(_REFERS.search(one) for one in found if one):
        # What it refers to may stand in a sentence that is left out: "we keep it".
        return []
    return [one for one in found if one]


def cancellation_rows(content: QuoteContent) -> list[str]:
    """Write the cancellation table for this event, a sentence for each row that can still apply when it is sent.

    Empty without a table.
    """
    spans = retained_spans(
        content.cancellation_table,
        event=content.event.window_start.date(),
        today=content.sent_at.date(),
        total_minor=content.total_minor,
    )
    return [span_words(span, content.currency) for span in spans]


def span_words(span: RetainedSpan, currency: str) -> str:
    """Write between which dates an order can be canceled, and what is charged then."""
    facts = {
        "first": display.day(span.first),
        "last": display.day(span.last),
        "charge": charge_words(span.row, span.retained_minor, currency),
    }
    if span.first is not None and span.last is not None:
        one, several = (
            gettext("Canceled on %(first)s: %(charge)s."),
            gettext("Canceled %(first)s to %(last)s: %(charge)s."),
        )
        return (one if span.first == span.last else several) % facts
    if span.last is not None:
        return gettext("Canceled on or before %(last)s: %(charge)s.") % facts
    if span.first is not None:
        return gettext("Canceled on or after %(first)s: %(charge)s.") % facts
    return gettext("If it is canceled: %(charge)s.") % facts


def charge_words(row: RetainedRow | None, retained_minor: int, currency: str) -> str:
    """Write what a row charges: its share of the total, and the amount."""
    if row is None or not row.share:
        return gettext("no charge")
    facts = {"share": display.rate(row.share), "amount": display.minor(retained_minor, currency)}
    return gettext("%(share)s of the total is charged (%(amount)s)") % facts


def _dated(sentence: str, event: date, today: date) -> str | None:
    """Return a sentence with its dates; empty where its days are over, None where it does not say which they are."""
    for pattern, ends in _PATTERNS:
        if match := pattern.search(sentence):
            first, last = ends(event, *(int(number) for number in match.groups()))
            if last is not None and last < today:
                return ""
            words = _days(first if first is not None and first > today else None, last)
            return f"{sentence[: match.end()]}{words}{sentence[match.end() :]}"
    return None


def _days(first: date | None, last: date | None) -> str:
    if first is not None and last is not None:
        facts = {"first": display.day(first), "last": display.day(last)}
        return gettext(" (%(first)s to %(last)s)") % facts
    if last is not None:
        return gettext(" (until %(last)s)") % {"last": display.day(last)}
    return "" if first is None else gettext(" (from %(first)s)") % {"first": display.day(first)}


Ends = tuple[date | None, date | None]


def _before(event: date, days: int) -> date:
    return event - timedelta(days=days)


#: Pattern -> the first and the last day of its sentence, by the event's day; None where it has none.
_PATTERNS: Final[tuple[tuple[re.Pattern[str], Callable[..., Ends]], ...]] = (
    (_BETWEEN, lambda event, most, least: (_before(event, max(most, least)), _before(event, min(most, least)))),
    (_UNTIL, lambda event, days: (None, _before(event, days))),
    (_FROM, lambda event, days: (_before(event, days), None)),
)
