"""Views that only do something: they answer a form, and have no page of their own."""

from collections.abc import Callable
from functools import wraps
from http import HTTPMethod
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseNotAllowed, HttpResponseRedirect
from django.urls import reverse

View = Callable[..., HttpResponse]


def action_of(page: str) -> Callable[[View], View]:
    """Let a view answer POST alone; whoever opens its address is led to the page that has its form.

    ``page`` is the name of that page's address, which takes the same arguments.
    """

    def mark(view: View) -> View:
        @wraps(view)
        def answered(request: HttpRequest, **named: Any) -> HttpResponse:
            if request.method == HTTPMethod.POST:
                return view(request, **named)
            if request.method in (HTTPMethod.GET, HTTPMethod.HEAD):
                return HttpResponseRedirect(reverse(page, kwargs=named))
            return HttpResponseNotAllowed([HTTPMethod.GET, HTTPMethod.HEAD, HTTPMethod.POST])

        return answered

    return mark
