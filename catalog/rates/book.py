"""Roles, stations, overhead, delivery and monthly figures: rows to Book values, and back."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import Any, Final, NamedTuple

from catalog.book.row_writing import create, remove_stale, upsert
from catalog.book.rows import RecordCache, Rows
from catalog.book.sections import Keys, Section
from catalog.book.values import decimal, decimal_or_none, exact, exact_or_none
from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Role, Station, StationOut
from catalog.rates.overhead import LABOR, ORDER, Carrier, in_force, totals
from costing.contract import Book
from costing.contract import book as values
from costing.contract.kitchen import OVERHEAD_RATES

_NONE: Final = Decimal(0)
#: Columns of the kitchen's row, in the order of the fields below.
_OF_KITCHEN: Final = (
    "per_labor_hour",
    "per_order",
    "monthly_labor_hours",
    "monthly_orders",
    "delivery_role__code",
    "delivery_per_km",
    "delivery_margin",
    "delivery_tax__code",
)


class _OfKitchen(NamedTuple):
    """What the kitchen's row says of overhead and delivery."""

    per_labor_hour: Decimal | None
    per_order: Decimal | None
    labor_hours: Decimal | None
    orders: Decimal | None
    role: str | None
    per_km: Decimal
    margin: Decimal
    tax: str | None


_NO_KITCHEN: Final = _OfKitchen(_NONE, _NONE, None, None, None, _NONE, _NONE, None)


def _read(book: Book, _: RecordCache) -> Book:
    """Add roles, stations, overhead, delivery and monthly figures; five queries."""
    costs = list(Rows(MonthlyCost, "name", "amount", "carrier", "station_id", "station__code"))
    sums = totals((carrier, station, amount) for _, amount, carrier, station, _ in costs)
    # Before the kitchen is set up there are no rates.
    row = next((_OfKitchen(*row) for row in Rows(Kitchen, *_OF_KITCHEN)), _NO_KITCHEN)
    return replace(
        book,
        roles=tuple(
            values.Role(code, exact(hourly), exact(on_cost), name)
            for code, name, hourly, on_cost in Rows(Role, "code", "name", "hourly", "on_cost")
        ),
        stations=_stations(sums),
        overhead=_overhead(row, sums),
        delivery=_delivery(row),
        monthly_costs=tuple(
            values.MonthlyCost(name, exact(amount), carrier, code) for name, amount, carrier, _, code in costs
        ),
    )


def _stations(sums: Mapping[Carrier, Decimal]) -> tuple[values.Station, ...]:
    columns = (
        "pk",
        "code",
        "kind",
        "hourly",
        "name",
        "monthly_hours",
        "places",
        "air_c",
        "air",
        "count",
        "tolerance_c",
    )
    outs = _outs()
    return tuple(
        values.Station(
            code,
            kind,
            exact(in_force(hourly, sums.get(pk, _NONE), hours) or _NONE if hourly is None else hourly),
            name,
            exact_or_none(hours),
            places,
            exact_or_none(air_c),
            air,
            hourly is None,
            count,
            exact_or_none(tolerance),
            tuple(outs[pk]),
        )
        for pk, code, kind, hourly, name, hours, places, air_c, air, count, tolerance in Rows(Station, *columns)
    )


def _outs() -> Mapping[int, list[values.StationOut]]:
    """Return the times out of order, by the key of their station."""
    found: defaultdict[int, list[values.StationOut]] = defaultdict(list)
    columns = ("station_id", "first_day", "begins", "last_day", "ends", "count", "reason")
    for pk, first, begins, last, ends, count, reason in Rows(StationOut, *columns):
        span = datetime.combine(first, begins), datetime.combine(last, ends)
        found[pk].append(values.StationOut(*span, count, reason))
    return found


