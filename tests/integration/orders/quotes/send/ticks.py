"""What is ticked on the page that sends a quote."""

from datetime import datetime
from typing import Any

from orders.quotes.cooling.perishables import unstated_mark
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from tests.factories import NOW


def ticks(quote: Quote, at: datetime = NOW) -> dict[str, Any]:
    """Return all ticks: nobody asked, needs seen, what has no word on how it is kept, all words read."""
    check = send_check(quotes_with_rows().get(pk=quote.pk), at=at)
    return {
        "not_asked": "on",
        "allergies": "on",
        "unstated": unstated_mark(check.unstated),
        "read": [one.mark for one in check.to_read],
    }
