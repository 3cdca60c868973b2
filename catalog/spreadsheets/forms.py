"""The forms of a spreadsheet: its upload, the choice of sheet and columns, rows that are corrected, answers."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.translation import gettext, gettext_lazy

from catalog.price_lists.forms import table_file
from catalog.spreadsheets.columns import Column
from catalog.spreadsheets.models import Spreadsheet

#: Most characters of a corrected cell.
_LONGEST: Final = 10_000
#: Answers that need no name.
_ANSWERS: Final = frozenset(
    {"add", "same", "leave", "replace", "weight", "volume", "each", "g", "kg", "oz", "lb", "cup", "ml"}
)


class SpreadsheetForm(forms.Form):
    """A spreadsheet to read."""

    holds = forms.ChoiceField(
        label=gettext_lazy("The file holds"),
        choices=[("", gettext_lazy("Choose what it holds")), *Spreadsheet.Holds.choices],
        error_messages={
            "required": gettext_lazy("Choose what the file holds."),
            "invalid_choice": gettext_lazy("Choose what the file holds."),
        },
    )
    file = forms.FileField(
        label=gettext_lazy("File"),
        error_messages={
            "required": gettext_lazy("Choose the file, CSV or XLSX."),
            "empty": gettext_lazy("The file is empty. Choose another."),
        },
        help_text=gettext_lazy("CSV or XLSX, at most 5 MB and 5,000 rows."),
    )

    def clean_file(self) -> Any:
        return table_file(self.cleaned_data["file"])


class SpreadsheetColumnsForm(forms.Form):
    """Which column of a sheet holds what, and in which row the heads stand."""

    head_row = forms.TypedChoiceField(
        label=gettext_lazy("Row with the heads"),
        coerce=int,
        error_messages={"invalid_choice": gettext_lazy("Choose one of the rows shown.")},
    )

    def __init__(
        self,
        *args: Any,
        columns: Sequence[Column],
        words: Mapping[str, str],
        choices: list[tuple[str, str]],
        rows: Sequence[int],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.columns = columns
        fields: dict[str, Any] = self.fields
        for column in columns:
            empty = gettext("Choose a column") if column.needed else gettext("None")
            fields[column.key] = forms.ChoiceField(
                label=words[column.key],
                required=column.needed,
                choices=[("", empty), *choices],
                error_messages={
                    "required": gettext("Choose the column."),
                    "invalid_choice": gettext("Choose one of the columns of the sheet."),
                },
            )
        no_heads = ("0", gettext("No row has heads"))
        fields["head_row"].choices = [no_heads, *((str(row), gettext("Row %(n)s") % {"n": row}) for row in rows)]
        self.order_fields([*(column.key for column in columns), "head_row"])

    def clean(self) -> dict[str, Any]:
        """Refuse one column for two things."""
        data = super().clean() or {}
        met: set[str] = set()
        for column in self.columns:
            place = data.get(column.key)
            if place and place in met:
                words = gettext("Choose a column that is not chosen above.")
                self.add_error(column.key, ValidationError(words, code="twice"))
            met.add(place or "")
        return data

    @property
    def places(self) -> dict[str, int]:
        """The place of each column by what it holds."""
        return {one.key: int(place) for one in self.columns if (place := self.cleaned_data[one.key])}


def cells_entered(data: QueryDict, keys: Sequence[str]) -> dict[int, dict[str, str]]:
    """Read the cells of rows that are corrected; what is no row is left out."""
    rows = [int(row) for row in data.getlist("row") if row.isascii() and row.isdigit() and len(row) < 9]
    return {row: {key: _text(data.get(f"{key}-{row}", "")) for key in keys if f"{key}-{row}" in data} for row in rows}


def answers_entered(data: QueryDict) -> dict[str, str]:
    """Read the answers to questions; a name that was entered goes before a choice."""
    found: dict[str, str] = {}
    for key, at in zip(data.getlist("question"), range(len(data.getlist("question"))), strict=True):
        answer, other = data.get(f"answer-{at}", ""), _text(data.get(f"other-{at}", ""))[:200]
        found[key[:300]] = f"is:{other}" if other else answer if answer in _ANSWERS else ""
    return found


def _text(text: str) -> str:
    return text.replace("\x00", "").replace("\r\n", "\n").strip()[:_LONGEST]
