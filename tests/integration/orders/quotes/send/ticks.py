"""What is ticked on the page that sends a quote."""

from datetime import datetime

from orders.quotes.cooling.perishables import unstated_mark
from orders.quotes.models import Quote
from orders.quotes.selectors import quotes_with_rows
from orders.quotes.send.check import send_check
from tests.factories import NOW


def ticks(quote: Quote, at: datetime = NOW) -> dict[str, str]:
    """Return the ticks: nobody asked, what guests cannot eat was seen, and what has no word on how it is kept."""
    return {
        "not_asked": "on",
        "allergies": "on",
        "unstated": unstated_mark(send_check(quotes_with_rows().get(pk=quote.pk), at=at).unstated),
    }
