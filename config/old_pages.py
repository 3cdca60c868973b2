"""A form sent from a page that grew too old: nothing is done, and nothing typed is lost."""

from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

#: Fields that a form carries without showing them.
UNSEEN: Final = frozenset({"csrfmiddlewaretoken", "idempotency_key", "seen", "version", "next"})


def submitted_texts(request: HttpRequest) -> list[tuple[str, str]]:
    """Return the texts a form of ours held, to copy: going back would load the page anew, without it.

    What another site sends is never shown, nor are passwords and what a form carries unseen.
    """
    if request.headers.get("Origin") != f"{request.scheme}://{request.get_host()}":
        return []
    shown = [name for name in request.POST if not name.endswith("_FORMS") and "password" not in name]
    named = [(name.rpartition("-")[2].replace("_", " "), name) for name in shown if name not in UNSEEN]
    return [(label, text) for label, name in named for text in request.POST.getlist(name) if text.strip()]


def old_page(request: HttpRequest, *, layout: str) -> HttpResponse:
    """Answer such a form: why nothing was done, the way back, and what was typed."""
    came_from = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(came_from, {request.get_host()}, request.is_secure())
    context = {"layout": layout, "submitted": submitted_texts(request), "back": came_from if ours else request.path}
    response = render(request, "site/csrf.html", context, status=403)
    response["Cache-Control"] = "private, no-store"
    return response
