"""When somebody works."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, time

from catalog.models import ClosedDay, OpenHours


def hours_by_weekday() -> Mapping[int, list[tuple[time, time]]]:
    """Return the intervals of each weekday (0 is Monday) in their order; one query."""
    week: dict[int, list[tuple[time, time]]] = defaultdict(list)
    for weekday, opens, closes in OpenHours.objects.values_list("weekday", "opens", "closes"):
        week[weekday].append((opens, closes))
    return week


def closed_days(*, since: date) -> dict[date, str]:
    """Return the days from a date on that nobody works, with their reason; one query."""
    return dict(ClosedDay.objects.filter(date__gte=since).values_list("date", "reason"))
