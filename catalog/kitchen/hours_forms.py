"""Opening hours and closed days."""

from datetime import date, time
from typing import Any, Final

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.web.display import clock
from catalog.web.fields import ClockField, DayField

WEEKDAYS: Final = (
    _("Monday"),
    _("Tuesday"),
    _("Wednesday"),
    _("Thursday"),
    _("Friday"),
    _("Saturday"),
    _("Sunday"),
)


class OpenHoursForm(forms.Form):
    """An interval in which somebody works; a row without times is ignored."""

    weekday = forms.TypedChoiceField(
        label=_("Day"), coerce=int, empty_value=None, choices=[("", ""), *enumerate(WEEKDAYS)], required=False
    )
    opens = ClockField(what=marked("the hour under “From”"), label=_("From"), required=False)
    closes = ClockField(what=marked("the hour under “To”"), label=_("To"), required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = {key: data.get(key) not in (None, "") or key in self.errors for key in ("weekday", "opens", "closes")}
        # A row with a day only means that nobody works on that day.
        if given["opens"] or given["closes"]:
            asks = {
                "weekday": gettext("Choose the day."),
                "opens": gettext("Enter when work starts."),
                "closes": gettext("Enter when work ends."),
            }
            for key in (key for key, there in given.items() if not there):
                self.add_error(key, asks[key])
        opens, closes = data.get("opens"), data.get("closes")
        if opens and closes and closes <= opens:
            late = gettext("Enter an end after %(start)s. Enter work past midnight as two rows.")
            self.add_error("closes", late % {"start": clock(opens)})
        return data


class BaseOpenHoursFormSet(forms.BaseFormSet[OpenHoursForm]):
    """The week: intervals of one day do not overlap."""

    def clean(self) -> None:
        begun: dict[int, list[tuple[time, time]]] = {}
        for form in self.complete_rows():
            # Adding an error removes the value from the form's cleaned data: read it first.
            weekday, starts, ends = (form.cleaned_data[key] for key in ("weekday", "opens", "closes"))
            for opens, closes in begun.setdefault(weekday, []):
                if starts < closes and opens < ends:
                    span = {"day": WEEKDAYS[weekday], "start": clock(opens), "end": clock(closes)}
                    overlap = gettext("This overlaps %(day)s %(start)s to %(end)s. Enter one row for both.")
                    form.add_error("opens", overlap % span)
            begun[weekday].append((starts, ends))

    def complete_rows(self) -> list[OpenHoursForm]:
        """Return the complete rows that are not removed."""
        return [form for form in self.forms if _is_complete(form) and form.cleaned_data.get("opens")]

    def intervals(self) -> list[tuple[int, time, time]]:
        """Return the checked week."""
        return [
            (row["weekday"], row["opens"], row["closes"])
            for row in (form.cleaned_data for form in self.complete_rows())
        ]


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
    OpenHoursForm, formset=BaseOpenHoursFormSet, extra=2, can_delete=True, max_num=60, absolute_max=80
)
ClosedDayFormSet = forms.formset_factory(
    ClosedDayForm, formset=BaseClosedDayFormSet, extra=2, can_delete=True, max_num=400, absolute_max=500
)
