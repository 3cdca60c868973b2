"""The most events and guests of a day that the owner wants, against what is confirmed for it and one inquiry more."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from catalog.kitchen.models import Kitchen
from catalog.kitchen.selectors import kitchen_zone, local_day
from catalog.records.reasons import Reason
from catalog.records.versions import version_mark
from orders.inquiries.models import Inquiry
from orders.orders.models import Order
from orders.records.states import OrderStatus


@dataclass(frozen=True, slots=True)
class DayOver:
    """A day with more than the most that the owner wants: its events and guests with this one, and what is confirmed.

    ``most_events`` and ``most_guests`` are None where that limit holds.
    """

    day: date
    events: int
    guests: int
    most_events: int | None
    most_guests: int | None
    confirmed: tuple[str, ...]

    @property
    def mark(self) -> str:
        """A mark of all of it: who acknowledges it, acknowledges just this."""
        figures = (self.events, self.guests, self.most_events, self.most_guests)
        return version_mark([self.day.isoformat(), *map(str, figures), *self.confirmed])

    @property
    def reason(self) -> Reason:
        """Which limits are exceeded, by what."""
        over = [name for name in ("events", "guests") if getattr(self, f"most_{name}") is not None]
        code = f"over_{over[0]}" if len(over) == 1 else "over_both"
        figures = {name: getattr(self, name) for name in ("events", "guests", "most_events", "most_guests")}
        has = Reason("day_has", {"orders": list(self.confirmed)}) if self.confirmed else Reason("day_has_none")
        return Reason(code, {"day": self.day, **figures, "confirmed": has})


def day_over(inquiry: Inquiry, kitchen: Kitchen, *, guests: int | None = None) -> DayOver | None:
    """Return by what an inquiry goes beyond the most of its day; None where it does not, or there is no limit.

    Orders of the day count that were not canceled, without one of this inquiry. ``guests`` are those in the form,
    saved or not; what is not known counts as none. One query where there is a limit.
    """
    if kitchen.most_events_per_day is None and kitchen.most_guests_per_day is None:
        return None
    zone = kitchen_zone()
    day = local_day(inquiry.window_start, zone)
    begin, end = (datetime.combine(day + timedelta(days=days), time.min, tzinfo=zone) for days in (0, 1))
    found = Order.objects.exclude(status=OrderStatus.CANCELED).exclude(quote__inquiry=inquiry.pk)
    found = found.filter(window_start__gte=begin, window_start__lt=end).order_by("window_start", "pk")
    rows = list(found.values_list("title", "quote__inquiry__guests"))
    events = len(rows) + 1
    people = sum(invited or 0 for _title, invited in rows) + (guests or inquiry.guests or 0)
    most_events = _exceeded(events, kitchen.most_events_per_day)
    most_guests = _exceeded(people, kitchen.most_guests_per_day)
    if most_events is None and most_guests is None:
        return None
    return DayOver(day, events, people, most_events, most_guests, tuple(title for title, _invited in rows))


def _exceeded(count: int, most: int | None) -> int | None:
    return most if most is not None and count > most else None
