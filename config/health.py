"""Health checks are answered before anything about the request is checked."""

from typing import Final

from django.http import HttpRequest, HttpResponseBase
from django.urls import resolve

from config.middleware import Next

PATHS: Final = frozenset({"/health", "/health/live", "/health/ready"})


class HealthMiddleware:
    """Answers a health check for any host name and over plain HTTP, as a load balancer asks: by the machine's address.

    That is safe because the answer says nothing but codes, builds no link from the host, and neither reads nor sets a
    cookie. The host names of all other pages are checked by the middleware behind this one.
    """

    def __init__(self, get_response: Next) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer a health check here; hand everything else on."""
        if request.path not in PATHS:
            return self.get_response(request)
        request.resolver_match = found = resolve(request.path)
        answer: HttpResponseBase = found.func(request)
        return answer
