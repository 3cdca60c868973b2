"""Form fields that accept currency signs, commas, spaces, fractions and percent signs."""

import re
from datetime import date, datetime, time
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

from babel.dates import get_day_names, get_month_names
from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy

from catalog.web.display.times import clock
from catalog.web.numbers import number_input, plain_number

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


#: What a field that was left empty says.
ENTER: Final = gettext_lazy("Enter {what}.")


def capital(what: "StrOrPromise") -> str:
    """Return the name of a field as a sentence begins with it."""
    text = str(what)
    return text[:1].upper() + text[1:]


class NumberField(forms.CharField):
    """An exact number; empty is None when not required. ``least``/``most`` are inclusive.

    The field's ``unit`` and the ``allowed_units`` may be written after the number.
    """

    def __init__(
        self,
        *,
        what: "StrOrPromise",
        least: Decimal | int | None = None,
        most: Decimal | int | None = None,
        above: Decimal | int | None = None,
        example: str = "12.5",
        unit: str = "",
        allowed_units: tuple[str, ...] = (),
        **kwargs: Any,
    ) -> None:
        self.allowed_units = (*allowed_units, unit) if unit else allowed_units
        self.what, self.least, self.most, self.above, self.example, self.unit = (
            what,
            least,
            most,
            above,
            example,
            unit,
        )
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        kwargs.setdefault("max_length", 40)
        super().__init__(**kwargs)
        self.error_messages["required"] = format_lazy(ENTER, what=what)

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]  # a number field over text
        if isinstance(value, Decimal):
            return value
        text = super().to_python(value)
        return plain_number(self._bare(text), what=self.what, example=self.example) if text else None

    def _bare(self, text: str) -> str:
        """Remove a unit written after the number although the label names it: 35 min, 18 cm."""
        lower = text.strip().rstrip(".").lower()
        unit = next((unit for unit in self.allowed_units if lower.endswith(unit) and lower[: -len(unit)].strip()), "")
        return lower[: -len(unit)].strip() if unit else text

    def validate(self, value: Any) -> None:
        if value is None:
            if self.required:
                raise ValidationError(self.error_messages["required"], code="required")
            return
        if self.least is not None and value < self.least:
            raise self._refused(gettext("%(named)s must be %(limit)s or more."), self.least, "too_small")
        if self.above is not None and value <= self.above:
            raise self._refused(gettext("%(named)s must be more than %(limit)s."), self.above, "too_small")
        if self.most is not None and value > self.most:
            raise self._refused(gettext("%(named)s must be %(limit)s or less."), self.most, "too_large")

    def _refused(self, sentence: str, limit: Decimal | int, code: str) -> ValidationError:
        return ValidationError(sentence % {"named": capital(self.what), "limit": number_input(limit)}, code=code)

    def run_validators(self, value: Any) -> None:
        """Do nothing: limits are checked in validate, the text's length by its pattern."""

    def prepare_value(self, value: Any) -> Any:
        return number_input(value) if isinstance(value, Decimal) else value


class WholeField(NumberField):
    """A whole number."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}))
        kwargs.setdefault("example", "12")
        kwargs.setdefault("most", 1_000_000)
        super().__init__(**kwargs)

    def clean(self, value: Any) -> int | None:
        number = super().clean(value)
        if number is not None and number != int(number):
            sentence = gettext("Write %(what)s as a whole number, such as %(example)s.")
            raise ValidationError(sentence % {"what": self.what, "example": self.example}, code="not_whole")
        return None if number is None else int(number)


class PercentField(NumberField):
    """A share written as a percentage: 58 is 0.58."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("example", "58")
        kwargs.setdefault("least", 0)
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Decimal | None:
        number = super().clean(value)
        return None if number is None else number / 100

    def prepare_value(self, value: Any) -> Any:
        return number_input(value * 100) if isinstance(value, Decimal) else value


_DATE_SHAPES = (
    "%Y-%m-%d",
    "%d %B %Y",
    "%d %b %Y",
    "%B %d, %Y",
    "%b %d, %Y",
    "%B %d %Y",
    "%A %d %B %Y",
    "%A, %d %B %Y",
    "%A, %B %d, %Y",
    "%A, %B %d %Y",
    "%d.%m.%Y",
)
#: German names of days and months, in small letters without their period, and the English ones.
_GERMAN: Final = {
    german.removesuffix(".").lower(): english
    for names in (get_month_names, get_day_names)
    for width in ("wide", "abbreviated")
    for context in ("format", "stand-alone")
    for german, english in zip(
        names(width, context, "de").values(), names(width, context, "en_US").values(), strict=True
    )
}
_WORD = re.compile(r"[^\W\d_]+\.?")
_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})/(\d{4})\Z", re.ASCII)


