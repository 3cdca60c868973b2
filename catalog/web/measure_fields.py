"""Fields for words, choices, measures, time spans and temperatures."""

import re
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator, ProhibitNullCharactersValidator
from django.utils.functional import lazy
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy

from catalog.records.numbers import MOST_GRAMS
from catalog.web import display
from catalog.web.fields import NumberField, capital
from catalog.web.numbers import number_input, plain_number, trimmed, written_here
from costing.contract.cooling_bounds import STATION_C
from costing.measures.measure import MeasureError, parse_measure
from costing.measures.spelling import normalise_measure

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


def name_field(label: "StrOrPromise", ask: "StrOrPromise", *, most: int = 80) -> forms.CharField:
    """Return a required text with its own sentences."""
    return forms.CharField(label=label, max_length=most, error_messages={"required": ask})


#: Length of a measure's column.
MEASURE_LENGTH = 60
#: Units of time in English and German, as people write them (common practice, no source).
_MINUTES = {
    **dict.fromkeys(("m", "min", "mins", "minute", "minutes", "minuten"), 1),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours", "std", "stunde", "stunden"), 60),
    **dict.fromkeys(("d", "day", "days", "tag", "tage", "tagen"), 1440),
}
_SPAN = re.compile(r"((?:\d[\d.,]{0,14})?\d|[.,]\d{1,3})\s*([a-z]*)\.?", re.ASCII)
_BETWEEN_SPANS = re.compile(r"\b(?:and|und)\b")
_CLOCK = re.compile(r"(\d{1,4}):([0-5]\d)\Z", re.ASCII)
_DEGREES = re.compile(r"(?P<number>.*?)\s*[°º]?\s*(?P<letter>[cf]?)\s*\Z", re.IGNORECASE | re.DOTALL)


