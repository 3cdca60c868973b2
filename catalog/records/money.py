"""Money as a value: an exact amount beside its currency. Adding two currencies is a TypeError."""

from decimal import Decimal

from djmoney.money import Money
from moneyed import CURRENCIES, Currency


def currency_of(code: str) -> Currency:
    """Return the currency of an ISO 4217 code; some are younger than the library's list."""
    return CURRENCIES.get(code) or Currency(code)


def money_of(amount: Decimal, currency: str) -> Money:
    """Return an amount with its currency, as exact as it is."""
    return Money(amount, currency_of(currency))
