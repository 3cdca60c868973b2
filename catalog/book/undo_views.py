"""Undo: what the owner deleted is brought back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from catalog.book.undo_services import undo
from catalog.records.errors import CannotUndo
from catalog.records.presenters import sentence
from catalog.web.access import OWNER, allow
from catalog.web.undo import to_undo


@allow(OWNER)
@require_http_methods(["GET", "HEAD", "POST"])
def undo_delete(request: HttpRequest, key: str) -> HttpResponse:
    """Bring back what was deleted in this session, and lead to the page it was deleted from."""
    if request.method != "POST":
        return redirect("catalog")
    found = to_undo(request, key)
    try:
        if found is None:
            raise CannotUndo
        undo(taken=found["taken"])
    except CannotUndo as refusal:
        messages.error(request, sentence(refusal))
    else:
        messages.success(request, gettext("%(name)s is restored.") % {"name": found["name"]})
    return redirect(found["after"] if found else "catalog")
