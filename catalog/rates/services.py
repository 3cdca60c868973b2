"""Pay, stations, overhead and delivery."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.records.reasons import Reason
from catalog.records.rows import existing, new_row, remove
from catalog.records.versions import existing_unchanged, stored, version_mark

_OVERHEAD = ("monthly_labor_hours", "monthly_orders", "per_labor_hour", "per_order")
_DELIVERY = ("delivery_role", "delivery_per_km", "delivery_margin", "delivery_tax")


def row_version(row: Role | Station) -> str:
    """Return the version of a kind of work or a station as stored."""
    return version_mark(stored(row))


def overhead_version(kitchen: Kitchen) -> str:
    """Return the version of the monthly figures with what they are divided by, as stored."""
    costs = [stored(cost) for cost in MonthlyCost.objects.all()]
    return version_mark([stored(kitchen, _OVERHEAD), costs])


def delivery_version(kitchen: Kitchen) -> str:
    """Return the version of how delivery is paid, charged and taxed, as stored."""
    return version_mark(stored(kitchen, _DELIVERY))


@transaction.atomic(durable=True)
def role_save(*, role_id: int | None, name: str, hourly: Decimal, on_cost: Decimal, version: str = "") -> Role:
    """Create or change a kind of work; its code is made from the first name and stays.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if role_id is None:
        role = new_row(Role, name, otherwise="work")
    else:
        role = existing_unchanged(Role, role_id, version, row_version)
    role.name, role.hourly, role.on_cost = name, hourly, on_cost
    role.save()
    catalog_changed()
    return role


@transaction.atomic(durable=True)
def role_delete(*, role_id: int) -> None:
    """Delete a kind of work.

    Raises
    ------
    InUse
        A recipe, a product or delivery still names it.
    """
    remove(existing(Role, role_id))
    catalog_changed()


@transaction.atomic(durable=True)
def station_save(
    *,
    station_id: int | None,
    name: str,
    kind: str,
    monthly_hours: Decimal | None,
    hourly: Decimal | None,
    places: int | None,
    air_c: Decimal | None,
    air: str = Station.Air.STILL.value,
    version: str = "",
) -> Station:
    """Create or change a station; its code is made from the first name and stays.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    if station_id is None:
        station = new_row(Station, name, otherwise=kind)
    else:
        station = existing_unchanged(Station, station_id, version, row_version)
    station.name, station.kind, station.places, station.air_c = name, kind, places, air_c
    station.air = air
    station.monthly_hours, station.hourly = monthly_hours, hourly
    station.save()
    catalog_changed()
    return station


@transaction.atomic(durable=True)
def station_delete(*, station_id: int) -> None:
    """Delete a station.

    Raises
    ------
    InUse
        A step still uses it, or a monthly figure is carried by it.
    """
    station = existing(Station, station_id)
    costs = list(station.monthly_costs.values_list("name", flat=True))
    remove(station, users=[Reason("monthly_figure", {"name": costs[0]}), *costs[1:]] if costs else None)
    catalog_changed()


@transaction.atomic(durable=True)
def overhead_save(
    *,
    monthly_labor_hours: Decimal | None,
    monthly_orders: Decimal | None,
    per_labor_hour: Decimal | None,
    per_order: Decimal | None,
    costs: Sequence[MonthlyCost],
    version: str = "",
) -> Kitchen:
    """Replace the monthly figures, with the hours and orders they are divided by and the rates stated by hand.

    Raises
    ------
    Overtaken
        Their version is no longer ``version``.
    """
    home = existing_unchanged(Kitchen, 1, version, overhead_version)
    Kitchen.objects.filter(pk=1).update(
        monthly_labor_hours=monthly_labor_hours,
        monthly_orders=monthly_orders,
        per_labor_hour=per_labor_hour,
        per_order=per_order,
    )
    MonthlyCost.objects.all().delete()
    MonthlyCost.objects.bulk_create(costs)
    catalog_changed()
    return home


@transaction.atomic(durable=True)
def delivery_save(
    *, role_id: int | None, per_km: Decimal, margin: Decimal, tax_id: int | None, version: str = ""
) -> Kitchen:
    """Write how delivery is paid, charged and taxed; without a role the kitchen does not deliver.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    """
    home = existing_unchanged(Kitchen, 1, version, delivery_version)
    Kitchen.objects.filter(pk=1).update(
        delivery_role_id=role_id, delivery_per_km=per_km, delivery_margin=margin, delivery_tax_id=tax_id
    )
    catalog_changed()
    return home
