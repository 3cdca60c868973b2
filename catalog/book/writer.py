"""A checked Book written over the catalog's rows: the steps of one transaction begun by ``books.book_import``.

Rows are matched by code, so that what quotes and orders point to stays the same row. Lines, steps, packs and other rows
that have no code of their own are written anew.
"""

from collections.abc import Iterable, Mapping
from datetime import date, time
from typing import Any, TypeVar

from django.db import models

from catalog.book.extras import profile_defaults
from catalog.book.steps import Entry
from catalog.kitchen.models import ClosedDay, Kitchen, OpenHours
from catalog.molds.models import Mold
from catalog.pantry.models import Supplier
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.taxes.models import TaxCategory, TaxRate

Row = TypeVar("Row", bound=models.Model)
Keys = Mapping[str, int]
#: Rows for one statement: small enough for SQLite's limit on variables.
BATCH = 400


def upsert(rows: Iterable[Row], *, by: str = "code") -> dict[str, int]:
    """Create or update rows of one model by a unique column; return primary keys by that column."""
    rows = list(rows)
    if not rows:
        return {}
    model = type(rows[0])
    columns = [f.name for f in model._meta.concrete_fields if f.name not in ("id", by)]
    model._default_manager.bulk_create(
        rows, update_conflicts=True, unique_fields=[by], update_fields=columns, batch_size=BATCH
    )
    wanted = {getattr(row, by) for row in rows}
    return {key: pk for key, pk in model._default_manager.values_list(by, "pk") if key in wanted}


def create(model: type[Row], rows: Iterable[Row]) -> None:
    model._default_manager.bulk_create(rows, batch_size=BATCH)


def write_kitchen(document: Entry, roles: Keys, taxes: Keys) -> None:
    """Write the kitchen's row; its profile stays as it is when the Book carries none."""
    kitchen, overhead, delivery = document["kitchen"], document.get("overhead"), document.get("delivery")
    values: dict[str, Any] = {"currency": document["currency"]} | {
        key: kitchen.get(key, default)
        for key, default in (
            ("cup", "us"),
            ("prices", "net"),
            *((key, "0") for key in ("price_step", "waste", "floor_margin", "order_minimum", "rush_rate")),
        )
    }
    values |= _overhead(overhead)
    values["delivery_role_id"] = roles[delivery["role"]] if delivery else None
    values["delivery_per_km"] = delivery["per_km"] if delivery else "0"
    values["delivery_margin"] = delivery["margin"] if delivery else "0"
    values["delivery_tax_id"] = taxes[delivery["tax"]] if delivery and delivery["tax"] != "goods" else None
    profile = kitchen.get("profile")
    if profile is not None:
        values |= profile_defaults() | profile
    if not Kitchen.objects.filter(pk=1).update(**values):
        Kitchen.objects.create(pk=1, **(profile_defaults() | values))


def _overhead(overhead: Entry | None) -> dict[str, Any]:
    """A Book with overhead states both rates, at 0 where it leaves one out, but for those it says are derived."""
    given = overhead or {}
    unstated = ("per_labour_hour", "per_order") if overhead is None else given.get("derived", ())
    stated = {key: None if key in unstated else given.get(key, "0") for key in ("per_labour_hour", "per_order")}
    return {
        "per_labor_hour": stated["per_labour_hour"],
        "per_order": stated["per_order"],
        "monthly_labor_hours": given.get("monthly_labour_hours"),
        "monthly_orders": given.get("monthly_orders"),
    }


def write_charges(document: Entry) -> tuple[Keys, Keys, Keys]:
    """Write roles, stations and tax categories with their rates; return their primary keys by code."""
    roles = upsert(
        Role(code=code, name=role.get("name", ""), hourly=role["hourly"], on_cost=role.get("on_cost", "0"), position=i)
        for i, (code, role) in enumerate(document["roles"].items())
    )
    stations = upsert(_station(code, station, i) for i, (code, station) in enumerate(document["stations"].items()))
    about = document.get("tax_categories", {})
    taxes = upsert(
        TaxCategory(code=code, position=i, **({"name": "", "untdid": "S", "exempt_reason": ""} | about.get(code, {})))
        for i, code in enumerate(document["taxes"])
    )
    TaxRate.objects.filter(category_id__in=taxes.values()).delete()
    create(
        TaxRate,
        (
            TaxRate(category_id=taxes[code], rate=rate["rate"], starts=date.fromisoformat(rate["from"]), position=i)
            for code, rates in document["taxes"].items()
            for i, rate in enumerate(rates)
        ),
    )
    return roles, stations, taxes


def _station(code: str, station: Entry, position: int) -> Station:
    return Station(
        code=code,
        name=station.get("name", ""),
        kind=station["kind"],
        hourly=None if station.get("derived") else station["hourly"],
        monthly_hours=station.get("monthly_hours"),
        places=station.get("places"),
        air_c=station.get("air_c"),
        air=station.get("air", Station.Air.STILL),
        position=position,
    )


def write_monthly_costs(document: Entry, stations: Keys) -> None:
    """Write the monthly figures anew."""
    MonthlyCost.objects.all().delete()
    create(
        MonthlyCost,
        (
            MonthlyCost(
                name=cost["name"],
                amount=cost["amount"],
                carrier=cost["carrier"],
                station_id=stations[cost["station"]] if "station" in cost else None,
                position=i,
            )
            for i, cost in enumerate(document.get("monthly_costs", ()))
        ),
    )


def write_calendar(document: Entry) -> None:
    """Write opening hours and closed days; a Book without a profile says nothing of them."""
    described = "profile" in document["kitchen"]
    if described or "hours" in document:
        OpenHours.objects.all().delete()
        create(
            OpenHours,
            (
                OpenHours(
                    weekday=hours["weekday"],
                    opens=time.fromisoformat(hours["opens"]),
                    closes=time.fromisoformat(hours["closes"]),
                )
                for hours in document.get("hours", ())
            ),
        )
    if described or "closed" in document:
        ClosedDay.objects.all().delete()
        create(
            ClosedDay,
            (
                ClosedDay(date=date.fromisoformat(closed["date"]), reason=closed.get("reason", ""))
                for closed in document.get("closed", ())
            ),
        )


def write_suppliers(document: Entry) -> Keys:
    """Write the suppliers, named in a list of their own or by packs."""
    notes = {
        pack["supplier"]: ""
        for item in document.get("ingredients", ())
        for pack in item.get("packs", ())
        if pack.get("supplier")
    }
    notes |= {supplier["name"]: supplier.get("note", "") for supplier in document.get("suppliers", ())}
    return upsert((Supplier(name=name, note=note) for name, note in notes.items()), by="name")


def write_molds(document: Entry) -> Keys:
    """Write the molds the kitchen owns."""
    return upsert((Mold(**mold) for mold in document.get("moulds", ())), by="name")
