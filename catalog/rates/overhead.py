"""Rates the kitchen charges its overhead with: stated by hand, or derived from monthly figures, and how."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any, Final

from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Station
from costing.measures.numbers import number_text

#: Derived rates are kept to four decimals: finer than any money charged, and readable.
DIGITS: Final = 4
LABOR: Final = MonthlyCost.Carrier.LABOR
ORDER: Final = MonthlyCost.Carrier.ORDER
#: A monthly figure is carried by labor hours, by orders, or by one station (its primary key).
Carrier = str | int


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate with all that made it: ``formula`` in words, ``inputs`` as pairs of name and amount."""

    key: str
    name: str
    per: str
    value: Decimal | None
    stated: bool
    derived: Decimal | None
    inputs: tuple[tuple[str, Decimal], ...]
    total: Decimal
    divisor: Decimal | None
    formula: str
    problem: str


def derived(total: Decimal, divisor: Decimal | None) -> Decimal | None:
    """Divide a month's costs by a month's hours or orders, half up at the fourth decimal; None without either."""
    if not total or not divisor or divisor < 0:
        return None
    scaled = Fraction(total) / Fraction(divisor) * 10**DIGITS
    units = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return Decimal(f"{units // 10**DIGITS}.{units % 10**DIGITS:0{DIGITS}d}")


def totals(costs: Iterable[tuple[str, int | None, Decimal]]) -> Mapping[Carrier, Decimal]:
    """Add monthly figures by what carries them: rows of carrier, station's key, amount."""
    sums: dict[Carrier, Decimal] = defaultdict(Decimal)
    for carrier, station, amount in costs:
        sums[station if carrier == MonthlyCost.Carrier.STATION and station is not None else carrier] += amount
    return sums


def monthly_totals() -> Mapping[Carrier, Decimal]:
    """Read the sums of the monthly figures, in one query."""
    rows: Iterable[tuple[str, int | None, Any]] = MonthlyCost.objects.values_list("carrier", "station_id", "amount")
    return totals(rows)


def in_force(stated: Decimal | None, total: Decimal, divisor: Decimal | None) -> Decimal | None:
    """Return the stated rate, else the derived one, else None."""
    return derived(total, divisor) if stated is None else stated


def rates_explained(kitchen: Kitchen, *, costs: Iterable[MonthlyCost] | None = None) -> list[Rate]:
    """Return every overhead rate with its formula and inputs; two queries, one when ``costs`` are given."""
    carried = _carried(MonthlyCost.objects.all() if costs is None else costs)
    kitchen_rates = [
        _rate("per_labor_hour", "Labour", "labour hour", kitchen.per_labor_hour, carried[LABOR],
              kitchen.monthly_labor_hours, "labour hours in a month"),
        _rate("per_order", "Orders", "order", kitchen.per_order, carried[ORDER], kitchen.monthly_orders,
              "orders in a month"),
    ]  # fmt: skip
    return kitchen_rates + [_station_rate(station, carried) for station in Station.objects.all()]


def station_rows(station: Station | None = None) -> list[tuple[Station, Rate]]:
    """Return every station, or this one, with its rate; two queries."""
    carried = _carried(MonthlyCost.objects.filter(carrier=MonthlyCost.Carrier.STATION))
    stations = list(Station.objects.all()) if station is None else [station]
    return [(row, _station_rate(row, carried)) for row in stations]


def _carried(costs: Iterable[MonthlyCost]) -> Mapping[Carrier, list[tuple[str, Decimal]]]:
    by_carrier: dict[Carrier, list[tuple[str, Decimal]]] = defaultdict(list)
    for cost in costs:
        by_carrier[cost.station_id or cost.carrier].append((cost.name, cost.amount))
    return by_carrier


def _station_rate(station: Station, carried: Mapping[Carrier, list[tuple[str, Decimal]]]) -> Rate:
    costs = carried[station.pk]
    return _rate(station.code, str(station), "hour", station.hourly, costs, station.monthly_hours, "hours in a month")


def _rate(
    key: str,
    name: str,
    per: str,
    stated: Decimal | None,
    costs: list[tuple[str, Decimal]],
    divisor: Decimal | None,
    counted: str,
) -> Rate:
    total = sum((amount for _, amount in costs), Decimal(0))
    worked = derived(total, divisor)
    problem = ""
    if stated is None and total and worked is None:
        problem = f"{number_text(total)} a month is charged to nobody: enter the {counted}, or state the rate."
    return Rate(
        key=key,
        name=name,
        per=per,
        value=worked if stated is None else stated,
        stated=stated is not None,
        derived=worked,
        inputs=tuple(costs),
        total=total,
        divisor=divisor,
        formula=_formula(stated, costs, total, divisor, counted, worked),
        problem=problem,
    )


def _formula(
    stated: Decimal | None,
    costs: list[tuple[str, Decimal]],
    total: Decimal,
    divisor: Decimal | None,
    counted: str,
    worked: Decimal | None,
) -> str:
    if worked is None or divisor is None:
        return "Stated by you." if stated is not None else "No monthly figure is carried by it."
    terms = " + ".join(f"{name} {number_text(amount)}" for name, amount in costs)
    summed = f"({terms} = {number_text(total)})" if len(costs) > 1 else terms
    worked_out = f"{summed} ÷ {number_text(divisor)} {counted} = {number_text(worked)}"
    return worked_out if stated is None else f"Stated by you. Your monthly figures would give {worked_out}."
