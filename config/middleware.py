"""Middleware: the kitchen's display settings, access by role, and pages for refusals."""

import logging
from collections.abc import Callable
from dataclasses import fields
from http import HTTPStatus
from typing import Any, Final
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from babel.core import Locale, UnknownLocaleError
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ObjectDoesNotExist, PermissionDenied
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseNotAllowed
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from catalog.kitchen.models import Kitchen
from catalog.web.access import ANYBODY
from catalog.web.display import DisplaySettings, use
from config.accounts.restricted import is_restricted
from config.accounts.session_store import note_use
from config.navigation import home
from config.old_pages import old_page, submitted_texts
from config.refusals import lost_race, sentences, status_of
from config.roles import roles_of_request
from config.site_views import only_sent_to
from config.unavailable import PRIVATE_PAGES, is_unavailable, unavailable

log = logging.getLogger(__name__)

Next = Callable[[HttpRequest], HttpResponseBase]
View = Callable[..., HttpResponseBase]

#: Paths answered without a database query.
WITHOUT_KITCHEN: Final = frozenset({"/robots.txt", "/favicon.ico"})


def _usable(values: dict[str, Any]) -> dict[str, Any]:
    """Drop a zone or locale this machine does not know, so that one wrong entry does not break every page."""
    try:
        ZoneInfo(values["time_zone"])
    except (KeyError, ValueError, OSError):
        log.warning("unknown time zone in the kitchen's profile")
        values["time_zone"] = "UTC"
    try:
        Locale.parse(values["locale"])
    except (UnknownLocaleError, ValueError):
        log.warning("unknown locale in the kitchen's profile")
        values["locale"] = DisplaySettings().locale
    return values


def read_display_settings() -> DisplaySettings:
    """Return the kitchen's display settings: one query for the columns needed."""
    names = [field.name for field in fields(DisplaySettings)]
    values = next(iter(Kitchen.objects.filter(pk=1).values(*names)), None)
    return DisplaySettings(**_usable(values)) if values else DisplaySettings()


class KitchenTimeMiddleware:
    """Shows times in the kitchen's zone and figures in its locale."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Process the request with the kitchen's display settings."""
        if request.path in WITHOUT_KITCHEN:
            return self.get_response(request)
        with use(read_display_settings()):
            return self.get_response(request)


class SessionSeenMiddleware:
    """Notes now and then that a signed-in session is in use, so that it does not end as unused."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Process the request; pages that need no database ask for no session either."""
        if request.path not in WITHOUT_KITCHEN:
            note_use(request)
        return self.get_response(request)


class AccessMiddleware:
    """Opens a view to the roles named by ``allow``, and to nobody when it names none.

    Somebody who has to set up a second factor first is sent there. Responses are never cached unless the view allows
    it.
    """

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Process the request, and forbid caching of the response."""
        response = self.get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "private, no-store"
        return response

    def process_view(
        self, request: HttpRequest, view: View, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponseBase | None:
        """Let the request through, send it to the sign-in page, or refuse it."""
        roles: frozenset[str] = getattr(view, "roles", frozenset())
        if ANYBODY in roles:
            return None
        if request.user.is_authenticated and is_restricted(request):
            return None if getattr(view, "before_set_up", False) else _to_set_up(request)
        return self._decide(request, bool(roles & roles_of_request(request)), roles)

    def _decide(self, request: HttpRequest, is_open: bool, roles: frozenset[str]) -> HttpResponseBase | None:
        if is_open:
            return None
        if not request.user.is_authenticated:
            return _to_sign_in(request, roles)
        raise WrongRole(roles)


def _to_sign_in(request: HttpRequest, roles: frozenset[str]) -> HttpResponseBase:
    """Send the person to the sign-in page and from there back; never into a part of the page they are on."""
    htmx = getattr(request, "htmx", None)
    if htmx and request.method == "POST":
        # The page has unsaved input: it stays open, and its script says what happened.
        return HttpResponse(gettext("You are signed out."), status=HTTPStatus.UNAUTHORIZED, content_type="text/plain")
    if htmx:
        return HttpResponseClientRedirect(redirect_to_login(_page_of(htmx) or home(roles)).url)
    if request.method == "POST" and submitted_texts(request):
        return old_page(request, layout="base.html")
    return redirect_to_login(request.get_full_path() if request.method == "GET" else home(roles))


def _to_set_up(request: HttpRequest) -> HttpResponseBase:
    """Send the person to the page that sets the second factor up; never into a part of a page."""
    if getattr(request, "htmx", None):
        return HttpResponseClientRedirect(reverse("two-step"))
    return redirect("two-step")


def _page_of(htmx: HtmxDetails) -> str | None:
    """Return the path of the page a part was asked for from; None where what the request says is no address."""
    try:
        return htmx.current_url_abs_path
    except ValueError:
        return None


class WrongRole(PermissionDenied):
    """The user is signed in, but the page is for other roles."""

    def __init__(self, roles: frozenset[str]) -> None:
        self.roles = roles
        super().__init__(", ".join(sorted(roles)))


class DomainErrorMiddleware:
    """Turns a refusal of the other apps into a page with its sentence and a link back; a blank refusal into a page."""

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Process the request; refusals are handled by ``process_exception``."""
        answer = self.get_response(request)
        if isinstance(answer, HttpResponseNotAllowed) and request.method in ("GET", "HEAD"):
            return only_sent_to(request, answer)
        return answer

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Return the page of a refusal; None for any other error."""
        if is_unavailable(error):
            return unavailable(request, error)
        status = HTTPStatus.CONFLICT if lost_race(error) else status_of(type(error))
        if status is None:
            return None
        log.info("refused: %s", getattr(error, "code", type(error).__name__), exc_info=_unexpected(error))
        fragment = getattr(request, "htmx", False)
        context = {
            "sentences": sentences(error),
            "way_back": way_back(request),
            "submitted": submitted_texts(request) if request.method == "POST" else [],
            "layout": "customer.html" if request.path.startswith(PRIVATE_PAGES) else "base.html",
        }
        template = "parts/refused.html" if fragment else "site/refused.html"
        return render(request, template, context, status=status)


def _unexpected(error: Exception) -> Exception | None:
    """Return an error that no service raises on purpose, so that the log says where it came from."""
    return error if isinstance(error, ObjectDoesNotExist | IntegrityError) else None


def way_back(request: HttpRequest) -> str:
    """Return the path of the page the person came from, on this site only; else the front page."""
    referrer = request.headers.get("Referer", "")
    if url_has_allowed_host_and_scheme(referrer, {request.get_host()}, require_https=request.is_secure()):
        parts = urlsplit(referrer)
        return parts.path + (f"?{parts.query}" if parts.query else "")
    return home(roles_of_request(request))
