"""Addresses that are only sent to: whoever opens one, from the history or after signing in, is shown its page."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

View = Callable[..., HttpResponse]


def sent_to(page: str) -> Callable[[View], View]:
    """Let a view answer what is sent to it alone; opening its address leads to ``page``, with the same arguments."""

    def mark(view: View) -> View:
        @require_http_methods(["GET", "HEAD", "POST"])
        @wraps(view)
        def answer(request: HttpRequest, **named: Any) -> HttpResponse:
            return view(request, **named) if request.method == "POST" else redirect(page, **named)

        return answer

    return mark
