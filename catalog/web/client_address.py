"""The IP address of a request."""

from ipaddress import ip_address

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str | None:
    """Return the caller's IP address, or None if invalid; a proxy's header counts only if the settings name a proxy."""
    forwarded = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
    behind_proxy = getattr(settings, "SECURE_PROXY_SSL_HEADER", None)
    try:
        return str(ip_address(forwarded if behind_proxy and forwarded else request.META.get("REMOTE_ADDR", "")))
    except ValueError:
        return None
