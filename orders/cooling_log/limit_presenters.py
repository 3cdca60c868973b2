"""Today's limit of time out of the cold in words: in a quote's holding text, and where a window is too late."""

from dataclasses import replace

from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.web import display
from orders.cooling_log.limits import LateLimit, by_today, is_shorter, limits_now, units_sent
from orders.documents.content import QuoteContent
from orders.inquiries.models import Inquiry
from orders.quotes.draft.cooling import out_from
from orders.quotes.draft.holding_words import holding_words


def used_up_words(minutes: float) -> str:
    """Write that a dessert has no time out of the cold left: its own steps have it out for so long [min]."""
    return gettext(
        "Its time out of the cold is used up: its own steps have it out for %(time)s. Keep it cold; ask before it"
        " leaves."
    ) % {"time": display.duration(minutes)}


def late_limit_words(late: LateLimit) -> str:
    """Write that a limit entered since does not fit the window, and what helps."""
    return gettext(
        "By your limit of %(limit)s, to be eaten by %(until)s: %(names)s. The window lasts until %(end)s. Change the"
        " window or tell the customer."
    ) % {
        "limit": display.duration(late.minutes),
        "until": display.clock(late.until),
        "names": display.joined(late.names),
        "end": display.clock(late.window_end),
    }


def content_by_today(content: QuoteContent, inquiry: Inquiry, home: Kitchen) -> tuple[QuoteContent, str]:
    """Return a content with the limits in force today where they are shorter, and the desserts
    that have one, in words."""
    (limits,), begins = limits_now([units_sent(content)]), out_from(inquiry, home)
    lines = tuple(by_today(line, limits.get(line.product), begins, holding_words) for line in content.lines)
    names = tuple(line.name for line in content.lines if is_shorter(line, limits.get(line.product)))
    return (replace(content, lines=lines), display.joined(names)) if names else (content, "")
