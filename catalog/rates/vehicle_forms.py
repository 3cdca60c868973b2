"""The rows of vehicles on the page about delivery."""

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _
from django.utils.translation import gettext_noop as marked

from catalog.kitchen.models import Vehicle


class VehicleForm(forms.Form):
    """A vehicle; an empty row is ignored."""

    name = forms.CharField(label=_("Vehicle"), max_length=80, required=False)
    cold = forms.BooleanField(label=_("Refrigerated"), required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("cold") and not data.get("name") and "name" not in self.errors:
            self.add_error("name", gettext("Enter the name of the vehicle, such as White van."))
        return data


class BaseVehicleFormSet(forms.BaseFormSet[VehicleForm]):
    """Vehicles, each name once."""

    row_word = marked("Vehicle")

    def clean(self) -> None:
        seen: set[str] = set()
        for form in self.complete_rows():
            name = form.cleaned_data["name"].casefold()
            if name in seen:
                form.add_error("name", gettext("This vehicle is entered twice. Give one another name, or remove it."))
            seen.add(name)

    def complete_rows(self) -> list[VehicleForm]:
        """Return the rows with a name that are not removed."""
        return [
            form
            for form in self.forms
            if form.is_valid() and form.cleaned_data.get("name") and not form.cleaned_data.get("DELETE")
        ]

    def vehicles(self) -> list[Vehicle]:
        """Return the checked vehicles, unsaved and in order."""
        return [
            Vehicle(name=row["name"], cold=row["cold"], position=i)
            for i, row in enumerate(form.cleaned_data for form in self.complete_rows())
        ]


VehicleFormSet = forms.formset_factory(
    VehicleForm, formset=BaseVehicleFormSet, extra=1, can_delete=True, max_num=40, absolute_max=60
)
