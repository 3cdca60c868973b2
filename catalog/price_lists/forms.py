"""The forms of a supplier's price list: its upload, the choice of its columns, the rows that are corrected."""

from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext, gettext_lazy

from catalog.kitchen.models import Kitchen
from catalog.price_lists.corrections import Correction
from catalog.price_lists.table import COLUMNS, NEEDED
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
        help_text=gettext_lazy("A CSV or XLSX file as the supplier sends it, at most 5 MB."),
    )

    #: The list that could not be read and that this file takes the place of.
    instead_of = forms.IntegerField(required=False, min_value=1, widget=forms.HiddenInput)

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["starts"].month_first = kitchen.country == "US"  # type: ignore[attr-defined]  # a DayField

    def clean_file(self) -> Any:
        return table_file(self.cleaned_data["file"])


class StartsForm(forms.Form):
    """The first day of a list's prices."""

    starts = DayField(what=gettext_lazy("the first day of these prices"), label=gettext_lazy("In force from"))

    def __init__(self, *args: Any, kitchen: Kitchen, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["starts"].month_first = kitchen.country == "US"  # type: ignore[attr-defined]  # a DayField


def table_file(file: Any) -> Any:
    """Return an uploaded file that is small enough and named as a table; raise a ValidationError for another."""
    if file.size > MOST_BYTES:
        raise ValidationError(
            gettext("The file is larger than 5 MB. Save only the table and choose it again."),
            code="too_large",
        )
    if not file.name.lower().endswith((".csv", ".txt", ".xlsx")):
        raise ValidationError(gettext("Choose a CSV or XLSX file."), code="wrong_kind")
    return file


class ColumnsForm(forms.Form):
    """Which column of a file holds what."""

    item = forms.ChoiceField(label=gettext_lazy("Item"))
    pack = forms.ChoiceField(label=gettext_lazy("Pack"))
    size = forms.ChoiceField(
        label=gettext_lazy("Size of one"),
        required=False,
        help_text=gettext_lazy("Only where the pack’s column counts (12) and another holds the size (1 qt)."),
    )
    price = forms.ChoiceField(label=gettext_lazy("Price of the pack"))

    def __init__(self, *args: Any, choices: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        for key in COLUMNS:
            fields[key].choices = [("", gettext("Choose a column") if key in NEEDED else gettext("None")), *choices]
            fields[key].error_messages["required"] = gettext("Choose the column.")
            fields[key].error_messages["invalid_choice"] = gettext("Choose one of the columns of the list.")

    def clean(self) -> dict[str, Any]:
        """Refuse one column for two things."""
        data = super().clean() or {}
        met: set[str] = set()
        for key in COLUMNS:
            place = data.get(key)
            if place and place in met:
                self.add_error(key, ValidationError(gettext("Choose a column that is not chosen above."), code="twice"))
            met.add(place or "")
        return data

    @property
    def places(self) -> dict[str, int]:
        """The place of each column by what it holds."""
        return {key: int(place) for key in COLUMNS if (place := self.cleaned_data[key])}


def corrections_entered(data: QueryDict) -> list[Correction]:
    """Read the rows of the list of corrections; what is no row is left out."""
    rows = [int(row) for row in data.getlist("row") if row.isascii() and row.isdigit() and len(row) < 9]

    def text(name: str, row: int) -> str:
        return " ".join(data.get(f"{name}-{row}", "").replace("\x00", "").split())[:200]

    def cell(name: str, row: int) -> str | None:
        return text(name, row) if f"{name}-{row}" in data else None

    return [
        Correction(
            row,
            text("item", row),
            cell("pack", row),
            cell("price", row),
            f"add-{row}" in data,
            f"same-{row}" in data,
            f"sure-{row}" in data,
            f"instead-{row}" in data,
        )
        for row in rows
    ]
