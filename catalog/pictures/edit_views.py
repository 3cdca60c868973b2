"""What the pages of a product's photograph and of the kitchen's logo share: save, remove, put back."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from catalog.pictures.forms import PictureForm
from catalog.pictures.selectors import ref_of
from catalog.pictures.services import picture_hold
from catalog.web.edits import Edit


@dataclass(frozen=True, slots=True)
class Deed:
    """What a button of the page does: the service, given the version; the message after it; where that is shown."""

    act: Callable[[str], Any]
    message: str
    after: str


def picture_page(
    request: HttpRequest,
    template: str,
    edit: Edit[Any, Any],
    *,
    deeds: Mapping[str, Deed],
    opened: Callable[[], Edit[Any, Any]],
    context: Callable[[], dict[str, Any]],
) -> HttpResponse:
    """Show the form of a picture, or do what its button says; a part of another page gets the form anew.

    A chosen file that cannot be saved yet is stored, so that nobody has to choose it again.
    """
    deed = deeds.get(request.POST.get("do", ""), deeds["save"])
    if request.method == "POST":
        form: PictureForm = edit.forms
        sound = deed is not deeds["save"] or form.is_valid()
        if sound and edit.saved(deed.act) is not None:
            if not getattr(request, "htmx", False):
                messages.success(request, deed.message)
                return redirect(deed.after)
            return _page(request, template, opened(), {**context(), "done": deed.message})
        edit.forms.held = form.held
        if form.made is not None:
            edit.forms.held = picture_hold(form.made, by=request.user.get_username(), at=timezone.now())
    return _page(request, template, edit, context())


def _page(request: HttpRequest, template: str, edit: Edit[Any, Any], context: dict[str, Any]) -> HttpResponse:
    beside = bool(getattr(request, "htmx", False))
    status = edit.status(422 if edit.forms.errors and not beside else 200)
    shown = {**context, **picture_context(edit), "beside": beside}
    return render(request, template, shown, status=status)


def picture_context(edit: Edit[Any, Any]) -> dict[str, Any]:
    """Return what the form of a picture shows: what is there, what was there before, what was just chosen."""
    form: PictureForm = edit.forms
    return {
        "picture_edit": edit,
        "picture_form": form,
        "picture_now": ref_of(form.use.picture, form.use.alt),
        "picture_former": ref_of(form.use.former, form.use.former_alt),
        "picture_held": ref_of(form.held, ""),
    }
