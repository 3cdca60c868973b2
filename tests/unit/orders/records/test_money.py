"""Money is whole minor units of one currency, and two currencies are never one sum."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from moneyed import CURRENCIES as LISTED

from costing.money.currencies import MINOR_DIGITS
from orders.records.money import add_up, from_minor, minor_units

AMOUNTS = st.integers(-(10**12), 10**12)
CURRENCIES = st.sampled_from(sorted(MINOR_DIGITS))


@given(AMOUNTS, CURRENCIES)
def test_minor_units_come_back_as_they_went_in(minor: int, currency: str) -> None:
    assert minor_units(from_minor(minor, currency)) == minor


@given(st.lists(AMOUNTS), CURRENCIES)
def test_a_sum_is_the_sum_of_the_minor_units(amounts: list[int], currency: str) -> None:
    total = add_up((from_minor(minor, currency) for minor in amounts), currency)
    assert minor_units(total) == sum(amounts)
    assert total.currency.code == currency


@pytest.mark.parametrize(("currency", "amount"), [("USD", "12.34"), ("JPY", "1234"), ("KWD", "1.234")])
def test_the_currency_has_its_own_decimals(currency: str, amount: str) -> None:
    assert from_minor(1234, currency).amount == Decimal(amount)


def test_two_currencies_are_no_sum() -> None:
    with pytest.raises(TypeError):
        add_up([from_minor(100, "USD"), from_minor(100, "EUR")], "USD")
    with pytest.raises(TypeError, match=r"^EUR \+ USD$"):
        add_up([from_minor(100, "EUR")], "USD")


def test_nothing_adds_up_to_zero_of_the_currency() -> None:
    assert add_up([], "EUR") == from_minor(0, "EUR")


@pytest.mark.parametrize(("currency", "text"), [("USD", "0.00"), ("JPY", "0"), ("KWD", "0.000")])
def test_nothing_is_written_with_the_currencys_decimals_too(currency: str, text: str) -> None:
    assert str(add_up([], currency).amount) == text


def test_a_currency_younger_than_the_librarys_list_is_money_too() -> None:
    """Such as ZWG, in ISO 4217 since 2024."""
    young = {code for code in MINOR_DIGITS if code not in LISTED} | {"USD"}
    assert {from_minor(100, code).currency.code for code in young} == young
    assert from_minor(1, "USD") != from_minor(1, "EUR")
