"""The kitchen in the Book: measuring, rounding, charging, profile, opening hours and molds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, time
from fractions import Fraction
from typing import Literal

from costing.measures.measure import CupKind

ZERO = Fraction(0)


@dataclass(frozen=True, slots=True)
class Profile:
    """The kitchen's names, locale, payment terms and air temperatures [°C]. Pricing does not read it."""

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
    food_safety: str = "us"
    room_c: Fraction = Fraction(24)
    away_c: Fraction = Fraction(25)
    vehicle_cold: bool = False
    tax_name: str = "Sales tax"
    tax_number: str = ""
    tax_note: str = ""
    quote_valid_days: int = 14
    deposit_share: Fraction = Fraction(3, 10)
    deposit_days: int = 7
    final_count_days: int = 10
    balance_days: int = 7
    cancellation_terms: str = ""
    approve_button: str = "Approve and commit to pay"
    payment_details: str = ""


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
    """An interval in which somebody works; weekday 0 is Monday."""

    weekday: int
    opens: time
    closes: time


@dataclass(frozen=True, slots=True)
class ClosedDay:
    """A date on which nobody works."""

    date: date
    reason: str = ""


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