def _overhead(row: _OfKitchen, sums: Mapping[Carrier, Decimal]) -> values.Overhead | None:
    """Return the overhead rates; None while there are neither rates nor monthly figures."""
    stated = dict(zip(OVERHEAD_RATES, (row.per_labor_hour, row.per_order), strict=True))
    overhead = values.Overhead(
        exact(in_force(row.per_labor_hour, sums.get(LABOR, _NONE), row.labor_hours) or _NONE),
        exact(in_force(row.per_order, sums.get(ORDER, _NONE), row.orders) or _NONE),
        exact_or_none(row.labor_hours),
        exact_or_none(row.orders),
        tuple(rate for rate, value in stated.items() if value is None),
    )
    monthly = overhead.monthly_labor_hours, overhead.monthly_orders
    return overhead if overhead.charges or monthly != (None, None) else None


def _delivery(row: _OfKitchen) -> values.Delivery | None:
    """Return how delivery is charged; None when the kitchen does not deliver."""
    if row.role is None:
        return None
    return values.Delivery(row.role, exact(row.per_km), exact(row.margin), row.tax or "goods")


def _write(book: Book, keys: Keys) -> None:
    """Write roles and stations, replace the monthly figures, and set overhead and delivery on the kitchen's row."""
    keys["roles"] = upsert(
        Role(code=role.code, name=role.name, hourly=decimal(role.hourly), on_cost=decimal(role.on_cost), position=i)
        for i, role in enumerate(book.roles)
    )
    keys["stations"] = upsert(_station(station, i) for i, station in enumerate(book.stations))
    StationOut.objects.all().delete()
    create(StationOut, (_out(out, keys["stations"][one.code]) for one in book.stations for out in one.out))
    MonthlyCost.objects.all().delete()
    create(
        MonthlyCost,
        (
            MonthlyCost(
                name=cost.name,
                amount=decimal(cost.amount),
                carrier=cost.carrier,
                station_id=None if cost.station is None else keys["stations"][cost.station],
                position=i,
            )
            for i, cost in enumerate(book.monthly_costs)
        ),
    )
    Kitchen.objects.filter(pk=1).update(**_overhead_columns(book), **_delivery_columns(book, keys))


def _station(station: values.Station, position: int) -> Station:
    return Station(
        code=station.code,
        name=station.name,
        kind=station.kind,
        hourly=None if station.derived else decimal(station.hourly),
        monthly_hours=decimal_or_none(station.monthly_hours),
        places=station.places,
        air_c=decimal_or_none(station.air_c),
        air=station.air,
        count=station.count,
        tolerance_c=decimal_or_none(station.tolerance_c),
        position=position,
    )


def _out(out: values.StationOut, station: int) -> StationOut:
    return StationOut(
        station_id=station,
        first_day=out.begins.date(),
        begins=out.begins.time(),
        last_day=out.ends.date(),
        ends=out.ends.time(),
        count=out.count,
        reason=out.reason,
    )


def _overhead_columns(book: Book) -> dict[str, Any]:
    """Return both rates as stated; None for a rate that is derived from monthly figures, or that the Book lacks."""
    overhead = book.overhead or values.Overhead(derived=OVERHEAD_RATES)
    columns: dict[str, Any] = {
        rate: None if rate in overhead.derived else decimal(getattr(overhead, rate)) for rate in OVERHEAD_RATES
    }
    return columns | {
        "monthly_labor_hours": decimal_or_none(overhead.monthly_labor_hours),
        "monthly_orders": decimal_or_none(overhead.monthly_orders),
    }


def _delivery_columns(book: Book, keys: Keys) -> dict[str, Any]:
    delivery = book.delivery
    if delivery is None:
        return {"delivery_role": None, "delivery_per_km": _NONE, "delivery_margin": _NONE, "delivery_tax": None}
    return {
        "delivery_role": keys["roles"][delivery.role],
        "delivery_per_km": decimal(delivery.per_km),
        "delivery_margin": decimal(delivery.margin),
        "delivery_tax": None if delivery.tax == "goods" else keys["taxes"][delivery.tax],
    }


def _clear(keys: Keys) -> None:
    remove_stale(Station, keys["stations"])
    remove_stale(Role, keys["roles"])


SECTION: Final = Section(read=_read, write=_write, clear=_clear)
