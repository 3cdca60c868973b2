"""The IP address of a request."""

from ipaddress import IPv4Address, ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str | None:
    """Return the caller's IP address, or None if invalid; a proxy's header counts only if the settings name a proxy.

    The name of the network card that may stand behind an address of one's own network (fe80::1%eth0) is left out:
    databases know none.
    """
    forwarded = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
    behind_proxy = getattr(settings, "SECURE_PROXY_SSL_HEADER", None)
    try:
        found = ip_address(forwarded if behind_proxy and forwarded else request.META.get("REMOTE_ADDR", ""))
    except ValueError:
        return None
    return str(found).partition("%")[0]


def counted_address(request: HttpRequest) -> str:
    """Return the address whose tries are counted: the caller's; of an IPv6 caller its /64, which one line is given."""
    address = client_address(request)
    if address is None:
        return "unknown"
    parsed = ip_address(address)
    if isinstance(parsed, IPv4Address):
        return address
    # A server that listens on both kinds writes IPv4 callers as ::ffff:192.0.2.1; they share no /64.
    return str(parsed.ipv4_mapped or ip_network(f"{address}/64", strict=False))
