"""What forms send, and the one-time key that makes a form sent twice do its work once."""

from django.http import HttpRequest, QueryDict
from django.utils.crypto import get_random_string


def new_idempotency_key() -> str:
    """Return a fresh one-time key: a form sent twice does its work once."""
    return get_random_string(32)


def submitted_data(request: HttpRequest) -> QueryDict | None:
    """Return what a form sent, even when that is nothing; None when its page is only opened."""
    return request.POST if request.method == "POST" else None
