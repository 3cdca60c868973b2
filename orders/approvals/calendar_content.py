"""The agreed hand-over as a calendar file (RFC 5545), without a request to answer (RFC 5546 section 3.2.1)."""

from datetime import UTC

from django.utils.translation import gettext
from icalendar import Calendar, Event, vCalAddress, vText

from catalog.web import display
from orders.documents.content import QuoteContent
from orders.orders.models import Order


def calendar_file(*, order: Order, content: QuoteContent) -> bytes:
    """Write the hand-over of an order as a calendar entry; the same order always gives the same entry."""
    event = Event()
    # A stable identifier without a host name (RFC 7986 section 5.3): a second import replaces the first.
    event.add("uid", f"{order.quote.content_sha256[:32]}-{order.pk}")
    event.add("sequence", 0)
    event.add("dtstamp", order.confirmed_at.astimezone(UTC))
    event.add("dtstart", order.window_start.astimezone(UTC))
    event.add("dtend", order.window_end.astimezone(UTC))
    event.add("summary", f"{_verb(content)}: {content.event.title}")
    if content.event.place:
        event.add("location", content.event.place)
    event.add("description", _description(order, content))
    event.add("status", "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    organizer = vCalAddress(f"mailto:{content.kitchen.email}")
    organizer.params["CN"] = vText(content.kitchen.name)
    event["organizer"] = organizer
    calendar = Calendar()
    calendar.add("prodid", "-//Coldset//Agreed day//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add_component(event)
    return bytes(calendar.to_ical())


def _verb(content: QuoteContent) -> str:
    return gettext("Pick up desserts") if content.event.hand_over == "pickup" else gettext("Dessert delivery")


def _description(order: Order, content: QuoteContent) -> str:
    table = "\n".join(f"{line.units} × {line.name}" for line in content.lines)
    head = gettext("Order %(number)s, %(kitchen)s, %(contact)s") % {
        "number": order.number,
        "kitchen": content.kitchen.name,
        "contact": content.kitchen.phone or content.kitchen.email,
    }
    return f"{head}\n{display.window(content.event.window_start, content.event.window_end)}\n{table}"
