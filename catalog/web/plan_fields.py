"""Fields of what a plan counts: how far temperatures may lie apart, and how much waits on one place."""

import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.web import display
from catalog.web.fields import NumberField, capital
from catalog.web.measure_fields import TemperatureField
from catalog.web.numbers import plain_number, trimmed
from costing.contract.plan_bounds import KG_PER_PLACE, TOLERANCE_C

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

#: International yard and pound agreement of 1959.
_KG_PER_POUND: Final = Decimal("0.45359237")
_KG: Final = {
    **dict.fromkeys(("kg", "kilogram", "kilograms"), Decimal(1)),
    **dict.fromkeys(("g", "gram", "grams"), Decimal("0.001")),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), _KG_PER_POUND),
    **dict.fromkeys(("oz", "ounce", "ounces"), _KG_PER_POUND / 16),
}
_MASS: Final = re.compile(r"(?P<number>.*?)\s*(?P<unit>[a-z]+)?\.?\s*\Z", re.DOTALL)
#: Digits after the point of what is stored, for a difference [°C] and for a mass [kg].
_DIGITS: Final = 6
#: Digits after the point that a field shows at most.
_SHOWN: Final = 4


class DifferenceField(TemperatureField):
    """How far two temperatures lie apart, in the kitchen's degrees, read as °C: 18 °F apart are 10 °C apart."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("within", TOLERANCE_C)
        kwargs.setdefault("examples", ("25", "15"))
        super().__init__(**kwargs)

    def _celsius(self, shown: Decimal, degrees: str) -> Decimal:
        celsius = _stored(shown * _step(degrees))
        if not self.coldest <= celsius <= self.hottest:
            limits = {"least": self.coldest, "most": trimmed(Decimal(self.hottest) / _step(self.degrees))}
            figures = {
                "named": capital(self.what),
                "least": limits["least"],
                "most": f"{limits['most']} °{self.degrees}",
            }
            sentence = gettext("%(named)s must be from %(least)s to %(most)s.")
            raise ValidationError(sentence % figures, code="out_of_range")
        return celsius

    def prepare_value(self, value: Any) -> Any:
        return _written(value, _step(self.degrees)) if isinstance(value, Decimal) else value


def difference_written(celsius: Decimal, degrees: str) -> str:
    """Write how far two temperatures lie apart [°C] in the kitchen's degrees: 18 °F."""
    return f"{_written(celsius, _step(degrees))} °{degrees}"


def _step(degrees: str) -> Decimal:
    """Return one degree of a scale [°C]."""
    return Decimal(1) if degrees == "C" else Decimal(5) / 9


def _stored(value: Decimal) -> Decimal:
    return Decimal(trimmed(value.quantize(Decimal(1).scaleb(-_DIGITS))))


def _written(value: Decimal, unit: Decimal) -> str:
    """Write a stored value in units of its own, with as few decimals as read back the same."""
    steps = ((value / unit).quantize(Decimal(1).scaleb(-digits)) for digits in range(_SHOWN + 1))
    exact = (value / unit).quantize(Decimal(1).scaleb(-_DIGITS))
    return trimmed(next((step for step in steps if _stored(step * unit) == value), exact))


class MassField(NumberField):
    """A mass in kilograms, entered and shown in pounds where the kitchen weighs in pounds.

    A unit written after the number (kg, g, lb, oz) overrides it. ``examples`` is one in pounds and one in kilograms.
    """

    def __init__(self, *, what: "StrOrPromise", examples: tuple[str, str], **kwargs: Any) -> None:
        self.examples = examples
        super().__init__(what=what, **kwargs)

    @property
    def unit(self) -> str:
        """The unit of a number without one."""
        return display.mass_unit()

    @unit.setter
    def unit(self, value: str) -> None:
        """The unit is the kitchen's; what the base class sets is ignored."""

    @property
    def example(self) -> str:
        """An example in that unit."""
        return self.examples[self.unit == "kg"]

    @example.setter
    def example(self, value: str) -> None:
        """The examples are given as a pair."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # a number field over text
        if not isinstance(value, str):
            return super().to_python(value)
        text = value[:80].strip().lower()
        parts = _MASS.fullmatch(text)
        number, unit = parts.groups() if parts else (text, None)
        if not number and not unit:
            return None
        if unit not in _KG:
            number, unit = (text if unit else number), self.unit
        return _stored(plain_number(number, what=self.what, example=self.example) * _KG[unit])

    def validate(self, value: Any) -> None:
        if value is not None and not 0 < value <= KG_PER_PLACE:
            most = display.plain(KG_PER_PLACE / _KG[self.unit], 0)
            sentence = gettext("%(named)s must be more than 0 and at most %(limit)s.")
            raise ValidationError(sentence % {"named": capital(self.what), "limit": f"{most} {self.unit}"})
        super().validate(value)

    def prepare_value(self, value: Any) -> Any:
        return _written(value, _KG[self.unit]) if isinstance(value, Decimal) else value
