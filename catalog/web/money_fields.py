"""Fields for money in the kitchen's currency, and for rates by the kilometre or the mile."""

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext
from djmoney.money import Money

from catalog.records.money import money_of
from catalog.web.display import currency_decimals
from catalog.web.display.measures import KM_PER_MILE
from catalog.web.fields import NumberField
from catalog.web.numbers import number_input, trimmed, written_here

#: Decimals of a rate per kilometre, so that a rate entered per mile is shown unchanged.
_RATE_DIGITS: Final = Decimal("1e-10")
_SHOWN: Final = Decimal("0.0001")
#: What the price of a whole pack is for, after the price (common practice, no source).
_PER_PACK: Final = re.compile(
    r"\s*(?:/|\bper\b|\ba\b)\s*(?:cs|case|ctn|carton|pk|pack|pkg|package|bag|box|sack|pail|tub|jug|jar|bottle|btl|can)"
    r"\.?\s*\Z",
    re.IGNORECASE,
)
MOST_MONEY: Final = 10_000_000
#: ISO 4217: no currency is involved.
NO_CURRENCY: Final = "XXX"


class MoneyField(NumberField):
    """An amount of money, exact. One that is ``charged`` as it stands has no fraction of the currency's minor unit.

    Without a currency, `MoneyField.use_currency` has to name it before the field reads anything.
    """

    def __init__(self, *, currency: str = NO_CURRENCY, charged: bool = False, **kwargs: Any) -> None:
        self.use_currency(currency, charged=charged)
        if "above" not in kwargs:
            kwargs.setdefault("least", 0)
        kwargs.setdefault("most", MOST_MONEY)
        kwargs.setdefault("example", "12.50")
        super().__init__(**kwargs)

    def use_currency(self, currency: str, *, charged: bool) -> None:
        """Read amounts in this currency; in whole minor units where they are ``charged`` as they stand."""
        self.currency = currency
        self.digits = currency_decimals(currency) if charged else None

    def clean(self, value: Any) -> Money | None:
        """Return the amount as money in the form's currency."""
        number: Decimal | None = super().clean(value)
        if number is None:
            return None
        if self.digits is not None and number.scaleb(self.digits) % 1:
            sentence = (
                gettext("Write %(what)s with at most %(digits)s decimals: no smaller coin exists.")
                if self.digits
                else gettext("Write %(what)s without decimals: no smaller coin exists.")
            )
            raise ValidationError(sentence % {"what": self.what, "digits": self.digits}, code="too_fine")
        return money_of(number, self.currency)

    def prepare_value(self, value: Any) -> Any:
        """Write an amount with the decimals of its currency, or more where it has more."""
        if isinstance(value, Money):
            value = value.amount
        text = super().prepare_value(value)
        least = 0 if self.currency == NO_CURRENCY else currency_decimals(self.currency)
        if not isinstance(value, Decimal) or not least:
            return text
        sign = written_here().decimal
        whole, _, rest = str(text).partition(sign)
        return f"{whole}{sign}{rest.ljust(least, '0')}"


class PackPriceField(MoneyField):
    """The price of a whole pack; an invoice's ``$52.80/cs`` and ``52.80 per case`` are read too."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # a number field over text
        return super().to_python(_PER_PACK.sub("", value) if isinstance(value, str) else value)


def amounts(cleaned: Mapping[str, Any]) -> dict[str, Any]:
    """Return a form's cleaned data as services take it: the catalog keeps amounts in the kitchen's one currency."""
    return {name: value.amount if isinstance(value, Money) else value for name, value in cleaned.items()}


class DistanceRateField(NumberField):
    """A rate by the kilometre, written by the mile where the kitchen counts in miles."""

    def __init__(self, **kwargs: Any) -> None:
        self.miles = False
        kwargs.setdefault("least", 0)
        kwargs.setdefault("most", 1000)
        super().__init__(**kwargs)

    def use(self, currency: str, *, miles: bool) -> None:
        """Read and show it in a currency, by the mile or by the kilometer."""
        self.miles = miles
        unit = gettext("%(currency)s per mile") if miles else gettext("%(currency)s per kilometer")
        self.unit = unit % {"currency": currency}

    def clean(self, value: Any) -> Decimal | None:
        number: Decimal | None = super().clean(value)
        if number is None or not self.miles:
            return number
        return Decimal(trimmed((number / KM_PER_MILE).quantize(_RATE_DIGITS)))

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal) and self.miles:
            return number_input((value * KM_PER_MILE).quantize(_SHOWN))
        return super().prepare_value(value)


def in_currency(form: forms.Form, currency: str, *, charged: tuple[str, ...] = ()) -> None:
    """Set the currency of a form's amounts; those in ``charged`` accept whole minor units only."""
    for name, field in form.fields.items():
        if isinstance(field, MoneyField):
            field.unit = currency
            field.use_currency(currency, charged=name in charged)
