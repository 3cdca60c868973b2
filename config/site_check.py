"""The checks of ``manage.py check --deploy`` in words that name the variable and the fix.

Django's own checks of the same settings name settings that nobody sets here; ``settings.SILENCED_SYSTEM_CHECKS`` leaves
them out, and a test shows that each is answered by one of these.
"""

from collections.abc import Iterator
from typing import Any, Final
from urllib.parse import urlsplit

from django.conf import settings
from django.core import checks
from django.core.exceptions import ImproperlyConfigured
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


#: What Django calls too little for a signing key.
_KEY_LENGTH: Final = 50
_KEY_SIGNS: Final = 5


def check_environment(**_: Any) -> list[checks.CheckMessage]:
    """Warn of what no service that people use should run with, and say which variable changes it."""
    return list(_found())


def _found() -> Iterator[checks.CheckMessage]:
    if settings.DEBUG:
        yield checks.Warning(
            "COLDSET_DEBUG is on: an error shows settings and code to whoever meets it.",
            hint="Leave COLDSET_DEBUG out, or set COLDSET_DEBUG=0.",
            id="coldset.W003",
        )
    if not settings.HTTPS:
        yield checks.Warning(
            "COLDSET_HTTPS is off: passwords and private links can be read on their way, and no browser is sent to "
            "HTTPS.",
            hint="Put a TLS proxy before the service, leave COLDSET_HTTPS out or set COLDSET_HTTPS=1, and set "
            "COLDSET_BEHIND_PROXY=1 where the proxy sets X-Forwarded-Proto.",
            id="coldset.W004",
        )
    if not settings.ALLOWED_HOSTS or "*" in settings.ALLOWED_HOSTS:
        yield checks.Warning(
            "COLDSET_HOSTS names no host, or every one: the service answers to nobody, or under any name.",
            hint="Set COLDSET_HOSTS to the host names people use, with commas, such as kitchen.example.",
            id="coldset.W005",
        )
    yield from _keys()
    if "filebased" in settings.EMAIL_BACKEND:
        yield checks.Info(
            f"No mail server is set: mails are written to {settings.EMAIL_FILE_PATH}, and nobody gets them.",
            hint="Set COLDSET_SMTP_HOST and COLDSET_MAIL_FROM, and user and password where the server asks for them.",
            id="coldset.I001",
        )


def _keys() -> Iterator[checks.CheckMessage]:
    try:
        key = settings.SECRET_KEY
    except ImproperlyConfigured:
        key = ""
    if _is_weak(key):
        yield checks.Warning(
            "There is no signing key." if not key else "The signing key is too short, or too simple to be random.",
            hint="Write the output of openssl rand -base64 48 into the file secret-key in the folder COLDSET_VAR, or "
            "set COLDSET_SECRET_KEY or COLDSET_SECRET_KEY_FILE. What was the key before goes to "
            "COLDSET_OLD_SECRET_KEYS.",
            id="coldset.W006",
        )
    if any(_is_weak(key) for key in settings.SECRET_KEY_FALLBACKS):
        yield checks.Warning(
            "A signing key in COLDSET_OLD_SECRET_KEYS is too short, or too simple: who guesses it can forge sessions "
            "and links.",
            hint="Take it out of COLDSET_OLD_SECRET_KEYS. What only it can read, such as secrets of two-step sign-in, "
            "has to be set up again.",
            id="coldset.W007",
        )


def _is_weak(key: str) -> bool:
    return len(key) < _KEY_LENGTH or len(set(key)) < _KEY_SIGNS or key.startswith("django-insecure-")
