"""What a form shows, field by field: as the browser sends it when nobody touches it, and as a person reads it."""

from __future__ import annotations

import hashlib
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from functools import cached_property
from typing import Any, Final, TypeAlias

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BaseForm, BoundField
from django.forms.formsets import DELETION_FIELD_NAME, BaseFormSet
from django.forms.widgets import ChoiceWidget

AnyForm: TypeAlias = "BaseForm | BaseFormSet[Any]"

#: Fields that are about the form, not about the record.
_ABOUT_THE_FORM: Final = frozenset({"version", "idempotency_key", DELETION_FIELD_NAME})
#: What stands for a value that is empty.
NOTHING: Final = "nothing"


class Shown:
    """A field's value: its name as it is sent, its label, and the texts that are sent. What compares them is lazy."""

    def __init__(self, bound: BoundField) -> None:
        self._bound, self._widget = bound, bound.field.widget
        self.name, self.label = bound.html_name, str(bound.label or bound.name)
        self.texts = _texts(self._widget, bound.value())

    @property
    def mark(self) -> str:
        """Four characters that tell this value from another one."""
        digest = hashlib.sha256("\0".join(self.texts).encode("utf-8", "replace")).digest()
        return urlsafe_b64encode(digest[:3]).decode()

    def same(self, other: Shown) -> bool:
        """Whether both say the same."""
        return self.texts == other.texts or self.settled == other.settled

    @property
    def filled(self) -> bool:
        """Whether it says something; a list that is not touched sends its first entry."""
        if isinstance(self._widget, ChoiceWidget) and not self._widget.allow_multiple_selected:
            return self.texts not in ((), (next(_named(self._widget.choices), ("", ""))[0],))
        return any(self.texts)

    @cached_property
    def words(self) -> str:
        """What a person reads."""
        if isinstance(self._widget, forms.CheckboxInput):
            return "yes" if self.texts else "no"
        if isinstance(self._widget, ChoiceWidget):
            named = dict(_named(self._widget.choices))
            return ", ".join(named.get(text, text) for text in self.texts) or named.get("", NOTHING)
        return self.texts[0] or NOTHING

    @cached_property
    def settled(self) -> tuple[str, ...]:
        """The texts as the field writes what it read: "$1,200" and "1200" are the same."""
        if isinstance(self._widget, ChoiceWidget | forms.CheckboxInput):
            return self.texts
        field = self._bound.field
        try:
            return (_text(self._widget.format_value(field.prepare_value(field.clean(self.texts[0])))),)
        except ValidationError:
            return self.texts


def _texts(widget: forms.Widget, value: Any) -> tuple[str, ...]:
    if isinstance(widget, forms.CheckboxInput):
        return ("on",) if value else ()
    if isinstance(widget, ChoiceWidget):
        return tuple(sorted(str(text) for text in widget.format_value(value) if str(text)))
    return (_text(widget.format_value(value)),)


Row: TypeAlias = list[Shown]


def rows_of(part: AnyForm) -> list[Row]:
    """Return the values of a form (one row) or of a set of rows; rows that are empty or to be removed are left out."""
    if isinstance(part, BaseForm):
        return [row_of(part)]
    rows = [row_of(form) for form in part.forms if not _removed(form)]
    return [row for row in rows if any(shown.filled for shown in row)]


def row_of(form: BaseForm) -> Row:
    """Return the values of one form."""
    return [Shown(bound) for bound in form if bound.name not in _ABOUT_THE_FORM and not bound.field.disabled]


def words_of(row: Row) -> str:
    """Write a whole row in a few words."""
    return ", ".join(shown.words for shown in row if shown.filled) or NOTHING


def _removed(form: BaseForm) -> bool:
    return DELETION_FIELD_NAME in form.fields and bool(form[DELETION_FIELD_NAME].value())


def _named(choices: Any) -> Iterator[tuple[str, str]]:
    for value, label in choices:
        if isinstance(label, list | tuple):
            yield from _named(label)
        else:
            yield str(value if value is not None else ""), str(label)


def _text(value: Any) -> str:
    return str("" if value is None else value).replace("\r\n", "\n").strip()
