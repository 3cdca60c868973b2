"""Overhead rates: stated by hand, or derived from monthly figures."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from catalog.book.values import decimal
from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Station
from costing.contract.kitchen import derived_rate

LABOR: Final = MonthlyCost.Carrier.LABOR
ORDER: Final = MonthlyCost.Carrier.ORDER
#: Carrier of a monthly figure: labor hours, orders, or one station (its primary key).
Carrier = str | int
#: (name, amount)
Costs = tuple[tuple[str, Decimal], ...]


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate with its inputs: the monthly costs it covers, and the hours or orders they are divided by.

    ``per`` is its carrier, one of :class:`MonthlyCost.Carrier`; a station's rate has the station's name.
    """

    per: str
    station: str
    stated: Decimal | None
    costs: Costs
    divisor: Decimal | None

    @property
    def total(self) -> Decimal:
        """The month's costs."""
        return sum((amount for _, amount in self.costs), Decimal(0))

    @property
    def derived(self) -> Decimal | None:
        """The rate derived from monthly figures; None without costs, hours or orders."""
        return derived(self.total, self.divisor)

    @property
    def value(self) -> Decimal | None:
        """The rate charged: the stated one, else the derived one."""
        return self.derived if self.stated is None else self.stated

    @property
    def uncharged(self) -> bool:
        """Whether there are costs that no rate covers."""
        return bool(self.total) and self.value is None


def derived(total: Decimal, divisor: Decimal | None) -> Decimal | None:
    """Divide monthly costs by monthly hours or orders, half up at the fourth decimal; None without either."""
    found = derived_rate(Fraction(total), None if divisor is None else Fraction(divisor))
    return None if found is None else decimal(found)


def totals(costs: Iterable[tuple[str, int | None, Decimal]]) -> Mapping[Carrier, Decimal]:
    """Sum monthly figures by carrier: rows of carrier, station's key, amount."""
    sums: dict[Carrier, Decimal] = defaultdict(Decimal)
    for carrier, station, amount in costs:
        sums[station if carrier == MonthlyCost.Carrier.STATION and station is not None else carrier] += amount
    return sums


def in_force(stated: Decimal | None, total: Decimal, divisor: Decimal | None) -> Decimal | None:
    """Return the stated rate, else the derived one, else None."""
    return derived(total, divisor) if stated is None else stated


def overhead_rates(kitchen: Kitchen, *, costs: Iterable[MonthlyCost] | None = None) -> list[Rate]:
    """Return every overhead rate with its inputs; two queries, one when ``costs`` are given."""
    carried = _carried(MonthlyCost.objects.all() if costs is None else costs)
    labor = Rate(LABOR, "", kitchen.per_labor_hour, tuple(carried[LABOR]), kitchen.monthly_labor_hours)
    order = Rate(ORDER, "", kitchen.per_order, tuple(carried[ORDER]), kitchen.monthly_orders)
    return [labor, order, *(_station_rate(station, carried) for station in Station.objects.all())]


def station_rates(station: Station | None = None) -> list[tuple[Station, Rate]]:
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
    costs = tuple(carried[station.pk])
    return Rate(MonthlyCost.Carrier.STATION, str(station), station.hourly, costs, station.monthly_hours)
