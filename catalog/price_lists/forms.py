"""The form that uploads a supplier's price list."""

from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError

from catalog.kitchen.models import Kitchen
from catalog.web.fields import DayField


class PriceListForm(forms.Form):
    """A supplier's price list to read."""

    supplier = forms.CharField(
        max_length=80,
        label="Supplier",
        widget=forms.TextInput(attrs={"list": "suppliers"}),
        error_messages={"required": "Enter the supplier the list is from."},
    )
    starts = DayField(what="the first day of these prices", label="In force from")
    file = forms.FileField(
        label="Price list",
        error_messages={
            "required": "Choose the list's file, CSV or XLSX.",
            "empty": "The file is empty. Choose another.",
        },
        help_text="A CSV or XLSX file, at most 5 MB, with a head row: item (your name or code for it), pack, price.",
    )

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["starts"].month_first = kitchen.country == "US"  # type: ignore[attr-defined]  # a DayField

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > settings.FILE_UPLOAD_MAX_MEMORY_SIZE:
            raise ValidationError(
                "The file is larger than 5 MB. Save only the price table and choose it again.", code="too_large"
            )
        if not file.name.lower().endswith((".csv", ".txt", ".xlsx")):
            raise ValidationError("Choose a CSV or XLSX file.", code="wrong_kind")
        return file
