"""Sign-in, sign-out, cautions and the error pages."""

import sys
from typing import Final

from django.contrib import messages
from django.contrib.auth import login, logout
from django.core.exceptions import RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST, require_safe

from catalog.web.access import ANYBODY, ROLES, allow
from catalog.web.display import clock, joined
from config.middleware import PRIVATE_PAGES
from config.navigation import home
from config.old_pages import old_page, submitted_texts
from config.roles import forget_roles, roles_of_request
from config.sign_in import TooManyTries, counted_address, sign_in
from config.site_forms import SignInForm
from config.unavailable import is_unavailable, unavailable

_TOO_LARGE: Final = (RequestDataTooBig, TooManyFieldsSent, TooManyFilesSent)


def _next(request: HttpRequest) -> str:
    """Return the requested next page, on this site only."""
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    return wanted if url_has_allowed_host_and_scheme(wanted, {request.get_host()}, request.is_secure()) else ""


@allow(ANYBODY)
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in_page(request: HttpRequest) -> HttpResponse:
    """Ask for name and password."""
    if request.user.is_authenticated:
        return redirect(home(roles_of_request(request)))
    form = SignInForm(request.POST if request.method == "POST" else None)
    status = 200
    if form.is_bound and form.is_valid():
        status = _try(request, form)
        if status == 302:
            return redirect(_next(request) or home(roles_of_request(request)))
    context = {"form": form, "next": _next(request)}
    return render(request, "site/sign_in.html", context, status=status)


def _try(request: HttpRequest, form: SignInForm) -> int:
    """Sign in, or add the error to the form; return the response's status."""
    try:
        user = sign_in(request=request, **form.cleaned_data, address=counted_address(request), at=timezone.now())
    except TooManyTries as brake:
        form.add_error(None, f"Too many tries with this name. Wait until {clock(brake.until)}, then try again.")
        return 429
    if user is None:
        form.add_error(None, "This name and password do not fit together. Check both and try again.")
        return 200
    login(request, user)
    forget_roles(request)
    return 302


@allow(ANYBODY)
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    logout(request)
    messages.success(request, "You are signed out.")
    return redirect("sign-in")


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
@require_GET
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
    roles = [f"the {role}" for role in ROLES if role in getattr(exception, "roles", ())]
    context = {"layout": _layout(request), "who": joined(roles), "home": home(roles_of_request(request))}
    return render(request, "site/403.html", context, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Show the page for an unknown address, or one whose record is gone; what was sent to it can be copied."""
    submitted = submitted_texts(request) if request.method == "POST" else []
    context = {"layout": _layout(request), "home": home(roles_of_request(request)), "submitted": submitted}
    return render(request, "site/404.html", context, status=404)


def broken(request: HttpRequest) -> HttpResponse:
    """Show the page for a server error, without any database query; where it may pass, the page to try again."""
    error = sys.exception()
    if is_unavailable(error):
        return unavailable(request, error)
    return HttpResponse(render_to_string("site/500.html"), status=500)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """Show the page for a form whose CSRF token does not match the session."""
    return old_page(request, layout=_layout(request))
