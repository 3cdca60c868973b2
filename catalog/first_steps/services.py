"""Writing the starter figures: rows like those of the pages they are later changed on."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from django.db import transaction

from catalog.book.revision import catalog_changed
from catalog.first_steps.models import SkippedStep
from catalog.first_steps.selectors import OPTIONAL, Figures, figures
from catalog.kitchen.models import Kitchen, OpenHours
from catalog.price_rules.models import PriceRule
from catalog.rates.models import MonthlyCost, Role, Station
from catalog.records.rows import existing, new_row
from catalog.taxes.models import TaxCategory, TaxRate


@dataclass(frozen=True, slots=True)
class Names:
    """What the new rows are called, in the kitchen's words."""

    tax: str
    role: str
    rule: str
    oven: str
    refrigerator: str
    rent: str
    other: str


@dataclass(frozen=True, slots=True)
class Starter:
    """The answers. Shares are of 1, money in the kitchen's currency; None or empty is not answered."""

    tax_rate: Decimal | None = None
    hourly: Decimal | None = None
    margin: Decimal | None = None
    weekdays: Sequence[int] = ()
    opens: time | None = None
    closes: time | None = None
    rent: Decimal | None = None
    other: Decimal | None = None
    hours: Decimal | None = None
    orders: Decimal | None = None
    delivers: bool = False
    per_km: Decimal | None = None
    oven: bool = False
    refrigerator: bool = False
    refrigerator_c: Decimal | None = None


@transaction.atomic(durable=True)
def starter_figures_save(*, starter: Starter, names: Names, starts: date) -> None:
    """Add what was answered and is not there yet; what is there stays as it is, what was left empty is skipped.

    The tax rate counts from ``starts`` on.

    Raises
    ------
    ChangedMeanwhile
        If the kitchen has no profile.
    """
    existing(Kitchen, 1)
    there = figures()
    _price(starter, names, there, starts)
    if starter.opens and starter.closes and not there.hours:
        OpenHours.objects.bulk_create(
            OpenHours(weekday=day, opens=starter.opens, closes=starter.closes) for day in sorted(set(starter.weekdays))
        )
    if not there.monthly:
        _monthly(starter, names)
    if starter.delivers and not there.delivery:
        driver = Role.objects.order_by("position", "pk").first()
        Kitchen.objects.filter(pk=1).update(delivery_role=driver, delivery_per_km=starter.per_km or Decimal(0))
    if starter.oven and not there.oven:
        _station(names.oven, Station.Kind.OVEN, None)
    if starter.refrigerator and not there.refrigerator:
        _station(names.refrigerator, Station.Kind.REFRIGERATOR, starter.refrigerator_c)
    left = [code for code, is_there in figures().optional_done.items() if not is_there]
    SkippedStep.objects.bulk_create([SkippedStep(code=code) for code in left], ignore_conflicts=True)
    catalog_changed()


@transaction.atomic(durable=True)
def step_skip(*, code: str) -> None:
    """Skip a step; one that no quote can do without stays."""
    if code in OPTIONAL:
        SkippedStep.objects.get_or_create(code=code)


@transaction.atomic(durable=True)
def step_take_up(*, code: str) -> None:
    """Take a skipped step up again."""
    SkippedStep.objects.filter(code=code).delete()


def _price(starter: Starter, names: Names, there: Figures, starts: date) -> None:
    """Add what every price needs: tax, pay and a margin."""
    if starter.tax_rate is not None and not there.tax:
        tax = new_row(TaxCategory, names.tax, otherwise="tax", reserved=["goods"])
        tax.name = names.tax
        tax.untdid = TaxCategory.Untdid.STANDARD if starter.tax_rate else TaxCategory.Untdid.ZERO
        tax.save()
        TaxRate.objects.create(category=tax, rate=starter.tax_rate, starts=starts)
    if starter.hourly is not None and not there.role:
        role = new_row(Role, names.role, otherwise="work")
        role.name, role.hourly = names.role, starter.hourly
        role.save()
    if starter.margin is not None and not there.rule:
        rule = new_row(PriceRule, names.rule, otherwise="rule")
        rule.name, rule.margin = names.rule, starter.margin
        rule.save()


def _station(name: str, kind: Station.Kind, air_c: Decimal | None) -> None:
    station = new_row(Station, name, otherwise=kind.value)
    station.name, station.kind, station.air_c = name, kind, air_c
    station.save()


def _monthly(starter: Starter, names: Names) -> None:
    """Add the monthly costs: rent by the hour of work, the rest by the order where their number is known."""
    costs = []
    if starter.rent:
        costs.append(MonthlyCost(name=names.rent, amount=starter.rent, carrier=MonthlyCost.Carrier.LABOR))
    if starter.other:
        carrier = MonthlyCost.Carrier.ORDER if starter.orders else MonthlyCost.Carrier.LABOR
        costs.append(MonthlyCost(name=names.other, amount=starter.other, carrier=carrier, position=1))
    if costs:
        MonthlyCost.objects.bulk_create(costs)
        Kitchen.objects.filter(pk=1).update(monthly_labor_hours=starter.hours, monthly_orders=starter.orders)
