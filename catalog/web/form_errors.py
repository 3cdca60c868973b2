"""Form errors in our own sentences: Django's neither name the field nor say how to fix it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BaseForm, BoundField
from django.forms.utils import ErrorList

_CHOOSERS: Final = (forms.Select, forms.RadioSelect, forms.CheckboxSelectMultiple, forms.ClearableFileInput)


def _empty(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return f"Choose something for “{label}”." if isinstance(widget, _CHOOSERS) else f"Fill in “{label}”."


def _too_long(label: str, error: ValidationError, widget: forms.Widget) -> str:
    params = error.params or {}
    return f"Shorten “{label}” to {params.get('limit_value')} characters: it has {params.get('show_value')}."


def _too_short(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return f"Write at least {(error.params or {}).get('limit_value')} characters in “{label}”."


def _not_offered(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return f"Choose one of the offered entries for “{label}”; the one sent is not among them."


def _no_email(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return f"Write “{label}” as an e-mail address, such as ida@example.org."


def _no_nulls(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return f"Take the characters that cannot be seen out of “{label}”."


def _taken(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return f"Another one already has this “{label}”. Choose a different one."


_Sentence = Callable[[str, ValidationError, forms.Widget], str]

#: Django's sentence -> ours. A sentence given by the form is not replaced.
_DJANGO_SENTENCES: Final[dict[str, _Sentence]] = {
    str(forms.Field.default_error_messages["required"]): _empty,
    str(forms.ChoiceField.default_error_messages["invalid_choice"]): _not_offered,
    str(forms.ModelChoiceField.default_error_messages["invalid_choice"]): _not_offered,
    str(forms.ModelMultipleChoiceField.default_error_messages["invalid_choice"]): _not_offered,
    str(forms.ModelMultipleChoiceField.default_error_messages["invalid_pk_value"]): _not_offered,
    str(forms.MultipleChoiceField.default_error_messages["invalid_list"]): _not_offered,
    "Enter a valid email address.": _no_email,
    "Null characters are not allowed.": _no_nulls,
    "%(model_name)s with this %(field_label)s already exists.": _taken,
}
#: Sentences that Django builds each time are recognized by their code.
_BY_CODE: Final[dict[str, _Sentence]] = {"max_length": _too_long, "min_length": _too_short}


def _sentence(error: ValidationError, label: str, widget: forms.Widget) -> str:
    ours = _BY_CODE.get(str(error.code)) if error.params else None
    # A lazy plural sentence is empty until its number is known; those are recognized by code.
    ours = ours or _DJANGO_SENTENCES.get(str(error.message))
    return ours(label, error, widget) if ours else str(error.messages[0])


def field_errors(bound: BoundField) -> list[str]:
    """Return the errors of a field, each a sentence that names the field."""
    return [_sentence(error, str(bound.label), bound.field.widget) for error in _data(bound.errors)]


def whole_form_errors(form: BaseForm) -> list[str]:
    """Return the errors of the form as a whole."""
    return [_sentence(error, "this", forms.Widget()) for error in _data(form.non_field_errors())]


def _data(errors: ErrorList) -> list[ValidationError]:
    """Return the errors one by one; an ErrorList may hold plain text or errors of several sentences."""
    return [one for entry in errors.as_data() for one in getattr(entry, "error_list", [entry])]
