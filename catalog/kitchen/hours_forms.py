"""Opening hours and closed days."""

from datetime import date, time
from typing import Any, Final

from django import forms

from catalog.web.display import clock
from catalog.web.fields import ClockField, DayField

WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class OpenHoursForm(forms.Form):
    """An interval in which somebody works; a row without times is ignored."""

    weekday = forms.TypedChoiceField(
        label="Day", coerce=int, empty_value=None, choices=[("", ""), *enumerate(WEEKDAYS)], required=False
    )
    opens = ClockField(what="when work begins", label="From", required=False)
    closes = ClockField(what="when work ends", label="To", required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        given = {key: data.get(key) not in (None, "") or key in self.errors for key in ("weekday", "opens", "closes")}
        # A row with a day only means that nobody works on that day.
        if given["opens"] or given["closes"]:
            asks = {"weekday": "Choose the day.", "opens": "Enter when work begins.", "closes": "Enter when work ends."}
            for key in (key for key, there in given.items() if not there):
                self.add_error(key, asks[key])
        opens, closes = data.get("opens"), data.get("closes")
        if opens and closes and closes <= opens:
            self.add_error("closes", f"Work has to end after it begins at {clock(opens)}. Split a night at midnight.")
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
                    span = f"{WEEKDAYS[weekday]} {clock(opens)} to {clock(closes)}"
                    form.add_error("opens", f"This overlaps {span}. Join the two.")
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

    date = DayField(what="the closed day", label="Date", required=False)
    reason = forms.CharField(
        label="Why",
        max_length=80,
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("reason") and not data.get("date") and "date" not in self.errors:
            self.add_error("date", "Enter the closed day.")
        return data


class BaseClosedDayFormSet(forms.BaseFormSet[ClosedDayForm]):
    """Closed days, each date once."""

    row_word = "Closed day"

    def clean(self) -> None:
        seen: set[date] = set()
        for form in self.complete_rows():
            day = form.cleaned_data["date"]
            if day in seen:
                form.add_error("date", "This day stands here twice. Take one of them out.")
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
