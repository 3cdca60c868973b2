"""Forms sent from an outdated page: nothing is done, and the input is shown to copy."""

from typing import Final

from django.core.exceptions import BadRequest, SuspiciousOperation
from django.http import HttpRequest, HttpResponse, QueryDict, UnreadablePostError
from django.http.multipartparser import MultiPartParserError
from django.shortcuts import render
from django.utils.http import url_has_allowed_host_and_scheme

#: Hidden fields of forms, and codes that sign somebody in.
UNSEEN: Final = frozenset(
    {"csrfmiddlewaretoken", "idempotency_key", "seen", "version", "next", "one_time_code", "session"}
)
#: Why a form cannot be read: larger than any form, cut off, not what it says it is.
_UNREADABLE: Final = (BadRequest, SuspiciousOperation, MultiPartParserError, UnreadablePostError)


def submitted_form(request: HttpRequest) -> QueryDict:
    """Return what was submitted; nothing when it cannot be read, so that an error page can be shown in any case."""
    try:
        return request.POST
    except _UNREADABLE:
        return QueryDict()


def sent_by_this_site(request: HttpRequest) -> bool:
    """Return whether a browser says that a page of this site sent the form."""
    return request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}"


def submitted_texts(request: HttpRequest) -> list[tuple[str, str]]:
    """Return the texts of a submitted form of this site, to copy: going back would reload the page without them.

    Data sent by another site is never shown, nor are passwords and hidden fields.
    """
    if not sent_by_this_site(request):
        return []
    values = submitted_form(request)
    shown = [name for name in values if not name.endswith("_FORMS") and "password" not in name]
    named = [(name.rpartition("-")[2].replace("_", " "), name) for name in shown if name not in UNSEEN]
    return [(label, text) for label, name in named for text in values.getlist(name) if text.strip()]


def old_page(request: HttpRequest, *, layout: str) -> HttpResponse:
    """Return the page for such a form: why nothing was done, the link back, and the input."""
    came_from = request.headers.get("Referer", "")
    ours = url_has_allowed_host_and_scheme(came_from, {request.get_host()}, request.is_secure())
    context = {"layout": layout, "submitted": submitted_texts(request), "back": came_from if ours else request.path}
    response = render(request, "site/csrf.html", context, status=403)
    response["Cache-Control"] = "private, no-store"
    return response
