"""Private links, looked up by what a browser holds."""

import hashlib
from collections.abc import Iterable
from datetime import datetime

from orders.models import Link


def token_hash(token: str) -> str:
    """Return what is stored of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def link_of(token: str) -> Link | None:
    """Return the link a token belongs to, whether still open or not."""
    return Link.objects.select_related("quote").filter(token_sha256=token_hash(token)).first()


def open_links(ids: Iterable[int], *, number: str, at: datetime) -> list[Link]:
    """Return those of the links that still open a quote of this number."""
    return list(Link.objects.filter(pk__in=list(ids), quote__number=number, revoked_at=None, expires_at__gt=at))
