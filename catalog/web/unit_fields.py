"""Fields of figures with a unit: the kitchen's, or one that is written after the number."""

import re
from abc import ABC, abstractmethod
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, ClassVar, Final

from django.core.exceptions import ValidationError
from django.utils.translation import gettext

from catalog.web import display
from catalog.web.fields import NumberField, capital
from catalog.web.numbers import number_input, plain_number, trimmed
from costing.measures.measure import VULGAR

#: A unit that may be written after a length -> centimeters.
_LENGTHS: Final = {
    **dict.fromkeys(("cm", "centimeters", "centimetres"), Decimal(1)),
    **dict.fromkeys(("mm",), Decimal("0.1")),
    **dict.fromkeys(("in", "inch", "inches", '"', "″"), Decimal("2.54")),
}
_LENGTH: Final = re.compile(r"(?P<number>.*?)\s*(?P<unit>[a-z]+|[\"″])?\.?\s*\Z", re.DOTALL)
_RULER: Final = re.compile(rf"(?:(\d{{1,4}})\s*)??(?:(?<!\d)(\d{{1,2}})/([1-9]\d?)|([{''.join(VULGAR)}]))", re.ASCII)
#: A length in centimeters is stored to this; what a field shows in inches has three decimals.
_STORED: Final = Decimal("0.01")
_CM_PER_INCH: Final = Decimal("2.54")
_LARGEST: Final = 500


class UnitField(NumberField, ABC):
    """A figure in the kitchen's unit, or in one written after it. ``examples`` is one in American and one in metric.

    A subclass states the kitchen's unit, the ``units`` it knows, how number and unit are told apart (``written``), and
    what is stored of a figure in a unit.
    """

    units: ClassVar[Mapping[str, Decimal]]
    written: ClassVar[re.Pattern[str]]
    metric: ClassVar[str]

    def __init__(self, *, examples: tuple[str, str], **kwargs: Any) -> None:
        self.examples = examples
        super().__init__(**kwargs)

    @abstractmethod
    def unit_of_kitchen(self) -> str:
        """Return the unit of a number without one."""

    @property
    def unit(self) -> str:
        """The unit of a number without one."""
        return self.unit_of_kitchen()

    @unit.setter
    def unit(self, value: str) -> None:
        """The unit is the kitchen's; what the base class sets is ignored."""

    @property
    def example(self) -> str:
        """An example in that unit."""
        return self.examples[self.unit == self.metric]

    @example.setter
    def example(self, value: str) -> None:
        """The examples are given as a pair."""

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # a number field over text
        if not isinstance(value, str):
            return super().to_python(value)
        text = value[:80].strip().lower()
        parts = self.written.fullmatch(text)
        number, unit = parts.groups() if parts else (text, None)
        if not number and not unit:
            return None
        if unit is None or unit not in self.units:
            number, unit = (text if unit else number), self.unit
        return self.stored(self.read(number), unit)

    def read(self, number: str) -> Decimal:
        """Return the number that is written."""
        return plain_number(number, what=self.what, example=self.example)

    @abstractmethod
    def stored(self, shown: Decimal, unit: str) -> Decimal:
        """Return what is stored of a number in a unit."""


class LengthField(UnitField):
    """A length in centimeters, typed and shown in the kitchen's unit: inches where it weighs in pounds.

    A unit written after the number (in, cm, mm) overrides it. ``examples`` is one in inches and one in centimeters.
    """

    units, written, metric = _LENGTHS, _LENGTH, "cm"

    def __init__(self, *, examples: tuple[str, str] = ("9", "24"), most: int = _LARGEST, **kwargs: Any) -> None:
        super().__init__(examples=examples, most=most, **kwargs)

    def unit_of_kitchen(self) -> str:
        return display.length_unit()

    def read(self, number: str) -> Decimal:
        return _mixed(number) or super().read(number)

    def stored(self, shown: Decimal, unit: str) -> Decimal:
        return _stored(shown) if _LENGTHS[unit] == _CM_PER_INCH else _trimmed(shown * _LENGTHS[unit])

    def validate(self, value: Any) -> None:
        if value is not None and self.most is not None and value > self.most:
            most = display.plain(Decimal(self.most) / _LENGTHS[self.unit], 0)
            sentence = gettext("%(named)s must be %(limit)s or less.")
            raise ValidationError(sentence % {"named": capital(self.what), "limit": f"{most} {self.unit}"})
        super().validate(value)

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, Decimal):
            return value
        return number_input(value if self.unit == "cm" else (value / _CM_PER_INCH).quantize(Decimal("0.001")))


def _stored(inches: Decimal) -> Decimal:
    """Convert inches to centimeters; what a field shows of a stored length means that length."""
    exact = inches * _CM_PER_INCH
    near = exact.quantize(_STORED)
    shown = (near / _CM_PER_INCH).quantize(Decimal("0.001"))
    return _trimmed(near if shown == inches else exact)


def _mixed(text: str) -> Decimal | None:
    """Read whole inches with a fraction, as a ruler has them: 9 1/2, 9½, 3/8; None for anything else."""
    parts = _RULER.fullmatch(text.strip())
    if parts is None:
        return None
    whole, over, under, sign = parts.groups()
    part = VULGAR[sign] if sign else Fraction(int(over), int(under))
    return Decimal(int(whole or 0)) + Decimal(part.numerator) / part.denominator


def _trimmed(value: Decimal) -> Decimal:
    return Decimal(trimmed(value))
