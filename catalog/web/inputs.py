"""Form fields as HTML: label, help, error and input with their associations, and the error summary."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, TypeAlias

from django import forms
from django.forms import BaseForm, BoundField
from django.forms.formsets import DELETION_FIELD_NAME, BaseFormSet
from django.template.loader import render_to_string
from django.utils.safestring import SafeString
from django.utils.translation import gettext_lazy

from catalog.web.form_errors import field_errors, whole_form_errors

AnyForm: TypeAlias = "BaseForm | BaseFormSet[Any]"


def _is_group(bound: BoundField) -> bool:
    return isinstance(bound.field.widget, forms.RadioSelect | forms.CheckboxSelectMultiple)


def _is_checkbox(bound: BoundField) -> bool:
    return isinstance(bound.field.widget, forms.CheckboxInput)


def _input(bound: BoundField, help_text: str, **extra: str) -> SafeString:
    """Write the widget with its description; optional fields are named in words, so nothing is ``required``."""
    bound.form.use_required_attribute = False
    if bound.errors and getattr(bound.field.widget, "input_type", "") == "date":
        # A browser empties a date input whose text is no date; keep the text, so that it can be corrected.
        bound.field.widget.input_type = "text"
    described = [f"{bound.auto_id}_help"] if help_text else []
    described += [f"{bound.auto_id}_error"] if bound.errors else []
    # Django writes its own aria-describedby unless one is given, and it would name ids that are not on the page.
    attrs: dict[str, Any] = {"aria-describedby": " ".join(described) or None, **extra}
    if bound.errors:
        attrs["aria-invalid"] = "true"
    return bound.as_widget(attrs={name: value for name, value in attrs.items() if value is not None})


def _context(bound: BoundField, label: str, help_text: str) -> dict[str, Any]:
    return {
        "bound": bound,
        "id": bound.auto_id,
        "label": label or bound.label,
        "help": help_text,
        "messages": field_errors(bound),
        "unit": getattr(bound.field, "unit", ""),
    }


def field(
    bound: BoundField,
    *,
    label: str = "",
    help_text: str | None = None,
    short: bool = False,
    optional: bool | None = None,
) -> SafeString:
    """Write a field with its label above, help under the label and error under the help.

    ``short`` makes it narrow; ``optional`` overrules the note that it may stay empty.
    """
    if bound.is_hidden:
        return bound.as_hidden()
    help_text = str(bound.help_text) if help_text is None else help_text
    group, tick = _is_group(bound), _is_checkbox(bound)
    context = _context(bound, label, help_text)
    context |= {
        "input": _input(bound, help_text),
        "short": short,
        "optional": (not bound.field.required and not tick) if optional is None else optional,
    }
    template = "parts/field_group.html" if group else "parts/field_tick.html" if tick else "parts/field.html"
    return render_to_string(template, context)


def bare(bound: BoundField, *, label: str = "", short: bool = False) -> SafeString:
    """Write an input for a table's cell, with its label and help visually hidden and its error under it."""
    if bound.is_hidden:
        return bound.as_hidden()
    context = _context(bound, label, str(bound.help_text))
    context |= {"input": _input(bound, context["help"]), "short": short}
    return render_to_string("parts/field_bare.html", context)


def _target(bound: BoundField) -> str:
    """Return the id a summary's line jumps to."""
    if bound.is_hidden:
        return ""
    return f"{bound.auto_id}_0" if _is_group(bound) else bound.auto_id


def _first_target(form: BaseForm) -> str:
    return next((_target(bound) for bound in form.visible_fields()), "")


def _of_form(form: BaseForm, row: str = "") -> Iterator[tuple[str, str]]:
    if not form.errors:
        return
    for message in whole_form_errors(form):
        yield _first_target(form), row + message
    for bound in form:
        for message in field_errors(bound):
            yield _target(bound), row + message


def _of_formset(formset: BaseFormSet[Any]) -> Iterator[tuple[str, str]]:
    for message in formset.non_form_errors():
        yield (_first_target(formset.forms[0]) if formset.forms else ""), str(message)
    # A page may have several formsets: each says what one of its rows is called.
    word = getattr(formset, "row_word", gettext_lazy("Row"))
    for number, form in enumerate(formset.forms, start=1):
        if not getattr(form, "cleaned_data", {}).get(DELETION_FIELD_NAME):
            yield from _of_form(form, f"{word} {number}: ")


def input_problems(*parts: AnyForm | list[BaseForm] | None) -> list[tuple[str, str]]:
    """Return (id of the field, sentence) of everything wrong, in the order of the page."""
    found: list[tuple[str, str]] = []
    for part in parts:
        # A variable missing in the context reaches a template tag as empty text.
        if isinstance(part, BaseFormSet):
            found += _of_formset(part) if part.is_bound else []
        elif isinstance(part, BaseForm):
            found += _of_form(part)
        elif isinstance(part, list):
            found += input_problems(*part)
    return found


def summary(*parts: AnyForm | list[BaseForm] | None) -> SafeString:
    """Write the error summary; nothing when nothing is wrong."""
    found = input_problems(*parts)
    return render_to_string("parts/errors.html", {"found": found}) if found else SafeString("")


def add_row(formset: BaseFormSet[Any], text: str) -> SafeString:
    """Write the button that adds a row from the formset's ``<template>``."""
    return render_to_string("parts/add_row.html", {"prefix": formset.prefix, "text": text})


def _forms_in(value: Any) -> Iterable[AnyForm]:
    if isinstance(value, BaseForm | BaseFormSet):
        return [value]
    if isinstance(value, list | tuple):
        return [part for part in value if isinstance(part, BaseForm | BaseFormSet)]
    return []


def has_problems(values: Iterable[Any]) -> bool:
    """Return whether a form among the page's variables has errors; the page's title then says so."""
    parts = [part for value in values for part in _forms_in(value)]
    return bool(input_problems(*parts))
