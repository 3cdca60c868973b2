"""One line of the log for each request, and the id by which its other lines are found."""

import logging
import re
import time
from collections.abc import Callable
from http import HTTPStatus
from typing import Final
from uuid import uuid4

from django.conf import settings
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponseBase

from catalog.records.log_facts import Fact, log_facts
from config.logs import REFUSED

log = logging.getLogger(__name__)

HEADER: Final = "X-Request-ID"
#: Letters, digits and hyphens only: neither a line break nor an address can be put into the log by it.
_WELL_FORMED: Final = re.compile(r"[A-Za-z0-9-]{8,64}")
#: First words of route names that name the document whose number is in the address.
_DOCUMENTS: Final = frozenset({"quote", "order", "invoice", "inquiry", "customer", "payment"})


class RequestLogMiddleware:
    """Gives each request an id and logs one line about it; stands before all other middleware.

    The line has the route's name, not its path: a path may hold a private link's token, a query what somebody typed.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer the request and log it."""
        started = time.perf_counter()
        with log_facts(request_id=(request_id := request_id_of(request))):
            response = self.get_response(request)
            response[HEADER] = request_id
            facts = _facts(request, response.status_code, time.perf_counter() - started)
            log.log(_level(request, response.status_code), "request", extra={"facts": facts})
        return response


def request_id_of(request: HttpRequest) -> str:
    """Return the id a proxy gave the request, if the settings name a proxy and it is well-formed; else a new one."""
    given = request.headers.get(HEADER, "")
    behind_proxy = getattr(settings, "SECURE_PROXY_SSL_HEADER", None)
    return given if behind_proxy and _WELL_FORMED.fullmatch(given) else uuid4().hex


def _level(request: HttpRequest, status: int) -> int:
    if status >= HTTPStatus.INTERNAL_SERVER_ERROR:
        return logging.ERROR
    if REFUSED in request.META:
        return logging.WARNING
    # A monitor asks every few seconds, and would fill the log.
    return logging.DEBUG if _route(request).startswith("health") else logging.INFO


def _facts(request: HttpRequest, status: int, seconds: float) -> dict[str, Fact]:
    facts: dict[str, Fact] = {"method": _method(request), "route": _route(request), "status": status}
    facts |= _document(request) | {"duration_ms": round(seconds * 1000, 1)}
    if user := _user(request):
        facts["user"] = user
    if REFUSED in request.META:
        facts["refused"] = request.META[REFUSED]
    return facts


def _method(request: HttpRequest) -> str:
    method = request.method or ""
    return method if re.fullmatch(r"[A-Z]{1,10}", method) else "other"


def _route(request: HttpRequest) -> str:
    if request.resolver_match is not None:
        return request.resolver_match.view_name
    return "static" if request.path.startswith(settings.STATIC_URL) else ""


def _document(request: HttpRequest) -> dict[str, Fact]:
    """Return the document in the address: ``about`` as the outbox writes it, or the bare number of another row."""
    if request.resolver_match is None:
        return {}
    numbers = [value for value in request.resolver_match.kwargs.values() if isinstance(value, int)]
    if not numbers:
        return {}
    kind = request.resolver_match.view_name.partition("-")[0]
    return {"about": f"{kind}:{numbers[0]}"} if kind in _DOCUMENTS else {"row": numbers[0]}


def _user(request: HttpRequest) -> int | None:
    """Return the number of the person signed in, if this request asked who that is; the line asks for nothing."""
    # A fresh sign-in puts the person on the request itself; else Django keeps whom it looked up. The request's own
    # attribute is otherwise a promise to look, and asking its class would keep it.
    found = (request.__dict__.get("user"), request.__dict__.get("_cached_user"))
    return next((person.pk for person in found if type(person) is User), None)