class DayField(forms.CharField):
    """A date as people type it. Slashes are read month first when ``month_first`` (United States), else day first."""

    def __init__(self, *, what: "StrOrPromise", month_first: bool = True, **kwargs: Any) -> None:
        self.what, self.month_first = what, month_first
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**kwargs)
        self.error_messages["required"] = format_lazy(ENTER, what=what)

    def to_python(self, value: Any) -> date | None:  # type: ignore[override]  # a date field over text
        if isinstance(value, datetime):
            return value.date()
        if isinstance(value, date):
            return value
        text = " ".join(str(super().to_python(value) or "").split())
        if not text:
            return None
        parsed = self._parsed(text)
        if parsed is None:
            sentence = gettext("Write %(what)s as a date that exists, such as 2027-02-13.") % {"what": self.what}
            raise ValidationError(sentence, code="not_a_date")
        if not 2000 <= parsed.year <= 2200:
            raise ValidationError(gettext("Check the year of %(what)s.") % {"what": self.what}, code="far_date")
        return parsed

    def _parsed(self, text: str) -> date | None:
        text = _WORD.sub(lambda found: _GERMAN.get(found[0].removesuffix(".").lower(), found[0]), text)
        text = re.sub(r"(?<=\d)\. (?=[^\W\d_])", " ", text)
        slashed = _SLASHED.match(text)
        shapes: tuple[str, ...] = _DATE_SHAPES
        if slashed:
            shapes = ("%m/%d/%Y",) if self.month_first else ("%d/%m/%Y",)
        for shape in shapes:
            try:
                return datetime.strptime(text, shape).date()  # noqa: DTZ007 - a calendar date has no zone
            except ValueError:
                continue
        return None

    def prepare_value(self, value: Any) -> Any:
        return value


class ClockField(forms.CharField):
    """A time of day: 16:00, 4 pm, 4:30pm, 1600, 16 h 30, 18 Uhr."""

    def __init__(self, *, what: "StrOrPromise", **kwargs: Any) -> None:
        self.what = what
        kwargs.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", "class": "short"}))
        super().__init__(**kwargs)
        self.error_messages["required"] = format_lazy(ENTER, what=what)

    def to_python(self, value: Any) -> time | None:  # type: ignore[override]  # a time field over text
        if isinstance(value, time):
            return value
        text = str(super().to_python(value) or "").lower().replace(".", ":").replace(" ", "")
        if not text:
            return None
        text = re.sub(r"(?<=\d)(?:h|uhr)", ":", text.replace("uhr:", "uhr")) if "m" not in text else text
        text = text.removesuffix(":")
        text = re.sub(r"a:?m:?$", "am", re.sub(r"p:?m:?$", "pm", text))
        # Read as %H%M, 13 would be three minutes past one and 130 one o'clock in the afternoon.
        text = re.sub(r"^(\d{1,2})(\d\d)$", r"\1:\2", text)
        if re.fullmatch(r"\d{1,2}", text) and int(text) < 24:
            return time(int(text))
        for shape in ("%H:%M", "%I:%M%p", "%I%p", "%H:%M:%S"):
            try:
                return datetime.strptime(text, shape).time()  # noqa: DTZ007 - a time of day has no zone
            except ValueError:
                continue
        sentence = gettext("Write %(what)s as a time, such as %(example)s.")
        raise ValidationError(sentence % {"what": self.what, "example": clock(time(16))}, code="not_a_time")

    def prepare_value(self, value: Any) -> Any:
        return clock(value) if isinstance(value, time) else value


def later_hour(form: forms.BaseForm, name: str, *, start: time | None, end: time | None) -> time | None:
    """Return the end of a span; a bare hour such as 5 after a start at 4 PM is 5 PM, and the form then shows it so."""
    written = str(form[name].data or "").strip()
    if start is None or end is None or end >= start or not re.fullmatch(r"[1-9]|1[01]", written):
        return end
    later = end.replace(hour=end.hour + 12)
    if later < start:
        return end
    data = form.data.copy()  # type: ignore[attr-defined]  # the submitted data, or a dict in tests
    data[form.add_prefix(name)] = clock(later)
    form.data = data
    return later
