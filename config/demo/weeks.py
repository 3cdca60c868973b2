"""Three weeks ahead that look like work, counted from the day on which the demo is prepared."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from math import inf
from typing import Final, NamedTuple

from catalog.outbox.models import Outbox
from config.demo import days, stories
from config.demo.courses import Course, to_order
from config.demo.measured import overrides_recorded
from config.demo.people import PEOPLE, PLACES
from config.demo.stories import Story
from orders.orders.models import Order
from orders.planning.services import window_check_ask, window_check_make
from orders.quotes.models import Quote

_RINGED: Final = "chocolate-hazelnut-10"


class Event(NamedTuple):
    """An event: who (a place in the list), hour, guests, table, the place it is delivered to (or None), and cakes."""

    person: int
    hour: int
    guests: int
    table: int | None
    place: int | None = None
    cakes: tuple[tuple[str, int], ...] = ()


#: The Saturday of the second week: six tables, which its people can just make.
SIX: Final = (
    Event(14, 10, 48, 1),
    Event(20, 11, 84, 3),
    Event(10, 12, 60, 2, 1),
    Event(19, 13, 72, 4),
    Event(22, 14, 96, 3, 4),
    Event(18, 17, 60, 5, 3),
)
#: The third week is too full: days before its Saturday, and an event whose cakes stand overnight in the largest rings.
FULL: Final = (
    (1, Event(11, 14, 60, None, None, ((_RINGED, 4),))),
    (0, Event(4, 11, 60, None, None, ((_RINGED, 4),))),
    (0, Event(7, 13, 60, 5)),
)
#: A table more than the people of the second Saturday can make, as far as anybody knows.
WE_CHECK: Final = Event(12, 15, 130, 4)
#: Cakes for which the rings of the third week are too few beside these.
REFUSED: Final = Event(8, 15, 140, None, None, ((_RINGED, 12),))


def weeks_ahead(today: date) -> Iterator[Course[Order]]:
    """Return the confirmed orders of the second and the third week."""
    _, six, full = days.weeks(today)
    for number, event in enumerate(SIX, start=131):
        yield to_order(story_of(number, event, six), reserve_day=True)
    for number, (before, event) in enumerate(FULL, start=141):
        yield to_order(story_of(number, event, full - timedelta(days=before)), reserve_day=True)


def wishes(today: date, now: datetime) -> tuple[Quote, Quote]:
    """Build two drafts for times that are hard: one that has to be checked, one that is refused."""
    _, six, full = days.weeks(today)
    checked, refused = _wish(story_of(151, WE_CHECK, six), now), _wish(story_of(152, REFUSED, full), now)
    # Answered without a clock: the proof is there on a slow machine too. The other one the background looks at.
    asked = Outbox.objects.get(kind="window_check", about=f"quote:{refused.pk}")
    window_check_make(row=asked, at=now, seconds=inf)
    return checked, refused


def _wish(story: Story, now: datetime) -> Quote:
    inquired = stories.inquired(story, now - timedelta(hours=30))
    quote = stories.composed(story, inquired, now - timedelta(hours=5))
    overrides_recorded(quote, by=stories.OWNER, at=now - timedelta(hours=4))
    window_check_ask(quote_id=quote.pk, at=now)
    return quote


def story_of(number: int, event: Event, day: date) -> Story:
    """Return an event as a story."""
    return Story(
        number=number,
        person=PEOPLE[event.person],
        place=PLACES[event.place or 0],
        day=day,
        hour=event.hour,
        guests=event.guests,
        table=event.table,
        pickup=event.place is None,
        cakes=event.cakes,
    )
