"""The common part of the recipe and product editors: a form with sets of rows that is saved, copied, deleted.

Buttons that rearrange rows, and the live figures, submit the whole form like the save button; ``do`` says which it was.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, Generic, TypeVar

from django import forms
from django.db import models
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext

from catalog.records.errors import CatalogError, InUse
from catalog.records.presenters import sentence
from catalog.web.copy_form import CopyForm
from catalog.web.edits import Edit
from catalog.web.form_data import submitted_data
from catalog.web.row_forms import RowSet, row_news, rows_rearranged
from catalog.web.undo import undoable

F = TypeVar("F", bound=forms.Form)
Editor = TypeVar("Editor", bound="EditorForms[Any]")
Saved = TypeVar("Saved", bound=models.Model)


class EditorForms(Generic[F]):
    """A form with sets of rows; ``row_sets`` maps their prefix to them."""

    form: F
    row_sets: Mapping[str, RowSet[Any]]

    def __iter__(self) -> Iterator[forms.Form | RowSet[Any]]:
        """Return the form and its sets of rows, in page order."""
        return iter(self.parts)

    @property
    def parts(self) -> list[forms.Form | RowSet[Any]]:
        """The form and its sets of rows, for the summary of errors."""
        return [self.form, *self.row_sets.values()]

    def is_valid(self) -> bool:
        """Check everything, so that all errors show at once."""
        sound = [part.is_valid() for part in self.parts]
        return all(sound)

    def clear_errors(self) -> None:
        """Clear the errors while the form is still being filled in."""
        for form in (self.form, *(form for rows in self.row_sets.values() for form in rows.forms)):
            form.errors.clear()

    def focus_added(self, do: str) -> None:
        """After a row was added, give its first field the focus."""
        prefix, _, act = do.partition("-")
        if act == "add" and prefix in self.row_sets:
            self.row_sets[prefix].focus_last()


@dataclass(frozen=True, slots=True)
class Submission:
    """The data an editor submitted, with its rows rearranged; ``data`` is None when its page is only opened."""

    do: str
    data: QueryDict | None

    @property
    def saves(self) -> bool:
        """Whether it is to be saved."""
        return self.data is not None and self.do == "save"


def submission(request: HttpRequest) -> Submission:
    """Read the data an editor submitted."""
    do = request.POST.get("do", "")
    data = submitted_data(request)
    return Submission(do, None if data is None else rows_rearranged(data, do))


def saved(edit: Edit[Any, Editor], save: Callable[[Editor, str], Saved]) -> Saved | None:
    """Save if all forms are valid; a refusal becomes an error of the form."""
    editor = edit.forms
    if not editor.is_valid():
        return None
    try:
        return edit.saved(partial(save, editor))
    except CatalogError as error:
        refuse(editor.form, error)
        return None


def refuse(form: forms.Form, error: CatalogError) -> None:
    """Add a refusal to the field it is about, or to the form as a whole."""
    form.add_error(error.place if error.place in form.fields else None, sentence(error))


def editor_page(
    request: HttpRequest, template: str, edit: Edit[Any, Editor], sent: Submission, context: dict[str, Any]
) -> HttpResponse:
    """Show an editor; errors are shown only after an attempt to save."""
    editor = edit.forms
    if not sent.saves and sent.data is not None:
        editor.clear_errors()
        editor.focus_added(sent.do)
    context |= {"editor": editor, "edit": edit, "wrong": sent.saves, "forms": editor.parts if sent.saves else []}
    status = edit.status(422 if sent.saves else 200)
    return render(request, template, context | row_news(sent.do, sent.data), status=status)


def copy_page(
    request: HttpRequest, template: str, *, name: str, copy: Callable[[str], str], context: dict[str, Any]
) -> HttpResponse:
    """Ask for a copy's name, make it, and go on at the address that ``copy`` returns."""
    form = CopyForm(submitted_data(request), initial={"name": name[:500]})
    if form.is_bound and form.is_valid():
        return redirect(copy(form.cleaned_data["name"]))
    return render(request, template, context | {"form": form}, status=422 if form.errors else 200)


def deleted(request: HttpRequest, row: models.Model, delete: Callable[[], None], listing: str) -> HttpResponse:
    """Delete a row and redirect to its list, which offers to undo it; the middleware shows a refusal."""
    say = undoable(request, row, delete)
    say(gettext("%(name)s is deleted.") % {"name": row}, reverse(listing))
    return redirect(listing)


def delete_page(
    request: HttpRequest,
    template: str,
    row: models.Model,
    *,
    delete: Callable[[], None],
    listing: str,
    context: dict[str, Any],
) -> HttpResponse:
    """Delete a row on POST and redirect to its list; otherwise show what still uses it."""
    refusal = ""
    if request.method == "POST":
        try:
            return deleted(request, row, delete, listing)
        except InUse as error:
            refusal = sentence(error)
    return render(request, template, context | {"refusal": refusal}, status=409 if refusal else 200)
