"""The kitchen in the Book: profile, rounding, hours, molds, vessels; rates of labor, stations, overhead, taxes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from fractions import Fraction
from typing import Literal

from costing.measures.measure import CupKind
from costing.measures.numbers import Number, number

ZERO = Fraction(0)
OVERHEAD_RATES = ("per_labor_hour", "per_order")
_DIGITS = 4


@dataclass(frozen=True, slots=True)
class Overhead:
    """Overhead rates [currency per paid labor hour; currency per order].

    `derived` names the rates that nobody stated: they are computed from monthly costs and the hours or orders of a
    month.
    """

    per_labor_hour: Fraction = ZERO
    per_order: Fraction = ZERO
    monthly_labor_hours: Fraction | None = None
    monthly_orders: Fraction | None = None
    derived: tuple[str, ...] = ()

    @property
    def charges(self) -> bool:
        """Whether there is a rate, stated or computed from monthly figures."""
        return any(rate not in self.derived or getattr(self, rate) for rate in OVERHEAD_RATES)


@dataclass(frozen=True, slots=True)
class MonthlyCost:
    """A monthly overhead cost [currency] and what it is divided by: labor hours, orders, or a station's hours."""

    name: str
    amount: Fraction
    carrier: str
    station: str | None = None


@dataclass(frozen=True, slots=True)
class Role:
    """A kind of work with its pay [currency/h] and on-cost [share of pay]."""

    code: str
    hourly: Fraction
    on_cost: Fraction = ZERO
    name: str = ""

    def __str__(self) -> str:
        return self.name or self.code


@dataclass(frozen=True, slots=True)
class StationOut:
    """A time in which stations are out of order, by the clocks of the kitchen, and how many of those alike."""

    begins: datetime
    ends: datetime
    count: int = 1
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Station:
    """A place that does work by itself, with its overhead [currency/h].

    `derived` says that nobody stated the rate: it is computed from monthly costs and the hours of a month. `count` are
    how many there are alike, `places` the trays or shelf places that one of them holds, `out` when some are out of
    order; `tolerance_c` is how far the temperatures of loads may lie apart that are in it at the same time [°C]; None
    where nobody stated it. `air_c` is its air temperature [°C], `air` how that air moves.
    """

    code: str
    kind: str
    hourly: Fraction
    name: str = ""
    monthly_hours: Fraction | None = None
    places: int | None = None
    air_c: Fraction | None = None
    air: str = "still"
    derived: bool = False
    count: int = 1
    tolerance_c: Fraction | None = None
    out: tuple[StationOut, ...] = ()

    def __str__(self) -> str:
        return self.name or self.code


@dataclass(frozen=True, slots=True)
class TaxRate:
    """A rate [share] and the first supply date it holds for."""

    rate: Fraction
    start: date


@dataclass(frozen=True, slots=True)
class Tax:
    """A tax category with its dated rates and its text for documents; `untdid` is its code of UNTDID 5305."""

    code: str
    rates: tuple[TaxRate, ...]
    name: str = ""
    untdid: str = "S"
    exempt_reason: str = ""

    def rate_on(self, day: date) -> Fraction | None:
        """Return the rate in force on a supply date, or None when none is yet.

        Parameters
        ----------
        day : date
            Supply date.
        """
        begun = [rate for rate in self.rates if rate.start <= day]
        return max(begun, key=lambda rate: rate.start).rate if begun else None


@dataclass(frozen=True, slots=True)
class Delivery:
    """How delivery is paid, charged and taxed.

    Parameters
    ----------
    role : str
        Code of the role that is paid for travel and set-up.
    per_km : Fraction
        What a kilometre costs [currency/km].
    margin : Fraction
        Margin on delivery [share of the net price].
    tax : str
        Code of its tax, or `goods`: taxed as the goods delivered.
    """

    role: str
    per_km: Fraction
    margin: Fraction
    tax: str


def derived_rate(total: Fraction, divisor: Fraction | None) -> Number | None:
    """Compute a rate from a month's costs, with four decimals.

    Parameters
    ----------
    total : Fraction
        The month's costs [currency].
    divisor : Fraction or None
        The hours or orders of a month [h or each].

    Returns
    -------
    Number or None
        [currency per hour or order], half up at the fourth decimal, with four decimals; None without costs or without
        hours or orders.
    """
    if not total or not divisor or divisor < 0:
        return None
    scaled = total / divisor * 10**_DIGITS
    units = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    return number(f"{units // 10**_DIGITS}.{units % 10**_DIGITS:0{_DIGITS}d}")


ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class CancellationRow:
    """What is kept of an order that the customer cancels from so many `days` before the event on [share of the total].

    It holds until the row of fewer days begins, the last one on the day of the event and after it.
    """

    days: int
    share: Fraction


