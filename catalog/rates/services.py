"""Pay, stations, overhead and delivery."""

from collections.abc import Sequence
from dataclasses import asdict
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen, Vehicle
from catalog.rates.models import MonthlyCost, Role, Station, StationOut
from catalog.rates.selectors import OutData
from catalog.records.reasons import Reason
from catalog.records.rows import existing, new_row, remove
from catalog.records.versions import existing_unchanged, locked, stored, version_mark

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
    """Return the version of how delivery is paid, charged and taxed, and of the vehicles, as stored."""
    vehicles = [stored(vehicle) for vehicle in Vehicle.objects.all()]
    return version_mark([stored(kitchen, _DELIVERY), vehicles])


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
    count: int = 1,
    tolerance_c: Decimal | None = None,
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
    station.air, station.count, station.tolerance_c = air, count, tolerance_c
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
def station_out_add(*, station_id: int, data: OutData) -> StationOut:
    """Add a time in which a station, or some of those alike, are out of order; sent twice it is added once.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted the station since the page was opened.
    """
    station = locked(Station, station_id) or existing(Station, station_id)
    out, added = StationOut.objects.get_or_create(station=station, **asdict(data))
    if added:
        catalog_changed()
    return out


@transaction.atomic(durable=True)
def station_out_remove(*, out_id: int) -> None:
    """Remove a time in which a station is out of order."""
    if StationOut.objects.filter(pk=out_id).delete()[0]:
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
    *,
    role_id: int | None,
    per_km: Decimal,
    margin: Decimal,
    tax_id: int | None,
    vehicles: Sequence[Vehicle] | None = None,
    version: str = "",
) -> Kitchen:
    """Write how delivery is paid, charged and taxed, and the vehicles; without a role the kitchen does not deliver.

    The way counts as cold (`Kitchen.vehicle_cold`) where every vehicle is; without vehicles it stays as it is, and
    ``vehicles`` that are None stay too.

    Raises
    ------
    Overtaken
        Its version is no longer ``version``.
    """
    home = existing_unchanged(Kitchen, 1, version, delivery_version)
    Kitchen.objects.filter(pk=1).update(
        delivery_role_id=role_id, delivery_per_km=per_km, delivery_margin=margin, delivery_tax_id=tax_id
    )
    if vehicles is not None:
        Vehicle.objects.all().delete()
        Vehicle.objects.bulk_create(vehicles)
        if vehicles:
            Kitchen.objects.filter(pk=1).update(vehicle_cold=all(one.cold for one in vehicles))
    catalog_changed()
    return home
