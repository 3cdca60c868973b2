"""What a form shows, field by field: as the browser sends it when nobody touches it, and as a person reads it."""

from __future__ import annotations

import hashlib
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class Shown:
    """A field's value: its name as it is sent, its label, the texts that are sent, and words for a person."""

    name: str
    label: str
    texts: tuple[str, ...]
    words: str
    #: The texts as the field writes them itself: "$1,200" and "1200" are the same.
    settled: tuple[str, ...]
    filled: bool

    @property
    def mark(self) -> str:
        """Four characters that tell this value from another one."""
        digest = hashlib.sha256("\0".join(self.texts).encode("utf-8", "replace")).digest()
        return urlsafe_b64encode(digest[:3]).decode()

    def same(self, other: Shown) -> bool:
        """Whether both say the same."""
        return self.texts == other.texts or self.settled == other.settled


Row: TypeAlias = list[Shown]


def rows_of(part: AnyForm) -> list[Row]:
    """Return the values of a form (one row) or of a set of rows; rows that are empty or to be removed are left out."""
    if isinstance(part, BaseForm):
        return [row_of(part)]
    rows = [row_of(form) for form in part.forms if not _removed(form)]
    return [row for row in rows if any(shown.filled for shown in row)]


def row_of(form: BaseForm) -> Row:
    """Return the values of one form."""
    return [_shown(bound) for bound in form if bound.name not in _ABOUT_THE_FORM and not bound.field.disabled]


def words_of(row: Row) -> str:
    """Write a whole row in a few words."""
    return ", ".join(shown.words for shown in row if shown.filled) or NOTHING


def _removed(form: BaseForm) -> bool:
    return DELETION_FIELD_NAME in form.fields and bool(form[DELETION_FIELD_NAME].value())


def _shown(bound: BoundField) -> Shown:
    widget, value = bound.field.widget, bound.value()
    label = str(bound.label or bound.name)
    if isinstance(widget, forms.CheckboxInput):
        texts, words = (("on",), "yes") if value else ((), "no")
        return Shown(bound.html_name, label, texts, words, texts, bool(value))
    if isinstance(widget, ChoiceWidget):
        return _choice(bound, widget, label)
    texts = (_text(widget.format_value(value)),)
    return Shown(bound.html_name, label, texts, texts[0] or NOTHING, _settled(bound, texts), bool(texts[0]))


def _choice(bound: BoundField, widget: ChoiceWidget, label: str) -> Shown:
    found = widget.format_value(bound.value())
    texts = tuple(sorted(str(text) for text in found if str(text)))
    named = dict(_named(widget.choices))
    words = ", ".join(named.get(text, text) for text in texts)
    # A list that is not touched sends its first entry.
    first = next(iter(named), "") if not widget.allow_multiple_selected else ""
    return Shown(bound.html_name, label, texts, words or named.get("", NOTHING), texts, texts not in ((), (first,)))


def _named(choices: Any) -> Iterator[tuple[str, str]]:
    for value, label in choices:
        if isinstance(label, list | tuple):
            yield from _named(label)
        else:
            yield str(value if value is not None else ""), str(label)


def _text(value: Any) -> str:
    return str("" if value is None else value).replace("\r\n", "\n").strip()


def _settled(bound: BoundField, texts: tuple[str, ...]) -> tuple[str, ...]:
    """Return a text as its field writes what it read; as it stands where it cannot be read."""
    try:
        read = bound.field.clean(texts[0])
        return (_text(bound.field.widget.format_value(bound.field.prepare_value(read))),)
    except ValidationError:
        return texts
