"""What has to be served before the window of its delivery ends: for the owner, while another window can be chosen."""

from datetime import timedelta

from django.utils.translation import gettext

from catalog.kitchen.models import Kitchen
from catalog.web import display
from orders.documents.content import QuoteContent
from orders.inquiries.models import Inquiry
from orders.quotes.draft.cooling import out_from


def served_early_words(content: QuoteContent, inquiry: Inquiry, kitchen: Kitchen) -> str:
    """Write which desserts are out of the cold too long by the end of the window, and what fits; empty for none."""
    out = {line.name: line.out_minutes for line in content.lines if line.out_minutes and not line.until_warm}
    leaves = out_from(inquiry, kitchen).moment
    if leaves is None:
        return ""
    by = {name: leaves + timedelta(minutes=minutes) for name, minutes in out.items()}
    late = [name for name, moment in by.items() if moment < inquiry.window_end]
    if not late:
        return ""
    first = min(by.values())
    words = gettext(
        "%(names)s: to be served by %(by)s, but the delivery may come as late as %(ends)s. What would fit: %(ways)s."
    )
    minutes = int((first - inquiry.window_start).total_seconds() // 60)
    ways = [
        *([gettext("a delivery window of at most %(n)s") % {"n": display.duration(minutes)}] if minutes > 0 else []),
        gettext("a shorter trip or less setup time"),
        *([] if kitchen.vehicle_cold else [gettext("a refrigerated vehicle")]),
    ]
    facts = {"by": display.clock(first), "ends": display.clock(inquiry.window_end), "ways": "; ".join(ways)}
    return words % {"names": display.joined(late), **facts}
