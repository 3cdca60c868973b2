"""Rows that can be added, removed and reordered with buttons, with or without script.

A button submits the whole form with ``do`` = ``lines-up-3``; the data is rearranged and shown again, so nothing that
was entered is lost.
"""

import re
from typing import TYPE_CHECKING, Any, ClassVar, Final, TypeVar

from django import forms
from django.forms.formsets import BaseFormSet
from django.http import QueryDict
from django.utils.text import format_lazy
from django.utils.translation import gettext, gettext_lazy
from django.utils.translation import gettext_noop as marked

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise

MOST_ROWS = 120
_DO = re.compile(r"(?P<prefix>[a-z]{1,20})-(?P<act>add|remove|up|down)(?:-(?P<row>\d{1,4}))?\Z", re.ASCII)
#: Prefix of a set of rows -> what one of them is called.
_ROW_WORDS = {
    "after": marked("Payment"),
    "closed": marked("Closed day"),
    "costs": marked("Cost"),
    "days": marked("Day with other hours"),
    "extras": marked("Extra"),
    "fills": marked("Fill"),
    "handover": marked("Pickup or delivery time"),
    "goods": marked("Item"),
    "retained": marked("Cancellation charge"),
    "lines": marked("Line"),
    "packaging": marked("Packaging"),
    "parts": marked("Part"),
    "payments": marked("Payment"),
    "steps": marked("Step"),
    "usual": marked("Product"),
    "vehicles": marked("Vehicle"),
    "week": marked("Opening time"),
}
Row = dict[str, list[str]]
F = TypeVar("F", bound=forms.Form)


def rows_rearranged(data: QueryDict, do: str) -> QueryDict:
    """Return the submitted data after a row button; other data is returned unchanged."""
    asked = _DO.match(do)
    if asked is None or f"{asked['prefix']}-TOTAL_FORMS" not in data:
        return data
    prefix = asked["prefix"]
    rows = _rows_of(data, prefix)
    _apply(rows, asked["act"], int(asked["row"] or 0))
    changed = data.copy()
    _put_back(changed, prefix, rows)
    return changed


def row_news(do: str, data: QueryDict | None) -> dict[str, str]:
    """Return a sentence about the row that changed, and the id of the element to focus; empty for other buttons."""
    asked = _DO.match(do)
    if asked is None or data is None or f"{asked['prefix']}-TOTAL_FORMS" not in data:
        return {}
    prefix, act, row = asked["prefix"], asked["act"], int(asked["row"] or 0)
    what, total = gettext(_ROW_WORDS.get(prefix, marked("Row"))), _total(data, prefix)
    if act == "add":
        return {"news": gettext("%(row)s %(number)s added.") % {"row": what, "number": total}}
    if act == "remove":
        return {
            "news": gettext("%(row)s %(number)s removed.") % {"row": what, "number": row + 1},
            "focus": f"{prefix}-add",
        }
    place = max(0, row - 1) if act == "up" else min(row + 1, max(0, total - 1))
    # At either end the button used is gone; the other one gets the focus.
    button = "down" if place == 0 else "up" if place == total - 1 else act
    news = gettext("%(row)s %(number)s is now number %(place)s.") % {"row": what, "number": row + 1, "place": place + 1}
    return {"news": news, "focus": f"{prefix}-{place}-{button}"}


def _total(data: QueryDict, prefix: str) -> int:
    text = data.get(f"{prefix}-TOTAL_FORMS", "")
    return min(int(text), MOST_ROWS) if text.isascii() and text.isdigit() and len(text) < 6 else 0


def _rows_of(data: QueryDict, prefix: str) -> list[Row]:
    rows: list[Row] = [{} for _ in range(_total(data, prefix))]
    field = re.compile(rf"{prefix}-(\d{{1,4}})-(\w{{1,40}})\Z", re.ASCII)
    for key, values in data.lists():
        found = field.match(key)
        if found and int(found[1]) < len(rows):
            rows[int(found[1])][found[2]] = [str(value) for value in values]
    return rows


def _apply(rows: list[Row], act: str, row: int) -> None:
    if act == "add":
        if len(rows) < MOST_ROWS:
            rows.append({})
        return
    if row >= len(rows):
        return
    taken = rows.pop(row)
    if act == "up":
        rows.insert(max(0, row - 1), taken)
    elif act == "down":
        rows.insert(row + 1, taken)


def _put_back(data: QueryDict, prefix: str, rows: list[Row]) -> None:
    for key in [key for key in data if re.match(rf"{prefix}-\d+-", key)]:
        del data[key]
    data[f"{prefix}-TOTAL_FORMS"] = str(len(rows))
    for number, row in enumerate(rows):
        for name, values in row.items():
            data.setlist(f"{prefix}-{number}-{name}", values)


#: So many rows of many fields each stand open on a page.
UNFOLDED: Final = 2


class RowSet(BaseFormSet[F]):
    """A formset whose rows all count as new; empty rows are ignored."""

    #: So many named rows stand open; of more each is folded.
    unfolded: ClassVar[int] = UNFOLDED

    extra = 0
    min_num = 0
    max_num = MOST_ROWS
    absolute_max = MOST_ROWS
    can_delete = False
    can_order = False
    can_delete_extra = False
    validate_min = False
    validate_max = False
    edit_only = False
    renderer = None

    #: What a row is called in the error summary.
    row_word: "StrOrPromise" = gettext_lazy("Row")
    #: Extra rows shown when a page is opened.
    spare_rows = 1
    default_error_messages = {
        "missing_management_form": gettext_lazy(
            "Part of the page did not arrive. Open it again and repeat your change."
        ),
        "too_many_forms": format_lazy(gettext_lazy("That is more than {most} rows. Split it in two."), most=MOST_ROWS),
    }

    def __init__(self, data: Any = None, *, rows: list[dict[str, Any]] | None = None, **kwargs: Any) -> None:
        # Saved rows are shown as initial data; when submitted all rows count as new, so that each is checked
        # completely.
        self.saved_rows = rows or []
        self.extra = len(self.saved_rows) + self.spare_rows if data is None else 0
        super().__init__(data, **kwargs)

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        kwargs = super().get_form_kwargs(index)
        if not self.is_bound and index is not None and index < len(self.saved_rows):
            kwargs["initial"] = self.saved_rows[index]
        return kwargs

    def initial_form_count(self) -> int:
        return 0

    def focus_last(self) -> None:
        """Return the first field of the last row the focus."""
        if self.forms:
            next(iter(self.forms[-1].fields.values())).widget.attrs["autofocus"] = True

    @property
    def folds(self) -> bool:
        """Whether there are so many named rows that each is folded: all of them open would be a very long page."""
        return sum(bool(form["name"].value()) for form in self.forms if "name" in form.fields) > self.unfolded

    @property
    def filled(self) -> list[F]:
        """The rows that are not empty."""
        return [form for form in self.forms if form.has_changed()] if self.is_bound else []

    @property
    def values(self) -> list[dict[str, Any]]:
        """The values of the rows that can be read."""
        return [form.cleaned_data for form in self.filled if getattr(form, "cleaned_data", None)]
