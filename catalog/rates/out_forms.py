"""The form of a time in which stations are out of order."""

from datetime import date, time, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.rates.models import Station
from catalog.rates.selectors import OutData, outs_during
from catalog.web.fields import ClockField, DayField, WholeField
from catalog.web.measure_fields import WordsField
from costing.contract.plan_bounds import MOST_ALIKE


class StationOutForm(forms.Form):
    """From a day and an hour to a day and an hour; without hours whole days."""

    prefix = "out"

    first_day = DayField(what=marked("the first day out of order"), label=_("First day"))
    begins = ClockField(what=marked("the hour it begins"), label=_("From"), required=False)
    last_day = DayField(what=marked("the last day out of order"), label=_("Last day"))
    ends = ClockField(what=marked("the hour it ends"), label=_("To"), required=False)
    count = WholeField(
        what=marked("the number out of order"),
        label=_("Number out of order"),
        least=1,
        most=MOST_ALIKE,
        initial=1,
        example="1",
    )
    reason = WordsField(what=marked("the reason"), most=80, label=_("Reason"), required=False)

    def __init__(self, data: Any = None, *, station: Station, month_first: bool = True) -> None:
        super().__init__(data)
        self.station = station
        if station.count == 1:
            self.fields["count"].widget = forms.HiddenInput()
        for name in ("first_day", "last_day"):
            self.fields[name].month_first = month_first  # type: ignore[attr-defined]  # a DayField

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if self.errors:
            return found
        data = self.out_data()
        if (data.last_day, data.ends) <= (data.first_day, data.begins):
            place = "last_day" if found["last_day"] < found["first_day"] else "ends"
            self.add_error(place, gettext("It ends before it begins. Enter a later end."))
            return found
        self._check_count(data)
        return found

    def _check_count(self, data: OutData) -> None:
        figures = {"count": data.count, "alike": self.station.count, "name": str(self.station)}
        if data.count > self.station.count:
            sentence = gettext("The number out of order is %(count)s, and there are %(alike)s of %(name)s. Lower it.")
            self.add_error("count", sentence % figures)
            return
        already = sum(out.count for out in outs_during(self.station, data))
        if already + data.count > self.station.count:
            sentence = gettext(
                "With what is listed already, %(count)s of %(alike)s would be out of order at once. Change the days or"
                " remove the other entry."
            )
            self.add_error("first_day", sentence % (figures | {"count": already + data.count}))

    def out_data(self) -> OutData:
        """Return the time as the service takes it; without an hour it ends with its last day."""
        found = self.cleaned_data
        first, last, ends = found["first_day"], found["last_day"], found["ends"]
        if ends is None:
            last, ends = _after(last), time(0)
        return OutData(
            first_day=first,
            begins=found["begins"] or time(0),
            last_day=last,
            ends=ends,
            count=found["count"],
            reason=found["reason"],
        )


def _after(day: date) -> date:
    return day + timedelta(days=1)
