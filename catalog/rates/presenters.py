"""Overhead rates in words, with the computation of each and costs that no rate covers."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from django.utils.translation import gettext
from django.utils.translation import gettext_noop as marked

from catalog.rates.models import MonthlyCost, Station
from catalog.rates.overhead import Rate
from catalog.web import display

#: What a month's costs are divided by.
_COUNTED: Final = {
    MonthlyCost.Carrier.LABOR: marked("labor hours per month"),
    MonthlyCost.Carrier.ORDER: marked("orders per month"),
    MonthlyCost.Carrier.STATION: marked("hours per month"),
}


@dataclass(frozen=True, slots=True)
class RateShown:
    """A rate as pages show it."""

    per: str
    station: str
    value: Decimal | None
    stated: bool
    formula: str
    problem: str


def rates_shown(rates: Iterable[Rate]) -> list[RateShown]:
    """Write the computation of each rate."""
    return [rate_shown(rate) for rate in rates]


def station_rates_shown(rows: Iterable[tuple[Station, Rate]]) -> list[tuple[Station, RateShown]]:
    """Write the computation of each station's rate."""
    return [(station, rate_shown(rate)) for station, rate in rows]


def rate_shown(rate: Rate) -> RateShown:
    """Write the computation of a rate."""
    return RateShown(
        per=rate.per,
        station=rate.station,
        value=rate.value,
        stated=rate.stated is not None,
        formula=_formula(rate),
        problem=_problem(rate),
    )


def _counted(rate: Rate) -> str:
    return gettext(_COUNTED[MonthlyCost.Carrier(rate.per)])


def _figure(number: Decimal) -> str:
    return display.plain(Fraction(number), 4)


def _formula(rate: Rate) -> str:
    if rate.derived is None or rate.divisor is None:
        none = gettext("No monthly cost is allocated to it.")
        return none if rate.stated is None else gettext("Entered by you.")
    terms = " + ".join(f"{name} {_figure(amount)}" for name, amount in rate.costs)
    summed = f"({terms} = {_figure(rate.total)})" if len(rate.costs) > 1 else terms
    quotient = f"{summed} ÷ {_figure(rate.divisor)} {_counted(rate)} = {_figure(rate.derived)}"
    if rate.stated is None:
        return quotient
    return gettext("Entered by you. Your monthly costs would give %(sum)s.") % {"sum": quotient}


def _problem(rate: Rate) -> str:
    if not rate.uncharged:
        return ""
    sentence = gettext("%(amount)s per month is in no price: enter the %(counted)s, or enter the rate yourself.")
    return sentence % {"amount": _figure(rate.total), "counted": _counted(rate)}
