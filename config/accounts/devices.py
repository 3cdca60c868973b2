"""Browsers that somebody signed in with before: a signed cookie, so that a guesser elsewhere slows nobody down at home.

After OWASP, "Slow Down Online Guessing Attacks with Device Cookies": tries from unknown browsers share one budget for
each account; a known browser has a budget of its own. The cookie lets nobody in. It names the account by a keyed hash
only, and several accounts when people share a browser.
"""

import secrets
from datetime import timedelta
from typing import Final

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import constant_time_compare, salted_hmac

COOKIE: Final = "__Host-browser" if settings.HTTPS else "browser"
#: How long a browser stays known after the last sign-in with it.
KNOWN_FOR: Final = timedelta(days=365)
#: Most accounts of one browser; the one that was not used for longest goes.
MOST: Final = 8
_SALT: Final = "config.accounts.devices"


def known_device(request: HttpRequest, username: str) -> str | None:
    """Return the browser's own number for this account, or None if nobody signed in to the account with it."""
    account = _account(username)
    return next((number for known, number in _read(request) if constant_time_compare(known, account)), None)


def remember_device(request: HttpRequest, response: HttpResponse, username: str) -> None:
    """Write the cookie that makes this browser known for the account; its number stays when it has one."""
    account = _account(username)
    number = known_device(request, username) or secrets.token_urlsafe(16)
    others = [entry for entry in _read(request) if entry[0] != account]
    response.set_cookie(
        COOKIE,
        signing.dumps([*others, [account, number]][-MOST:], salt=_SALT),
        max_age=KNOWN_FOR,
        secure=settings.HTTPS,
        httponly=True,
        samesite="Lax",
    )


def _account(username: str) -> str:
    return salted_hmac(_SALT, username.casefold(), algorithm="sha256").hexdigest()[:32]


def _read(request: HttpRequest) -> list[list[str]]:
    try:
        entries = signing.loads(request.COOKIES.get(COOKIE, ""), salt=_SALT, max_age=KNOWN_FOR)
    except signing.BadSignature:
        return []
    return [list(entry) for entry in entries]
