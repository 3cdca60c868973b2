"""Money in one currency, for sums across documents: amounts in two currencies cannot be added.

In the database, in allocations and in stored contents an amount is an integer of minor units, with the document's
currency beside it. Amounts of several documents are converted to ``Money`` before they are added: adding two currencies
is a TypeError.
"""

from collections.abc import Iterable
from decimal import Decimal

from djmoney.money import Money

from catalog.records.money import currency_of, money_of
from costing.money.rounding import minor_digits


def from_minor(minor: int, currency: str) -> Money:
    """Return whole minor units as money.

    Raises KeyError for a currency without minor units.
    """
    return money_of(Decimal(minor).scaleb(-minor_digits(currency)), currency)


def minor_units(amount: Money) -> int:
    """Return money as whole minor units of its currency; it has no fraction of one."""
    return int(amount.amount.scaleb(minor_digits(amount.currency.code)))


def add_up(amounts: Iterable[Money], currency: str) -> Money:
    """Add amounts up; zero of the currency when there are none.

    Raises TypeError when one of them is in another currency.
    """
    # Zero is written with the currency's decimals, as any sum.
    total, here = from_minor(0, currency).amount, currency_of(currency)
    for amount in amounts:
        # The same result as Money's own addition, ten times as fast: a register may contain every document.
        if amount.currency != here:
            raise TypeError(f"{amount.currency.code} + {currency}")
        total += amount.amount
    return Money(total, here)
