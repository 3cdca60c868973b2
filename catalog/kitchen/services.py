"""The kitchen's profile, its opening hours and closed days."""

from collections.abc import Sequence
from datetime import date, time
from typing import Any

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.kitchen.selectors import currency_locked
from catalog.records.errors import CurrencyLocked


@transaction.atomic(durable=True)
def hours_save(*, intervals: Sequence[tuple[int, time, time]], closed: Sequence[tuple[date, str]]) -> None:
    """Replace the week and the closed days: intervals of weekday (0 is Monday), from, to; days with their reason."""
    OpenHours.objects.all().delete()
    OpenHours.objects.bulk_create(
        OpenHours(weekday=weekday, opens=opens, closes=closes) for weekday, opens, closes in sorted(intervals)
    )
    ClosedDay.objects.all().delete()
    ClosedDay.objects.bulk_create(ClosedDay(date=day, reason=reason) for day, reason in sorted(closed))
    catalog_changed()


@transaction.atomic(durable=True)
def profile_save(*, data: dict[str, Any]) -> Kitchen:
    """Save the profile, creating the kitchen when there is none; ``data`` are checked values by column.

    Raises
    ------
    CurrencyLocked
        The currency would change although documents exist in it.
    """
    before = Kitchen.objects.filter(pk=1).first()
    if before is not None and data.get("currency", before.currency) != before.currency and currency_locked():
        raise CurrencyLocked(place="currency", currency=before.currency)
    kitchen, _ = Kitchen.objects.update_or_create(pk=1, defaults=data)
    catalog_changed()
    return kitchen
