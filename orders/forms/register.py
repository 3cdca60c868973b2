"""Forms that choose: the register's filter, periods, exports."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.fields import DayField
from catalog.models import Kitchen
from orders.selectors.register import RegisterFilter


class PeriodForm(forms.Form):
    """From a day to a day, both in it; a missing one does not narrow."""

    find = forms.CharField(label="Customer, number or order", max_length=80, required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, required: bool = False, **kwargs: Any):
        super().__init__(*args, **kwargs)
        month_first = kitchen.country == "US"
        self.fields["first"] = DayField(what="the first day", label="From", month_first=month_first, required=required)
        self.fields["last"] = DayField(what="the last day", label="To", month_first=month_first, required=required)

    def clean(self) -> dict[str, Any]:
        """Refuse a period that ends before it begins."""
        data = super().clean() or {}
        first, last = data.get("first"), data.get("last")
        if first and last and last < first:
            self.add_error("last", "The last day must not be before the first.")
        return data

    def period(self) -> tuple[date | None, date | None]:
        """Return the days that could be read."""
        data = getattr(self, "cleaned_data", {})
        return data.get("first"), data.get("last")


class RegisterForm(PeriodForm):
    """The register's filter, read from the address."""

    kind = forms.ChoiceField(
        label="Show",
        required=False,
        choices=[("", "invoices and credit notes"), ("380", "invoices"), ("381", "credit notes")],
    )
    standing = forms.ChoiceField(
        label="That are",
        required=False,
        choices=[("", "in any state"), ("open", "not paid"), ("overdue", "overdue"), ("paid", "paid")],
    )
    exported = forms.ChoiceField(
        label="Exports", required=False, choices=[("", "exported or not"), ("no", "in no export yet")]
    )

    def chosen(self) -> RegisterFilter:
        """Return the filter; what could not be read does not narrow."""
        data = {name: value for name, value in getattr(self, "cleaned_data", {}).items() if value}
        names = ("kind", "standing", "first", "last", "find", "exported")
        return RegisterFilter(**{name: data[name] for name in names if name in data})


class ExportForm(PeriodForm):
    """Which documents go out."""

    currency = forms.CharField(max_length=3, widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any):
        super().__init__(*args, kitchen=kitchen, required=True, **kwargs)
        del self.fields["find"]
        self.kitchen = kitchen
        self.order_fields(["first", "last", "currency"])

    def clean_currency(self) -> str:
        """Take the kitchen's currency when none is named."""
        return self.cleaned_data["currency"] or self.kitchen.currency
