"""A person's sessions: listed, ended one by one or all others, and cleared when they are over."""

import hashlib
from datetime import datetime

from django.contrib.auth.models import User
from django.db import transaction

from config.accounts.models import BrowserSession
from orders.records.transitions import audit


def sessions_of(user: User, *, at: datetime) -> list[BrowserSession]:
    """Return the sessions that are open, the one used last first."""
    return list(BrowserSession.objects.filter(user=user, expire_date__gt=at).order_by("-seen_at", "session_key"))


def session_number(session_key: str) -> str:
    """Return what a page calls a session: never its key, with which one could take it over."""
    return hashlib.sha256(session_key.encode()).hexdigest()[:16]


@transaction.atomic(durable=True)
def session_end(*, user: User, number: str, at: datetime) -> bool:
    """End one session of the person; return whether there was one."""
    keys = [one.session_key for one in sessions_of(user, at=at) if session_number(one.session_key) == number]
    ended, _ = BrowserSession.objects.filter(session_key__in=keys).delete()
    if ended:
        audit(user, "sessions_ended", by=user.get_username(), at=at, params={"count": ended})
    return ended > 0


@transaction.atomic(durable=True)
def person_sessions_end(*, user: User, keep: str | None, by: str, at: datetime) -> int:
    """End the sessions of somebody else, or one's own but the one to keep; return how many there were."""
    return sessions_end(user, keep=keep, by=by, at=at)


@transaction.atomic(durable=True)
def other_sessions_end(*, user: User, session_key: str | None, at: datetime) -> int:
    """End the person's sessions but this one; return how many there were."""
    return sessions_end(user, keep=session_key, at=at)


def sessions_end(user: User, *, keep: str | None = None, by: str = "", at: datetime) -> int:
    """End the person's sessions but the one to keep, in the caller's transaction."""
    ended, _ = BrowserSession.objects.filter(user=user).exclude(session_key=keep or "").delete()
    if ended:
        audit(user, "sessions_ended", by=by or user.get_username(), at=at, params={"count": ended})
    return ended


def sessions_clear(*, at: datetime) -> int:
    """Delete the sessions that are over; return how many."""
    return BrowserSession.objects.filter(expire_date__lte=at).delete()[0]
