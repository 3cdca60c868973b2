"""Submitted form data, and the idempotency key with which a form sent twice does its work once."""

from django.http import HttpRequest, QueryDict
from django.utils.crypto import get_random_string


def new_idempotency_key() -> str:
    """Return a new idempotency key: a form sent twice with it does its work once."""
    return get_random_string(32)


def submitted_data(request: HttpRequest) -> QueryDict | None:
    """Return the submitted data, even if empty; None when the page is only opened."""
    return request.POST if request.method == "POST" else None
