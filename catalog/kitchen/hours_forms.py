"""Working hours, hand-over hours, days that differ, closed days, and the most of a day."""

from collections.abc import Iterator
from datetime import date, time
from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.public_holidays import PublicHoliday
from catalog.kitchen.services import Calendar
from catalog.web.display import clock, day, day_alone
from catalog.web.fields import ClockField, DayField, WholeField
from costing.contract.whole_checks import MOST_A_DAY, MOST_HANDS

WEEKDAYS: Final = (
    _("Monday"),
    _("Tuesday"),
    _("Wednesday"),
    _("Thursday"),
    _("Friday"),
    _("Saturday"),
    _("Sunday"),
)


def _people() -> WholeField:
    attrs = {"inputmode": "numeric", "autocomplete": "off", "class": "short"}
    return WholeField(
        what=marked("the number of people"),
        label=_("People"),
        least=1,
        most=MOST_HANDS,
        example="3",
        required=False,
        widget=forms.TextInput(attrs=attrs),
    )


class HandOverHoursForm(forms.Form):
    """An interval of a weekday; a row without times is ignored."""

    weekday = forms.TypedChoiceField(
        label=_("Day"), coerce=int, empty_value=None, choices=[("", ""), *enumerate(WEEKDAYS)], required=False
    )
    opens = ClockField(what=marked("the hour under “From”"), label=_("From"), required=False)
    closes = ClockField(what=marked("the hour under “To”"), label=_("To"), required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        # A row with a day only means that there are no hours on that day.
        _check_interval(self, data, "weekday", gettext("Choose the day."), more=("hands",))
        return data


class OpenHoursForm(HandOverHoursForm):
    """An interval in which somebody works, and how many people."""

    hands = _people()


class DatedHoursForm(forms.Form):
    """An interval in which somebody works on a date; an empty row is ignored."""

    date = DayField(what=marked("the date"), label=_("Date"), required=False)
    opens = ClockField(what=marked("the hour under “From”"), label=_("From"), required=False)
    closes = ClockField(what=marked("the hour under “To”"), label=_("To"), required=False)
    hands = _people()
    reason = forms.CharField(label=_("Reason"), max_length=80, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        _check_interval(self, data, "date", gettext("Enter the date."), more=("date", "hands", "reason"))
        return data


def _check_interval(form: forms.Form, data: dict[str, Any], day: str, ask: str, *, more: tuple[str, ...]) -> None:
    """Ask for what is missing of an interval that is begun, in its times or in ``more``, and for times in order."""
    asks = {day: ask, "opens": gettext("Enter when work starts."), "closes": gettext("Enter when work ends.")}
    if "hands" not in form.fields:
        asks |= {"opens": gettext("Enter from what time."), "closes": gettext("Enter until what time.")}
    given = {key for key in (*asks, *more) if data.get(key) not in (None, "") or key in form.errors}
    if given & {"opens", "closes", *more}:
        for key in (key for key in asks if key not in given):
            form.add_error(key, asks[key])
    opens, closes = data.get("opens"), data.get("closes")
    if opens and closes and closes <= opens:
        late = gettext("Enter an end after %(start)s. Enter work past midnight as two rows.")
        form.add_error("closes", late % {"start": clock(opens)})


class BaseIntervalFormSet(forms.BaseFormSet[Any]):
    """Intervals: those of one day do not overlap."""

    #: The field that says which day.
    day = "weekday"

    def clean(self) -> None:
        begun: dict[Any, list[tuple[time, time]]] = {}
        for form in self.complete_rows():
            # Adding an error removes the value from the form's cleaned data: read it first.
            day, starts, ends = (form.cleaned_data[key] for key in (self.day, "opens", "closes"))
            for opens, closes in begun.setdefault(day, []):
                if starts < closes and opens < ends:
                    span = {"day": self.day_words(day), "start": clock(opens), "end": clock(closes)}
                    overlap = gettext("This overlaps %(day)s %(start)s to %(end)s. Enter one row for both.")
                    form.add_error("opens", overlap % span)
            begun[day].append((starts, ends))

    def day_words(self, day: Any) -> str:
        """Write the day of an interval."""
        return str(WEEKDAYS[day])

    def complete_rows(self) -> list[Any]:
        """Return the complete rows that are not removed."""
        return [form for form in self.forms if _is_complete(form) and form.cleaned_data.get("opens")]

    def intervals(self, *names: str) -> list[tuple[Any, ...]]:
        """Return these fields of the checked rows."""
        return [tuple(form.cleaned_data[name] for name in names) for form in self.complete_rows()]


class BaseHandOverFormSet(BaseIntervalFormSet):
    """The week in which things are handed over."""

    row_word = marked("Pickup or delivery time")


class BaseDatedHoursFormSet(BaseIntervalFormSet):
    """Days with other hours."""

    row_word = marked("Day with other hours")
    day = "date"

    def day_words(self, day: Any) -> str:
        return day_alone(day)


class ClosedDayForm(forms.Form):
    """A date on which nobody works; an empty row is ignored."""

    date = DayField(what=marked("the closed day"), label=_("Date"), required=False)
    reason = forms.CharField(
        label=_("Reason"),
        max_length=80,
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("reason") and not data.get("date") and "date" not in self.errors:
            self.add_error("date", gettext("Enter the date of the closed day."))
        return data


class BaseClosedDayFormSet(forms.BaseFormSet[ClosedDayForm]):
    """Closed days, each date once."""

    row_word = marked("Closed day")

    def clean(self) -> None:
        seen: set[date] = set()
        for form in self.complete_rows():
            day = form.cleaned_data["date"]
            if day in seen:
                form.add_error("date", gettext("This date is entered twice. Remove one of the rows."))
            seen.add(day)

    def complete_rows(self) -> list[ClosedDayForm]:
        """Return the complete rows that are not removed."""
        return [form for form in self.forms if _is_complete(form) and form.cleaned_data.get("date")]

    def days(self) -> list[tuple[date, str]]:
        """Return the checked days."""
        return [(row["date"], row["reason"]) for row in (form.cleaned_data for form in self.complete_rows())]


def _is_complete(form: forms.BaseForm) -> bool:
    return form.is_valid() and bool(form.cleaned_data) and not form.cleaned_data.get("DELETE")


OpenHoursFormSet = forms.formset_factory(
    OpenHoursForm, formset=BaseIntervalFormSet, extra=1, can_delete=True, max_num=60, absolute_max=80
)
HandOverFormSet = forms.formset_factory(
    HandOverHoursForm, formset=BaseHandOverFormSet, extra=1, can_delete=True, max_num=60, absolute_max=80
)
DatedHoursFormSet = forms.formset_factory(
    DatedHoursForm, formset=BaseDatedHoursFormSet, extra=1, can_delete=True, max_num=400, absolute_max=500
)
ClosedDayFormSet = forms.formset_factory(
    ClosedDayForm, formset=BaseClosedDayFormSet, extra=2, can_delete=True, max_num=400, absolute_max=500
)


class LimitsForm(forms.Form):
    """The most that the owner wants on one day; empty is no limit."""

    most_events = WholeField(
        what=marked("the events of a day"), label=_("Events per day"), least=1, most=MOST_A_DAY, required=False
    )
    most_guests = WholeField(
        what=marked("the guests of a day"),
        label=_("Guests per day"),
        least=1,
        most=MOST_A_DAY,
        example="400",
        required=False,
    )


class HolidaysForm(forms.Form):
    """Public holidays that are to be closed days."""

    holidays = forms.MultipleChoiceField(
        label=_("Public holidays in the next 12 months"),
        help_text=_(
            "Check those on which you are closed; they are saved as closed days. Holidays of a state or region may be"
            " missing."
        ),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )

    def __init__(self, data: Any, *, offered: tuple[PublicHoliday, ...]) -> None:
        super().__init__(data)
        self.names = {one.day.isoformat(): one for one in offered}
        choices = [(key, f"{day(one.day)}: {one.name}") for key, one in self.names.items()]
        self.fields["holidays"].choices = choices  # type: ignore[attr-defined]  # a choice field

    def chosen(self) -> list[tuple[date, str]]:
        """Return the days that were ticked, each with its name."""
        return [(self.names[key].day, self.names[key].name) for key in self.cleaned_data["holidays"]]


class HoursForms:
    """The forms of the hours page, in its order."""

    def __init__(
        self,
        data: Any,
        *,
        rows: dict[str, list[dict[str, Any]]],
        limits: dict[str, int | None],
        offered: tuple[PublicHoliday, ...],
    ) -> None:
        def of(kind: Any, prefix: str) -> Any:
            return kind(data, prefix=prefix) if data is not None else kind(prefix=prefix, initial=rows[prefix])

        self.week, self.hand_over = of(OpenHoursFormSet, "week"), of(HandOverFormSet, "handover")
        self.days, self.closed = of(DatedHoursFormSet, "days"), of(ClosedDayFormSet, "closed")
        self.holidays = HolidaysForm(data, offered=offered)
        self.limits = LimitsForm(data, initial=limits)

    def __iter__(self) -> Iterator[Any]:
        return iter((self.week, self.hand_over, self.days, self.closed, self.holidays, self.limits))

    def is_valid(self) -> bool:
        """Return whether all of it can be saved; a date that is closed has no hours of its own."""
        valid = [part.is_valid() for part in self]  # each of them, so that all errors are found at once
        if not all(valid):
            return False
        closed = {day for day, _reason in self._closed()}
        for form in self.days.complete_rows():
            if form.cleaned_data["date"] in closed:
                form.add_error("date", gettext("This date is a closed day. Remove one of the two."))
        return all(form.is_valid() for form in self.days.forms)

    def _closed(self) -> list[tuple[date, str]]:
        entered = self.closed.days()
        dates = {day for day, _reason in entered}
        return [*entered, *(one for one in self.holidays.chosen() if one[0] not in dates)]

    def calendar(self) -> Calendar:
        """Return what is to be saved."""
        return Calendar(
            week=self.week.intervals("weekday", "opens", "closes", "hands"),
            hand_over=self.hand_over.intervals("weekday", "opens", "closes"),
            days=self.days.intervals("date", "opens", "closes", "hands", "reason"),
            closed=self._closed(),
            **self.limits.cleaned_data,
        )
