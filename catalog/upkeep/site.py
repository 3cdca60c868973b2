"""The address that customers open links at."""

from urllib.parse import urlsplit

from django.conf import settings


def local_site() -> str:
    """Return the address that links begin with where only this computer answers to it; empty for any other."""
    host = urlsplit(settings.SITE_URL).hostname or ""
    return settings.SITE_URL if host in ("localhost", "::1") or host.startswith("127.") else ""
