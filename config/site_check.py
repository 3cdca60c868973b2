"""The check of ``manage.py check --deploy`` that links in mails lead back to this service."""

from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core import checks
from django.http.request import validate_host


def check_site_url(**_: Any) -> list[checks.CheckMessage]:
    """Warn of an address that HTTPS does not serve, or whose host name is refused."""
    address = urlsplit(settings.SITE_URL)
    if address.scheme == "https" and validate_host(address.hostname or "", settings.ALLOWED_HOSTS):
        return []
    return [
        checks.Warning(
            f"Links in mails begin with {settings.SITE_URL}, which this service does not answer.",
            hint="Set COLDSET_SITE_URL to the https:// address customers use, and name its host in COLDSET_HOSTS.",
            id="coldset.W002",
        )
    ]
