"""Whether the kitchen's currency can still be changed."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from django.apps import apps

from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours


def currency_locked() -> bool:
    """Tell whether a document has been written in the kitchen's currency: then it stays.

    The catalog knows no documents; they are the rows of other apps that carry a currency.
    """
    carriers = (
        model
        for model in apps.get_models()
        if model._meta.app_label != "catalog" and any(field.name == "currency" for field in model._meta.concrete_fields)
    )
    return any(model._default_manager.exists() for model in carriers)


def hours_by_weekday() -> Mapping[int, list[tuple[time, time]]]:
    """Return the intervals of each weekday (0 is Monday) in their order; one query."""
    week: dict[int, list[tuple[time, time]]] = defaultdict(list)
    for weekday, opens, closes in OpenHours.objects.values_list("weekday", "opens", "closes"):
        week[weekday].append((opens, closes))
    return week


def closed_days(*, since: date) -> dict[date, str]:
    """Return the days from a date on that nobody works, with their reason; one query."""
    return dict(ClosedDay.objects.filter(date__gte=since).values_list("date", "reason"))


def kitchen() -> Kitchen:
    """Return the kitchen's profile, or an unsaved one with the defaults before it is set up."""
    return Kitchen.objects.select_related("delivery_role", "delivery_tax").filter(pk=1).first() or Kitchen(
        pk=1, name="Your kitchen", email=""
    )


if TYPE_CHECKING:
    pass


def kitchen_zone() -> ZoneInfo:
    """Return the kitchen's time zone."""
    return ZoneInfo(kitchen().time_zone)


def local_day(moment: datetime, zone: ZoneInfo | None = None) -> date:
    """Return the date of a moment where the kitchen is."""
    return moment.astimezone(zone or kitchen_zone()).date()
