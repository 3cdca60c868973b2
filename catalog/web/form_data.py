"""Submitted form data, and the idempotency key with which a form sent twice does its work once."""

from django.http import HttpRequest, QueryDict
from django.utils.crypto import get_random_string


def new_idempotency_key() -> str:
    """Return a new idempotency key: a form sent twice with it does its work once."""
    return get_random_string(32)


def submitted_data(request: HttpRequest) -> QueryDict | None:
    """Return the submitted data, even if empty; None when the page is only opened."""
    return request.POST if request.method == "POST" else None


def step_seen(request: HttpRequest) -> int:
    """Return the step of what is worked on as the page showed it; -1, which none has, where it does not say."""
    step = request.POST.get("step", "")
    return int(step) if step.isascii() and step.isdigit() and len(step) < 9 else -1
