"""Cautions and the error pages."""

import sys
from http import HTTPStatus
from typing import Final

from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

from catalog.web.access import ANYBODY, ROLES, allow
from catalog.web.display import joined
from config.accounts.role_words import role_word
from config.navigation import home
from config.old_pages import old_page, submitted_texts
from config.roles import roles_of_request
from config.unavailable import PRIVATE_PAGES, is_unavailable, unavailable

_TOO_LARGE: Final = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


@allow(ANYBODY)
@require_safe
def robots(request: HttpRequest) -> HttpResponse:
    """Exclude search engines from the whole site."""
    return HttpResponse("User-agent: *\nDisallow: /q/\nDisallow: /\n", content_type="text/plain")


@allow(ANYBODY)
@require_safe
def favicon(request: HttpRequest) -> HttpResponse:
    """Redirect the browser's default icon request to the SVG icon."""
    return HttpResponseRedirect(static("img/favicon.svg"))


@allow(ANYBODY)
@require_safe
def cautions(request: HttpRequest) -> HttpResponse:
    """Say what the service cannot know and the kitchen must check."""
    return render(request, "site/cautions.html")


def _layout(request: HttpRequest) -> str:
    return "customer.html" if request.path.startswith(PRIVATE_PAGES) else "base.html"


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Show the page for a malformed request, or one larger than any form; of an unwritable session, to try again."""
    if is_unavailable(exception):
        return unavailable(request, exception)
    too_large = isinstance(exception, _TOO_LARGE)
    context = {"layout": _layout(request), "too_large": too_large}
    return render(request, "site/400.html", context, status=413 if too_large else 400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Show the page for a wrong role, with the roles that may open the page."""
    roles = [
        gettext("the %(role)s") % {"role": role_word(role)} for role in ROLES if role in getattr(exception, "roles", ())
    ]
    context = {"layout": _layout(request), "who": joined(roles), "home": home(roles_of_request(request))}
    return render(request, "site/403.html", context, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Show the page for an unknown address, or one whose record is gone; what was sent to it can be copied."""
    submitted = submitted_texts(request) if request.method == "POST" else []
    context = {"layout": _layout(request), "home": home(roles_of_request(request)), "submitted": submitted}
    return render(request, "site/404.html", context, status=404)


def only_sent_to(request: HttpRequest, answer: HttpResponseBase) -> HttpResponse:
    """Show the page for an address that is sent to and cannot be opened, where the answer would be a blank page."""
    context = {"layout": _layout(request), "home": home(roles_of_request(request))}
    page = render(request, "site/405.html", context, status=HTTPStatus.METHOD_NOT_ALLOWED)
    page["Allow"] = answer["Allow"]
    return page


def broken(request: HttpRequest) -> HttpResponse:
    """Show the page for a server error, without any database query; where it may pass, the page to try again."""
    error = sys.exception()
    if is_unavailable(error):
        return unavailable(request, error)
    context = {"customer": request.path.startswith(PRIVATE_PAGES)}
    return HttpResponse(render_to_string("site/500.html", context), status=500)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Show the page for a form whose CSRF token does not match the session."""
    return old_page(request, layout=_layout(request))
