"""Money is written as CLDR's pattern of the locale says, with the minor unit of ISO 4217."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from babel.core import Locale
from babel.numbers import parse_pattern
from djmoney.money import Money
from hypothesis import given
from hypothesis import strategies as st

from catalog.kitchen.forms import LOCALES
from catalog.records.money import money_of
from catalog.web import display
from catalog.web.display import DisplaySettings
from catalog.web.money_fields import MoneyField, amounts
from costing.money.currencies import MINOR_DIGITS

LOCALE = st.sampled_from(LOCALES)
CURRENCY = st.sampled_from(sorted(MINOR_DIGITS))


def by_the_pattern(value: Decimal, currency: str, locale: str, least: int, most: int) -> str:
    """Write an amount by the locale's own pattern, its decimals set by hand."""
    parsed = Locale.parse(locale)
    pattern = parse_pattern(parsed.currency_formats["standard"].pattern)
    pattern.frac_prec = (least, most)
    written = str(pattern.apply(value, parsed, currency=currency, currency_digits=False))
    return written.replace("-", "−", 1) if value < 0 else written


@given(st.integers(-(10**14), 10**14), CURRENCY, LOCALE)
def test_minor_units_are_written_by_the_locales_pattern(value: int, currency: str, locale: str) -> None:
    digits = MINOR_DIGITS[currency]
    with display.use(replace(DisplaySettings(), locale=locale)):
        written = display.minor(value, currency)
    assert written == by_the_pattern(Decimal(value).scaleb(-digits), currency, locale, digits, digits)


@given(st.fractions(-(10**9), 10**9), CURRENCY, LOCALE)
def test_amounts_are_rounded_half_up_and_written_by_the_locales_pattern(
    value: Fraction, currency: str, locale: str
) -> None:
    digits = MINOR_DIGITS[currency]
    most = digits + 2 if 0 < abs(value) < Fraction(10, 10**digits) else digits
    with display.use(replace(DisplaySettings(), locale=locale)):
        written = display.amount(value, currency)
    whole = int(abs(value) * 10**most + Fraction(1, 2))
    rounded = Decimal(whole if value > 0 else -whole).scaleb(-most) if whole else Decimal(0).scaleb(-most)
    assert written == by_the_pattern(rounded, currency, locale, digits, most)


@pytest.mark.parametrize("currency", ["USD", "JPY", "XCG"])
def test_money_brings_its_own_currency(currency: str) -> None:
    money = money_of(Decimal(12), currency)
    assert display.amount(money) == display.amount(Decimal(12), currency)
    assert display.minor(money) == display.minor(12 * 10 ** MINOR_DIGITS[currency], currency)


def test_a_field_reads_money_in_the_currency_its_form_is_made_for() -> None:
    field = MoneyField(what="the price")
    field.currency = "EUR"
    assert field.clean("1,234.50 €") == Money("1234.50", "EUR")
    assert field.clean("0") == Money(0, "EUR")
    assert MoneyField(what="the price", required=False).clean("") is None


def test_services_get_the_bare_amount() -> None:
    assert amounts({"price": Money("4.50", "EUR"), "size": "5 lb", "none": None}) == {
        "price": Decimal("4.50"),
        "size": "5 lb",
        "none": None,
    }
