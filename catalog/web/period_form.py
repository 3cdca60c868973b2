"""The form of a period: from a day to a day."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext, gettext_lazy

from catalog.kitchen.models import Kitchen
from catalog.web.fields import DayField


class PeriodForm(forms.Form):
    """From a day to a day, both in it; a missing one does not narrow."""

    find = forms.CharField(label=gettext_lazy("Customer, number or order"), max_length=80, required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, required: bool = False, **kwargs: Any):
        super().__init__(*args, **kwargs)
        month_first = kitchen.country == "US"
        self.fields["first"] = DayField(
            what=gettext_lazy("the first day"), label=gettext_lazy("From"), month_first=month_first, required=required
        )
        self.fields["last"] = DayField(
            what=gettext_lazy("the last day"), label=gettext_lazy("To"), month_first=month_first, required=required
        )

    def clean(self) -> dict[str, Any]:
        """Refuse a period that ends before it begins."""
        data = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if first and last and last < first:
            self.add_error("last", gettext("The last day must not be before the first."))
        return data

    def period(self) -> tuple[date | None, date | None]:
        """Return the days that could be read."""
        data = getattr(self, "cleaned_data", {})
        return data.get("first"), data.get("last")
