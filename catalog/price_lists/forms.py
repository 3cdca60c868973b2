"""The form that uploads a supplier's price list."""

from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext, gettext_lazy

from catalog.kitchen.models import Kitchen
from catalog.web.fields import DayField

#: Most bytes of a price list.
MOST_BYTES: Final = 5 * 1024 * 1024


class PriceListForm(forms.Form):
    """A supplier's price list to read."""

    supplier = forms.CharField(
        max_length=80,
        label=gettext_lazy("Supplier"),
        widget=forms.TextInput(attrs={"list": "suppliers"}),
        error_messages={"required": gettext_lazy("Enter the supplier the list is from.")},
    )
    starts = DayField(what=gettext_lazy("the first day of these prices"), label=gettext_lazy("In force from"))
    file = forms.FileField(
        label=gettext_lazy("Price list"),
        error_messages={
            "required": gettext_lazy("Choose the list's file, CSV or XLSX."),
            "empty": gettext_lazy("The file is empty. Choose another."),
        },
        help_text=gettext_lazy(
            "A CSV or XLSX file, at most 5 MB. Its first row names the columns item (your name or code for it), pack"
            " and price."
        ),
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["starts"].month_first = kitchen.country == "US"  # type: ignore[attr-defined]  # a DayField

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > MOST_BYTES:
            raise ValidationError(
                gettext("The file is larger than 5 MB. Save only the price table and choose it again."),
                code="too_large",
            )
        if not file.name.lower().endswith((".csv", ".txt", ".xlsx")):
            raise ValidationError(gettext("Choose a CSV or XLSX file."), code="wrong_kind")
        return file
