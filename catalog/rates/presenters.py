"""Overhead rates in words, with the computation of each and costs that no rate covers."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from catalog.rates.models import MonthlyCost, Station
from catalog.rates.overhead import Rate
from costing.measures.numbers import number_text

#: What a month's costs are divided by.
_COUNTED: Final = {
    MonthlyCost.Carrier.LABOR: "labour hours in a month",
    MonthlyCost.Carrier.ORDER: "orders in a month",
    MonthlyCost.Carrier.STATION: "hours in a month",
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
    return _COUNTED[MonthlyCost.Carrier(rate.per)]


def _formula(rate: Rate) -> str:
    if rate.derived is None or rate.divisor is None:
        return "No monthly figure is carried by it." if rate.stated is None else "Stated by you."
    terms = " + ".join(f"{name} {number_text(amount)}" for name, amount in rate.costs)
    summed = f"({terms} = {number_text(rate.total)})" if len(rate.costs) > 1 else terms
    quotient = f"{summed} ÷ {number_text(rate.divisor)} {_counted(rate)} = {number_text(rate.derived)}"
    return quotient if rate.stated is None else f"Stated by you. Your monthly figures would give {quotient}."


def _problem(rate: Rate) -> str:
    if not rate.uncharged:
        return ""
    return f"{number_text(rate.total)} a month is charged to nobody: enter the {_counted(rate)}, or state the rate."
