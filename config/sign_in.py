"""Signing in with a rate limit: a few tries per account and address, a few more per address.

The tries are counted in the audit trail, in the database that all processes share; with a cache per process each worker
would count for itself.
"""

from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from typing import Final
from zlib import crc32

from django.contrib.auth import authenticate
from django.contrib.auth.models import User
from django.http import HttpRequest
from django.views.decorators.debug import sensitive_variables

from catalog.web.client_address import client_address
from orders.records.models import AuditEntry

TRIES_OF_ACCOUNT: Final = 5
TRIES_OF_ADDRESS: Final = 30
SPAN: Final = timedelta(minutes=15)
_ACCOUNT: Final = "sign-in"
_ADDRESS: Final = "sign-in-from"
_TRY: Final = "try"
_DONE: Final = "signed-in"


class TooManyTries(Exception):
    """Signing in is blocked until the given moment."""

    def __init__(self, until: datetime) -> None:
        self.until = until
        super().__init__("too many tries")


def counted_address(request: HttpRequest) -> str:
    """Return the address whose tries are counted: the caller's; of an IPv6 caller its /64."""
    address = client_address(request)
    if address is None:
        return "unknown"
    return address if ip_address(address).version == 4 else str(ip_network(f"{address}/64", strict=False))


@sensitive_variables("password")
def sign_in(*, request: HttpRequest, username: str, password: str, address: str, at: datetime) -> User | None:
    """Return the user when name and password fit, else None.

    The try is written before the password is looked at, so that many at once are counted too.

    Raises
    ------
    TooManyTries
        If the account from this address, or the address, has used up its tries.
    """
    counters = (
        (_ACCOUNT, crc32(f"{username.casefold()} {address}".encode()), TRIES_OF_ACCOUNT),
        (_ADDRESS, crc32(address.encode()), TRIES_OF_ADDRESS),
    )
    for document, key, most in counters:
        _check(document, key, most, at)
    for document, key, _ in counters:
        _write(document, key, _TRY, by=username, note=address, at=at)
    for document, key, most in counters:
        _check(document, key, most + 1, at)
    user = authenticate(request, username=username, password=password)
    if user is not None:
        for document, key, _ in counters:
            _write(document, key, _DONE, by=username, note=address, at=at)
    return user


def _check(document: str, key: int, most: int, at: datetime) -> None:
    entries = AuditEntry.objects.filter(document=document, document_pk=key, at__gt=at - SPAN, at__lte=at)
    done = entries.filter(event=_DONE).order_by("-pk").values_list("pk", flat=True).first()
    tries = entries.filter(event=_TRY, pk__gt=done or 0).order_by("-pk").values_list("at", flat=True)[:most]
    if len(tries) >= most:
        raise TooManyTries(until=tries[most - 1] + SPAN)


def _write(document: str, key: int, event: str, *, by: str, note: str, at: datetime) -> None:
    AuditEntry.objects.create(document=document, document_pk=key, event=event, by=by[:150], at=at, note=note)
