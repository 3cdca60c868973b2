"""Form errors in our own sentences: Django's neither name the field nor say how to fix it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import EmailValidator, ProhibitNullCharactersValidator
from django.db import models
from django.forms import BaseForm, BoundField
from django.forms.utils import ErrorList
from django.utils import translation
from django.utils.translation import gettext

_CHOOSERS: Final = (forms.Select, forms.RadioSelect, forms.CheckboxSelectMultiple, forms.ClearableFileInput)


def _empty(label: str, error: ValidationError, widget: forms.Widget) -> str:
    sentence = (
        gettext("Choose an entry for “%(label)s”.")
        if isinstance(widget, _CHOOSERS)
        else gettext("Fill in “%(label)s”.")
    )
    return sentence % {"label": label}


def _too_long(label: str, error: ValidationError, widget: forms.Widget) -> str:
    params = error.params or {}
    return gettext("Shorten “%(label)s” to %(most)s characters: it has %(length)s.") % {
        "label": label,
        "most": params.get("limit_value"),
        "length": params.get("show_value"),
    }


def _too_short(label: str, error: ValidationError, widget: forms.Widget) -> str:
    least = (error.params or {}).get("limit_value")
    return gettext("Write at least %(least)s characters in “%(label)s”.") % {"label": label, "least": least}


def _not_offered(label: str, error: ValidationError, widget: forms.Widget) -> str:
    sentence = gettext("Choose one of the offered entries for “%(label)s”. The one that was sent is not among them.")
    return sentence % {"label": label}


def _no_email(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return gettext("Write “%(label)s” as an e-mail address, such as ida@example.org.") % {"label": label}


def _no_nulls(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return gettext("Remove the invisible characters from “%(label)s”.") % {"label": label}


def _taken(label: str, error: ValidationError, widget: forms.Widget) -> str:
    return gettext("This “%(label)s” is used already. Choose a different one.") % {"label": label}


_Sentence = Callable[[str, ValidationError, forms.Widget], str]

with translation.override(None):
    #: Django's sentence in the language of its sources -> ours. A sentence given by the form is not replaced.
    _DJANGO_SENTENCES: Final[dict[str, _Sentence]] = {
        str(forms.Field.default_error_messages["required"]): _empty,
        str(forms.ChoiceField.default_error_messages["invalid_choice"]): _not_offered,
        str(forms.ModelChoiceField.default_error_messages["invalid_choice"]): _not_offered,
        str(forms.ModelMultipleChoiceField.default_error_messages["invalid_choice"]): _not_offered,
        str(forms.ModelMultipleChoiceField.default_error_messages["invalid_pk_value"]): _not_offered,
        str(forms.MultipleChoiceField.default_error_messages["invalid_list"]): _not_offered,
        str(EmailValidator.message): _no_email,
        str(ProhibitNullCharactersValidator.message): _no_nulls,
        str(models.Field.default_error_messages["unique"]): _taken,
    }
#: Sentences that Django builds each time are recognized by their code.
_BY_CODE: Final[dict[str, _Sentence]] = {"max_length": _too_long, "min_length": _too_short}


def _sentence(error: ValidationError, label: str, widget: forms.Widget) -> str:
    ours = _BY_CODE.get(str(error.code)) if error.params else None
    # A lazy plural sentence is empty until its number is known; those are recognized by code.
    if ours is None:
        # Django's own British catalog words some of them in another way.
        with translation.override(None):
            ours = _DJANGO_SENTENCES.get(str(error.message))
    return ours(label, error, widget) if ours else str(error.messages[0])


def field_errors(bound: BoundField) -> list[str]:
    """Return the errors of a field, each a sentence that names the field."""
    return [_sentence(error, str(bound.label), bound.field.widget) for error in _data(bound.errors)]


def whole_form_errors(form: BaseForm) -> list[str]:
    """Return the errors of the form as a whole."""
    return [_sentence(error, gettext("this"), forms.Widget()) for error in _data(form.non_field_errors())]


def _data(errors: ErrorList) -> list[ValidationError]:
    """Return the errors one by one; an ErrorList may hold plain text or errors of several sentences."""
    return [one for entry in errors.as_data() for one in getattr(entry, "error_list", [entry])]
