"""Rates the kitchen charges its overhead with: stated by hand, or derived from monthly figures."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from catalog.book.values import decimal
from catalog.kitchen.models import Kitchen
from catalog.rates.models import MonthlyCost, Station
from costing.contract.rates import derived_rate

LABOR: Final = MonthlyCost.Carrier.LABOR
ORDER: Final = MonthlyCost.Carrier.ORDER
#: A monthly figure is carried by labor hours, by orders, or by one station (its primary key).
Carrier = str | int
#: (name, amount)
Costs = tuple[tuple[str, Decimal], ...]


@dataclass(frozen=True, slots=True)
class Rate:
    """A rate with all that made it: the month's costs it carries, and the hours or orders they are divided by.

    ``per`` is what it is charged by, as of :class:`MonthlyCost.Carrier`; a station's has its name.
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
        """What the monthly figures make it; None without costs, hours or orders."""
        return derived(self.total, self.divisor)

    @property
    def value(self) -> Decimal | None:
        """What is charged: the stated rate before the derived one."""
        return self.derived if self.stated is None else self.stated

    @property
    def uncharged(self) -> bool:
        """Whether costs are charged to nobody."""
        return bool(self.total) and self.value is None


def derived(total: Decimal, divisor: Decimal | None) -> Decimal | None:
    """Divide a month's costs by a month's hours or orders, half up at the fourth decimal; None without either."""
    found = derived_rate(Fraction(total), None if divisor is None else Fraction(divisor))
    return None if found is None else decimal(found)


def totals(costs: Iterable[tuple[str, int | None, Decimal]]) -> Mapping[Carrier, Decimal]:
    """Add monthly figures by what carries them: rows of carrier, station's key, amount."""
    sums: dict[Carrier, Decimal] = defaultdict(Decimal)
    for carrier, station, amount in costs:
        sums[station if carrier == MonthlyCost.Carrier.STATION and station is not None else carrier] += amount
    return sums


def in_force(stated: Decimal | None, total: Decimal, divisor: Decimal | None) -> Decimal | None:
    """Return the stated rate, else the derived one, else None."""
    return derived(total, divisor) if stated is None else stated


def overhead_rates(kitchen: Kitchen, *, costs: Iterable[MonthlyCost] | None = None) -> list[Rate]:
    """Return every overhead rate with what made it; two queries, one when ``costs`` are given."""
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
