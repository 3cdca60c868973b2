"""Opening hours and closed days."""

from collections.abc import Sequence
from datetime import date, time

from django.db import transaction

from catalog.models import ClosedDay, OpenHours


@transaction.atomic(durable=True)
def hours_save(*, intervals: Sequence[tuple[int, time, time]], closed: Sequence[tuple[date, str]]) -> None:
    """Write the week and the closed days anew: intervals of weekday (0 is Monday), from, to; days with their reason."""
    OpenHours.objects.all().delete()
    OpenHours.objects.bulk_create(
        OpenHours(weekday=weekday, opens=opens, closes=closes) for weekday, opens, closes in sorted(intervals)
    )
    ClosedDay.objects.all().delete()
    ClosedDay.objects.bulk_create(ClosedDay(date=day, reason=reason) for day, reason in sorted(closed))
