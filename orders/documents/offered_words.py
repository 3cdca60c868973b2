"""The windows that a quote offers, in words."""

from dataclasses import dataclass

from django.utils.translation import gettext

from catalog.web import display
from orders.documents.agreed import at_window
from orders.documents.content import QuoteContent


@dataclass(frozen=True, slots=True)
class TimeShown:
    """When one of the windows is, and the dates that are others with it."""

    words: str
    dates: str


def times_shown(content: QuoteContent) -> list[TimeShown]:
    """Write the windows to choose from, the one asked for first; nothing where there is no choice."""
    if not content.offered:
        return []
    each = (at_window(content, number) for number in range(len(content.offered) + 1))
    return [
        TimeShown(display.window(one.event.window_start, one.event.window_end), dates_words(content, one))
        for one in each
    ]


def dates_words(content: QuoteContent, one: QuoteContent) -> str:
    """Write the dates that are others with a window than with the one that was asked for; empty where none is."""
    words = []
    if one.final_count_on and one.final_count_on != content.final_count_on:
        words.append(gettext("Final number of guests by %(day)s.") % {"day": display.day(one.final_count_on)})
    for was, now in zip(content.payments_before, one.payments_before, strict=True):
        if now.due_on != was.due_on:
            facts = {"amount": display.minor(now.amount_minor, one.currency), "day": display.day(now.due_on)}
            words.append(gettext("%(amount)s by %(day)s.") % facts)
    if not one.deposit_minor or not one.deposit_latest_on or one.deposit_latest_on == content.deposit_latest_on:
        return " ".join(words)
    if one.deposit_latest_on <= content.sent_at.date():
        words.append(gettext("Deposit when you approve."))
    else:
        words.append(gettext("Deposit by %(day)s at the latest.") % {"day": display.day(one.deposit_latest_on)})
    return " ".join(words)