class WordsField(forms.CharField):
    """A text field whose error messages name it."""

    def __init__(self, *, what: "StrOrPromise", most: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        named = lazy(capital, str)(what)
        too_long = gettext_lazy("{named} is too long: write at most {most} characters.")
        nulls = gettext_lazy("{named} has a character that cannot be saved. Type it again.")
        self.validators = [
            MaxLengthValidator(most, format_lazy(too_long, named=named, most=most)),
            ProhibitNullCharactersValidator(format_lazy(nulls, named=named)),
        ]


class PickField(forms.ChoiceField):
    """One of several choices, given when the form is made."""

    def __init__(self, *, what: "StrOrPromise", **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.error_messages["invalid_choice"] = format_lazy(gettext_lazy("Choose {what} from the list."), what=what)

    @staticmethod
    def set_choices(form: forms.BaseForm, name: str, choices: list[tuple[str, str]]) -> None:
        """Set the choices of a form's field."""
        field = form.fields[name]
        if isinstance(field, forms.ChoiceField):
            field.choices = choices


def measure_input(exact: str) -> str:
    """Write a measure of the exact grammar for an input, so that it is read back as the same."""
    return written_here().written(exact.replace("_", " "))


class Entered(str):
    """What somebody entered; it is shown again as it is."""

    __slots__ = ()


class ExactText(forms.CharField):
    """A field of measures: what is stored is written as the kitchen writes numbers, what was entered as it is."""

    def bound_data(self, data: Any, initial: Any) -> Any:
        bound = super().bound_data(data, initial)
        return Entered(bound) if isinstance(bound, str) else bound

    def prepare_value(self, value: Any) -> Any:
        return measure_input(value) if isinstance(value, str) and not isinstance(value, Entered) else value


def measure_read(text: str, *, mass: bool = False) -> str:
    """Convert a measure in free spelling to the exact grammar.

    Raises
    ------
    ValidationError
        With a sentence that says how to write it.
    """
    if len(text) > 3 * MEASURE_LENGTH:
        sentence = gettext("That is too long for an amount. Write it like 250 g or 1 1/2 cup.")
        raise ValidationError(sentence, code="too_long")
    try:
        exact = normalise_measure(text, written_here())
        measure = parse_measure(exact)
    except MeasureError as error:
        raise ValidationError(error.on_screen(), code="bad_measure") from error
    tidy = measure_input(exact)
    if mass and measure.kind != "mass":
        sentence = gettext("“%(measure)s” is not a weight. Write it in g, kg, oz or lb.") % {"measure": tidy}
        raise ValidationError(sentence, code="bad_measure")
    if len(exact) > MEASURE_LENGTH:
        sentence = gettext("That amount has too many digits. Write it shorter, such as 1250 g.")
        raise ValidationError(sentence, code="too_long")
    if measure.in_base() > MOST_GRAMS:
        sentence = gettext("“%(measure)s” is more than any kitchen makes. Check the amount.") % {"measure": tidy}
        raise ValidationError(sentence, code="too_large")
    return exact


class MeasureField(ExactText):
    """A measure such as ``1 1/2 cups``, converted to the exact grammar; ``mass`` for weights only."""

    def __init__(self, *, what: "StrOrPromise", mass: bool = False, **kwargs: Any) -> None:
        self.what, self.mass = what, mass
        kwargs.pop("max_length", None)
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", "class": "short"}))
        super().__init__(**kwargs)
        weight, amount = (
            gettext_lazy("Enter {what}, such as 750 g."),
            gettext_lazy("Enter {what}, such as 250 g or 1 1/2 cup."),
        )
        self.error_messages["required"] = format_lazy(weight if mass else amount, what=what)

    def clean(self, value: Any) -> str:
        # A text that is too long or has invalid characters is refused by the parser.
        text = self.to_python(value)
        self.validate(text)
        return measure_read(text, mass=self.mass) if text else ""


def minutes_read(text: str, *, what: "StrOrPromise", bare: int = 1) -> Decimal:
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
    rest = _BETWEEN_SPANS.sub("", _SPAN.sub("", body)).strip(" ,")
    if not spans or rest or any(factor is None for _, factor in spans):
        sentence = gettext("Write %(what)s as 45 min, 1 h 30 min or 2 days.") % {"what": what}
        raise ValidationError(sentence, code="not_a_span")
    numbers = (plain_number(number, what=what, example="90") for number, _ in spans)
    total = sum((number * (factor or 0) for number, (_, factor) in zip(numbers, spans, strict=True)), Decimal(0))
    if total > 525_600:
        sentence = gettext("%(named)s is longer than a year. Check it.") % {"named": capital(what)}
        raise ValidationError(sentence, code="too_large")
    return total


class SpanField(forms.CharField):
    """A time span in minutes, written as people say it; empty is None."""

    def __init__(self, *, what: "StrOrPromise", bare: int = 1, **kwargs: Any) -> None:
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
    parts = [f"{number_input(n)} {unit}" for n, unit in ((days, "d"), (hours, "h"), (left, "min")) if n]
    return " ".join(parts) or "0 min"


#: Decimals of minutes per kilogram, so that a rate entered per pound is shown unchanged.
_RATE_DIGITS: Final = 10
#: As many decimals are shown of a rate that was entered per pound.
_RATE_SHOWN: Final = 4
#: International yard and pound agreement of 1959.
KG_PER_POUND: Final = Decimal("0.45359237")


class MassRateField(NumberField):
    """Minutes per kilogram, entered and shown per pound where the kitchen weighs in pounds.

    What was entered per kilogram is shown rounded; ``known`` are the rates that are saved [min/kg], and what is sent as
    one of them is shown means just that one.
    """

    known: Sequence[Decimal] = ()

    def clean(self, value: Any) -> Decimal | None:
        number: Decimal | None = super().clean(value)
        if isinstance(value, str):
            text = value.strip()
            same = next((stored for stored in self.known if self.prepare_value(stored) == text), None)
            if same is not None:
                return same
        if number is None or display.mass_unit() == "kg":
            return number
        return _per_kg(number)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal) and display.mass_unit() != "kg":
            # As many decimals as lead back to what is stored: saving it again as it stands changes nothing.
            per_pound = value * KG_PER_POUND
            steps = (per_pound.quantize(Decimal(1).scaleb(-digits)) for digits in range(_RATE_SHOWN + 1))
            return number_input(next((step for step in steps if _per_kg(step) == value), _rounded(per_pound)))
        return super().prepare_value(value)


def _rounded(per_pound: Decimal) -> Decimal:
    """Round to hundredths, or to two digits where it is less."""
    least = min(Decimal("0.01"), Decimal(1).scaleb(per_pound.adjusted() - 1))
    return per_pound.quantize(least)


def _per_kg(per_pound: Decimal) -> Decimal:
    return Decimal(trimmed((per_pound / KG_PER_POUND).quantize(Decimal(1).scaleb(-_RATE_DIGITS))))


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
        kwargs.setdefault("what", gettext_lazy("the temperature"))
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
            sentence = gettext("A temperature of %(degrees)s is not possible. Check it.")
            raise ValidationError(sentence % {"degrees": f"{trimmed(shown)} °{degrees}"})
        if not self.coldest <= celsius <= self.hottest:
            least, most = (degrees_shown(Decimal(end), self.degrees) for end in (self.coldest, self.hottest))
            sentence = gettext("%(named)s must be from %(least)s to %(most)s.")
            figures = {"named": capital(self.what), "least": least, "most": f"{most} °{self.degrees}"}
            raise ValidationError(sentence % figures, code="out_of_range")
        return celsius

    def prepare_value(self, value: Any) -> Any:
        return written_here().written(degrees_written(value, self.degrees)) if isinstance(value, Decimal) else value


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
