"""Pay, stations, overhead and delivery."""

from collections.abc import Sequence
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.records.reasons import Reason
from catalog.records.rows import existing, new_row, remove


@transaction.atomic(durable=True)
def role_save(*, role_id: int | None, name: str, hourly: Decimal, on_cost: Decimal) -> Role:
    """Create or change a kind of work; its code is made from the first name and stays.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    role = new_row(Role, name, otherwise="work") if role_id is None else existing(Role, role_id)
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
) -> Station:
    """Create or change a station; its code is made from the first name and stays.

    Raises
    ------
    ChangedMeanwhile
        Somebody deleted it since the page was opened.
    """
    station = new_row(Station, name, otherwise=kind) if station_id is None else existing(Station, station_id)
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
) -> None:
    """Replace the monthly figures, with the hours and orders they are divided by and the rates stated by hand."""
    Kitchen.objects.filter(pk=1).update(
        monthly_labor_hours=monthly_labor_hours,
        monthly_orders=monthly_orders,
        per_labor_hour=per_labor_hour,
        per_order=per_order,
    )
    MonthlyCost.objects.all().delete()
    MonthlyCost.objects.bulk_create(costs)
    catalog_changed()


@transaction.atomic(durable=True)
def delivery_save(*, role_id: int | None, per_km: Decimal, margin: Decimal, tax_id: int | None) -> None:
    """Write how delivery is paid, charged and taxed; without a role the kitchen does not deliver."""
    Kitchen.objects.filter(pk=1).update(
        delivery_role_id=role_id, delivery_per_km=per_km, delivery_margin=margin, delivery_tax_id=tax_id
    )
    catalog_changed()