@dataclass(frozen=True, slots=True)
class PaymentRow:
    """A payment due so many `days` before the event: a `share` of the total, or an `amount` [currency].

    With neither it is all that is left of the total. In `payments_after` it is due so many days after the invoice, and
    its share is of what that leaves to pay; what no row takes is due after `balance_days`.
    """

    days: int
    share: Fraction | None = None
    amount: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Profile:
    """The kitchen's names, locale, payment terms, air temperatures [°C] and limit of time [min]; no price reads it.

    `most_events_per_day` and `most_guests_per_day` are None without such a limit.
    `longest_wait_min` is how long a batch may wait where a step states no longest hold [min]; None where nobody stated
    it. `vehicle_cold` is true where every vehicle is refrigerated. `cancellation_table` is empty where nothing but the
    words of `cancellation_terms` says what is kept; `cancellation_tax` is the code of the tax category of what is kept,
    empty where it is asked each time. `deposit` is an amount that counts instead of `deposit_share` [currency].
    `final_count_fall` is by what share the guest count may fall after the final-count date; None as agreed with the
    kitchen. Numbers of the bank are without spaces.
    """

    name: str = "Your kitchen"
    legal_name: str = ""
    address: str = ""
    country: str = "US"
    email: str = ""
    phone: str = ""
    locale: str = "en_US"
    time_zone: str = "America/New_York"
    measures: str = "us"
    degrees: str = "F"
    distance: str = "km"
    paper: str = "Letter"
    allergen_list: str = "us"
    cross_contact: str = ""
    food_safety: str = "us"
    room_c: Fraction = Fraction(24)
    away_c: Fraction = Fraction(25)
    vehicle_cold: bool = False
    time_out_minutes: int | None = None
    time_out_source: str = ""
    checks_note: str = ""
    longest_wait_min: int | None = None
    tax_name: str = "Sales tax"
    tax_number: str = ""
    tax_note: str = ""
    quote_valid_days: int = 14
    deposit_share: Fraction = Fraction(3, 10)
    deposit: Fraction | None = None
    deposit_days: int = 7
    payments_before: tuple[PaymentRow, ...] = ()
    final_count_days: int = 10
    final_count_fall: Fraction | None = None
    balance_days: int = 7
    payments_after: tuple[PaymentRow, ...] = ()
    cancellation_terms: str = ""
    cancellation_table: tuple[CancellationRow, ...] = ()
    cancellation_tax: str = ""
    approve_button: str = "Approve and commit to pay"
    payment_details: str = ""
    bank_holder: str = ""
    bank_iban: str = ""
    bank_bic: str = ""
    bank_routing: str = ""
    bank_account: str = ""
    payment_page: str = ""
    most_events_per_day: int | None = None
    most_guests_per_day: int | None = None


@dataclass(frozen=True, slots=True)
class Kitchen:
    """How this kitchen measures, rounds and charges.

    Parameters
    ----------
    price_step : Fraction
        Prices are rounded up to a multiple of this [currency].
    cup : {'us', 'metric'}
        Which cup and spoons its recipes mean.
    waste : Fraction
        Added to what is bought by mass [share].
    prices : {'net', 'gross'}
        Whether prices are shown without or with tax.
    floor_margin : Fraction
        Least margin of an order without the owner's recorded override [share of the net price].
    order_minimum : Fraction
        Least a customer is charged for goods [currency].
    rush_rate : Fraction
        Surcharge on goods at short notice [share].
    profile : Profile, optional
        Names, locale and payment terms; None where the Book does not state them.
    """

    price_step: Fraction
    cup: CupKind = "us"
    waste: Fraction = ZERO
    prices: Literal["net", "gross"] = "net"
    floor_margin: Fraction = ZERO
    order_minimum: Fraction = ZERO
    rush_rate: Fraction = ZERO
    profile: Profile | None = None

    @property
    def described(self) -> Profile:
        """The profile; one with all defaults where the Book has none."""
        return self.profile or Profile()


@dataclass(frozen=True, slots=True)
class OpenHours:
    """An interval in which somebody works; weekday 0 is Monday. `hands` are the people there; None is not stated."""

    weekday: int
    opens: time
    closes: time
    hands: int | None = None


@dataclass(frozen=True, slots=True)
class HandOverHours:
    """An interval in which things may be picked up or leave; weekday 0 is Monday."""

    weekday: int
    opens: time
    closes: time


@dataclass(frozen=True, slots=True)
class DatedHours:
    """An interval in which somebody works on a date; all those of a date count instead of its weekday's.

    `hands` are the people there; None is not stated.
    """

    date: date
    opens: time
    closes: time
    hands: int | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class ClosedDay:
    """A date on which nobody works."""

    date: date
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A vehicle that delivers, and whether it is refrigerated."""

    name: str
    cold: bool = False

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Mold:
    """A tin, ring, glass or tray the kitchen owns; inside measures [cm]."""

    name: str
    shape: str = "round"
    diameter_cm: Fraction | None = None
    length_cm: Fraction | None = None
    width_cm: Fraction | None = None
    height_cm: Fraction | None = None
    owned: int = 1
    wall: str = "metal"

    def __str__(self) -> str:
        return self.name


@dataclass(frozen=True, slots=True)
class Vessel:
    """A tub, hotel pan, tray, pot or bowl a batch cools in; inside measures [cm]. With a diameter it is round.

    How many are `owned` is None where it is not entered: that is not known, and nothing is concluded from it.
    """

    name: str
    kind: str = "tub"
    diameter_cm: Fraction | None = None
    length_cm: Fraction | None = None
    width_cm: Fraction | None = None
    height_cm: Fraction | None = None
    owned: int | None = None
    wall: str = "metal"

    def __str__(self) -> str:
        return self.name
