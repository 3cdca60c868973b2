"""Fields for words, choices, measures, time spans and temperatures."""

import re
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator, ProhibitNullCharactersValidator

from catalog.records.numbers import MOST_GRAMS
from catalog.web.fields import NumberField
from catalog.web.numbers import plain_number, trimmed
from costing.contract.cooling_bounds import STATION_C
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_measure


def name_field(label: str, ask: str, *, most: int = 80) -> forms.CharField:
    """Return a required text with its own sentences."""
    return forms.CharField(label=label, max_length=most, error_messages={"required": ask})


#: Length of a measure's column.
MEASURE_LENGTH = 60
_MINUTES = {
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes"), 1),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 60),
    **dict.fromkeys(("d", "day", "days"), 1440),
}
_SPAN = re.compile(r"(\d{1,7}(?:[.,]\d{1,3})?)\s*([a-z]*)\.?", re.ASCII)
_CLOCK = re.compile(r"(\d{1,4}):([0-5]\d)\Z", re.ASCII)
_DEGREES = re.compile(r"(?P<number>.*?)\s*[°º]?\s*(?P<letter>[cf]?)\s*\Z", re.IGNORECASE | re.DOTALL)


class WordsField(forms.CharField):
    """A text field whose error messages name it."""

    def __init__(self, *, what: str, most: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        named = f"{what[:1].upper()}{what[1:]}"
        self.validators = [
            MaxLengthValidator(most, f"{named} is too long: write at most {most} characters."),
            ProhibitNullCharactersValidator(f"{named} has a character that cannot be kept. Type it again."),
        ]


class PickField(forms.ChoiceField):
    """One of several choices, given when the form is made."""

    def __init__(self, *, what: str, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.error_messages["invalid_choice"] = f"Choose {what} from the list."

    @staticmethod
    def set_choices(form: forms.BaseForm, name: str, choices: list[tuple[str, str]]) -> None:
        """Set the choices of a form's field."""
        field = form.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = choices


def measure_read(text: str, *, mass: bool = False) -> str:
    """Convert a measure in free spelling to the exact grammar.

    Raises
    ------
    ValidationError
        With a sentence that says how to write it.
    """
    if len(text) > 3 * MEASURE_LENGTH:
        raise ValidationError("That is too long for an amount. Write it like 250 g or 1 1/2 cup.", code="too_long")
    try:
        exact = normalise_measure(text)
        measure = parse_measure(exact)
    except MeasureError as error:
        raise ValidationError(str(error), code="bad_measure") from error
    if mass and measure.kind != "mass":
        raise ValidationError(f"“{exact}” is not a weight. Write it in g, kg, oz or lb.", code="bad_measure")
    if len(exact) > MEASURE_LENGTH:
        raise ValidationError("That amount has too many figures. Write it shorter, such as 1250 g.", code="too_long")
    if measure.in_base() > MOST_GRAMS:
        raise ValidationError(f"“{exact}” is more than any kitchen makes. Check the amount.", code="too_large")
    return exact


class MeasureField(forms.CharField):
    """A measure such as ``1 1/2 cups``, converted to the exact grammar; ``mass`` for weights only."""

    def __init__(self, *, what: str, mass: bool = False, **kwargs: Any) -> None:
        self.what, self.mass = what, mass
        kwargs.pop("max_length", None)
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", "class": "short"}))
        super().__init__(**kwargs)
        example = "750 g" if mass else "250 g or 1 1/2 cup"
        self.error_messages["required"] = f"Enter {what}, such as {example}."

    def clean(self, value: Any) -> str:
        # A text that is too long or has invalid characters is refused by the parser.
        text = self.to_python(value)
        self.validate(text)
        return measure_read(text, mass=self.mass) if text else ""


def minutes_read(text: str, *, what: str, bare: int = 1) -> Decimal:
    """Read a time span: ``90``, ``1 h 30 min``, ``1:30``, ``2 days``; a bare number counts ``bare`` minutes.

    Raises
    ------
    ValidationError
        With a sentence that says how to write it.
    """
    body = " ".join(text[:80].lower().replace("½", ".5").split())
    clock = _CLOCK.match(body)
    if clock:
        return Decimal(int(clock[1]) * 60 + int(clock[2]))
    spans = [(number, _MINUTES.get(unit) if unit else bare) for number, unit in _SPAN.findall(body)]
    rest = _SPAN.sub("", body).replace("and", "").strip(" ,")
    if not spans or rest or any(factor is None for _, factor in spans):
        raise ValidationError(f"Write {what} as 45 min, 1 h 30 min or 2 days.", code="not_a_span")
    total = sum((Decimal(number.replace(",", ".")) * (factor or 0) for number, factor in spans), Decimal(0))
    if total > 525_600:
        raise ValidationError(f"{what[:1].upper()}{what[1:]} is longer than a year. Check it.", code="too_large")
    return total


class SpanField(forms.CharField):
    """A time span in minutes, written as people say it; empty is None."""

    def __init__(self, *, what: str, bare: int = 1, **kwargs: Any) -> None:
        self.what, self.bare = what, bare
        kwargs.setdefault("required", False)
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", "class": "short"}))
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Decimal | None:
        text = self.to_python(value)
        return minutes_read(text, what=self.what, bare=self.bare) if text else None

    def prepare_value(self, value: Any) -> Any:
        return span_written(Decimal(value)) if isinstance(value, Decimal | int) else value


def span_written(minutes: Decimal) -> str:
    """Write minutes so that they read back the same: 90 is 1 h 30 min."""
    days, rest = divmod(minutes, 1440)
    hours, left = divmod(rest, 60)
    parts = [f"{trimmed(n)} {unit}" for n, unit in ((days, "d"), (hours, "h"), (left, "min")) if n]
    return " ".join(parts) or "0 min"


#: A unit that may be written after a length -> centimeters.
_LENGTHS = {
    **dict.fromkeys(("cm", "centimeters", "centimetres"), Decimal(1)),
    **dict.fromkeys(("mm",), Decimal("0.1")),
    **dict.fromkeys(("in", "inch", "inches", '"', "″"), Decimal("2.54")),
}
_LENGTH = re.compile(r"(?P<number>.*?)\s*(?P<unit>[a-z]+|[\"″])?\.?\s*\Z", re.DOTALL)


class LengthField(NumberField):
    """A length in centimeters; one written with in or mm is converted."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("example", "10 cm or 4 in")
        kwargs.setdefault("unit", "cm")
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # a number field over text
        if not isinstance(value, str):
            return super().to_python(value)
        parts = _LENGTH.fullmatch(value[:80].strip().lower())
        number, unit = parts.groups() if parts else (value, None)
        if unit is None or unit not in _LENGTHS:
            return super().to_python(value)
        return _trimmed(plain_number(number, what=self.what, example=self.example) * _LENGTHS[unit])


def _trimmed(value: Decimal) -> Decimal:
    return Decimal(trimmed(value))


class TemperatureField(NumberField):
    """A temperature in the kitchen's degrees, read as °C; a °C or °F written after the number overrides them.

    ``within`` is the coldest and the hottest it can be [°C]; ``examples`` is one in °F and one in °C.
    """

    def __init__(
        self,
        *,
        degrees: str = "F",
        within: tuple[int, int] = STATION_C,
        examples: tuple[str, str] = ("350", "175"),
        **kwargs: Any,
    ) -> None:
        self.coldest, self.hottest = within
        self.examples = examples
        kwargs.setdefault("what", "the temperature")
        kwargs.setdefault("required", False)
        super().__init__(**kwargs)
        self.use(degrees)

    def use(self, degrees: str) -> None:
        """Read and show it in these degrees."""
        self.degrees, self.example = degrees, self.examples[degrees == "C"]

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # a number field over text
        if not isinstance(value, str):
            return super().to_python(value)
        parts = _DEGREES.fullmatch(value[:80].strip())
        number, character = parts.groups() if parts else (value, "")
        if not number and not character:
            return None
        shown = plain_number(number, what=self.what, example=self.example)
        return self._celsius(shown, character.upper() or self.degrees)

    def without_unit(self, value: Any) -> str:
        """Return what was typed where no °C or °F stands after it; empty where one does."""
        parts = _DEGREES.fullmatch(str(value or "")[:80].strip())
        number, character = parts.groups() if parts else ("", "")
        return "" if character else number

    def _celsius(self, shown: Decimal, degrees: str) -> Decimal:
        celsius = celsius_of(shown, degrees)
        if not -80 <= celsius <= 500:
            raise ValidationError(f"A temperature of {trimmed(shown)} °{degrees} cannot be. Check it.")
        if not self.coldest <= celsius <= self.hottest:
            least, most = (degrees_shown(Decimal(end), self.degrees) for end in (self.coldest, self.hottest))
            named = f"{self.what[:1].upper()}{self.what[1:]}"
            raise ValidationError(f"{named} must be from {least} to {most} °{self.degrees}.", code="out_of_range")
        return celsius

    def prepare_value(self, value: Any) -> Any:
        return degrees_written(value, self.degrees) if isinstance(value, Decimal) else value


def in_degrees(form: forms.BaseForm, degrees: str) -> None:
    """Read and show a form's temperatures in the kitchen's degrees, named in their labels."""
    for field in form.fields.values():
        if isinstance(field, TemperatureField):
            field.use(degrees)
            field.unit = f"°{degrees}"


def celsius_of(shown: Decimal, degrees: str) -> Decimal:
    """Convert a temperature to °C, rounded to a millionth, as it is stored."""
    celsius = Fraction(shown) if degrees == "C" else (Fraction(shown) - 32) * 5 / 9
    return Decimal(trimmed(Decimal(round(celsius * 1_000_000)).scaleb(-6)))


def degrees_written(celsius: Decimal, degrees: str) -> str:
    """Write a temperature in °C with as few decimals as read back the same, so that saving again changes nothing."""
    for digits in range(1, 7):
        text = degrees_shown(celsius, degrees, digits)
        if celsius_of(Decimal(text), degrees) == celsius:
            break
    return text


def degrees_shown(celsius: Decimal, degrees: str, digits: int = 1) -> str:
    """Write a temperature in °C in the kitchen's degrees, without the sign."""
    shown = celsius if degrees == "C" else celsius * 9 / 5 + 32
    return trimmed(shown.quantize(Decimal(1).scaleb(-digits)))
