"""The kitchen's profile, its opening hours and closed days."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Final

from django.conf import settings
from django.db import IntegrityError, transaction
from django.utils import timezone
from django.utils.module_loading import import_string

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import ClosedDay, DatedHours, HandOverHours, Kitchen, OpenHours
from catalog.kitchen.selectors import currency_locked, vehicles_listed
from catalog.records.errors import CurrencyLocked
from catalog.records.reasons import Reason
from catalog.records.versions import locked, stored, unchanged, version_mark

#: Columns of the kitchen's row that are not of its profile: its monthly figures, delivery, the Book's revision.
_OF_OTHERS = frozenset(
    {"id", "revision", "monthly_labor_hours", "monthly_orders", "per_labor_hour", "per_order"}
    | {"most_events_per_day", "most_guests_per_day", "cancellation_table", "cancellation_tax"}
    | {"deposit_minor", "payments_before", "payments_after", "payment_page"}
    | {"bank_holder", "bank_iban", "bank_bic", "bank_routing", "bank_account"}
)
_CALENDAR: Final = (OpenHours, HandOverHours, DatedHours, ClosedDay)


@dataclass(frozen=True, slots=True)
class Calendar:
    """When somebody works, when things are handed over, and the most of a day; weekday 0 is Monday.

    ``week`` has weekday, from, to and people (None: not stated), ``hand_over`` the same without people, ``days`` date,
    from, to, people and reason, ``closed`` date and reason.
    """

    week: Sequence[tuple[int, time, time, int | None]] = ()
    hand_over: Sequence[tuple[int, time, time]] = ()
    days: Sequence[tuple[date, time, time, int | None, str]] = ()
    closed: Sequence[tuple[date, str]] = ()
    most_events: int | None = None
    most_guests: int | None = None


def profile_version(kitchen: Kitchen) -> str:
    """Return the version of the profile as stored; empty before there is one."""
    names = [field.name for field in kitchen._meta.concrete_fields]
    names = [name for name in names if name not in _OF_OTHERS and not name.startswith("delivery_")]
    return "" if kitchen._state.adding else version_mark(stored(kitchen, names))


def hours_version(kitchen: Kitchen) -> str:
    """Return the version of the calendar and of the most of a day, as stored."""
    rows = [list(map(stored, model._default_manager.all())) for model in _CALENDAR]
    return version_mark([*rows, kitchen.most_events_per_day, kitchen.most_guests_per_day])


@transaction.atomic(durable=True)
def hours_save(*, calendar: Calendar, version: str = "") -> None:
    """Replace the calendar, and the most of a day.

    Raises
    ------
    Overtaken
        Their version is no longer ``version``.
    """
    unchanged(locked(Kitchen, 1) or Kitchen(pk=1), version, hours_version, name=Reason("the_hours"))
    for model in _CALENDAR:
        model._default_manager.all().delete()
    OpenHours.objects.bulk_create(
        OpenHours(weekday=day, opens=opens, closes=closes, hands=hands)
        for day, opens, closes, hands in sorted(calendar.week, key=lambda row: row[:3])
    )
    HandOverHours.objects.bulk_create(
        HandOverHours(weekday=day, opens=opens, closes=closes) for day, opens, closes in sorted(calendar.hand_over)
    )
    DatedHours.objects.bulk_create(
        DatedHours(date=day, opens=opens, closes=closes, hands=hands, reason=reason)
        for day, opens, closes, hands, reason in sorted(calendar.days, key=lambda row: row[:3])
    )
    ClosedDay.objects.bulk_create(ClosedDay(date=day, reason=reason) for day, reason in sorted(calendar.closed))
    most = {"most_events_per_day": calendar.most_events, "most_guests_per_day": calendar.most_guests}
    Kitchen.objects.filter(pk=1).update(**most)
    catalog_changed()


@transaction.atomic(durable=True)
def profile_save(*, data: dict[str, Any], by: str = "", at: datetime | None = None, version: str = "") -> Kitchen:
    """Save the profile, creating the kitchen when there is none; ``data`` are checked values by column.

    After a change of the time zone every event has the hours entered for it: ``settings.HOURS_STAY`` sees to it.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    CurrencyLocked
        The currency would change although documents exist in it.
    WordsUnproven
        The words about traces claim what an ingredient does not bear out; ``settings.KITCHEN_WORDS_CHECK`` says so,
        because packages above this one know the ingredients.
    """
    before = locked(Kitchen, 1)
    if before is None and _added(data):
        catalog_changed()
        return Kitchen.objects.get(pk=1)
    before = unchanged(before or locked(Kitchen, 1), version, profile_version, name=Reason("the_profile"))
    if data.get("currency", before.currency) != before.currency and currency_locked():
        raise CurrencyLocked(place="currency", currency=before.currency)
    if vehicles_listed():
        # Follows from the vehicles.
        data = {name: value for name, value in data.items() if name != "vehicle_cold"}
    kitchen, _ = Kitchen.objects.update_or_create(pk=1, defaults=data)
    if kitchen.time_zone != before.time_zone:
        zones = {"before": before.time_zone, "after": kitchen.time_zone}
        import_string(settings.HOURS_STAY)(**zones, by=by, at=at or timezone.now())
    import_string(settings.KITCHEN_WORDS_CHECK)(kitchen)
    catalog_changed()
    return kitchen


def _added(data: dict[str, Any]) -> bool:
    """Add the kitchen's row; return False when another window has just set the kitchen up."""
    try:
        with transaction.atomic():
            Kitchen.objects.create(pk=1, **data)
    except IntegrityError:
        if not Kitchen.objects.filter(pk=1).exists():
            raise
        return False
    return True
