"""Fields of what a plan counts: how far temperatures may lie apart, and how much waits on one place."""

import re
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.web import display
from catalog.web.fields import capital
from catalog.web.measure_fields import KG_PER_POUND, TemperatureField
from catalog.web.numbers import trimmed
from catalog.web.unit_fields import UnitField
from costing.contract.plan_bounds import KG_PER_PLACE, TOLERANCE_C

if TYPE_CHECKING:
    pass

_KG: Final = {
    **dict.fromkeys(("kg", "kilogram", "kilograms"), Decimal(1)),
    **dict.fromkeys(("g", "gram", "grams"), Decimal("0.001")),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), KG_PER_POUND),
    **dict.fromkeys(("oz", "ounce", "ounces"), KG_PER_POUND / 16),
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


class MassField(UnitField):
    """A mass in kilograms, entered and shown in pounds where the kitchen weighs in pounds.

    A unit written after the number (kg, g, lb, oz) overrides it. ``examples`` is one in pounds and one in kilograms.
    """

    units, written, metric = _KG, _MASS, "kg"

    def unit_of_kitchen(self) -> str:
        return display.mass_unit()

    def stored(self, shown: Decimal, unit: str) -> Decimal:
        return _stored(shown * _KG[unit])

    def validate(self, value: Any) -> None:
        if value is not None and not 0 < value <= KG_PER_PLACE:
            most = display.plain(KG_PER_PLACE / _KG[self.unit], 0)
            sentence = gettext("%(named)s must be more than 0 and at most %(limit)s.")
            raise ValidationError(sentence % {"named": capital(self.what), "limit": f"{most} {self.unit}"})
        super().validate(value)

    def prepare_value(self, value: Any) -> Any:
        return _written(value, _KG[self.unit]) if isinstance(value, Decimal) else value
