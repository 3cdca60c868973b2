"""Sessions in the database, with the person, the browser and the limits of a signed-in session.

A signed-in session ends when it was not used for ``IDLE``, and ``ABSOLUTE`` after signing in whatever is done with it.
Both are in the row's expiry, so an ended session is not found, and ending one is deleting its row.
"""

from datetime import UTC, datetime, timedelta
from typing import Any, Final, cast

from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends.db import SessionStore as DatabaseStore
from django.http import HttpRequest
from django.utils import timezone

from config.accounts.models import BrowserSession

#: Longer than a working day, as WCAG 2.2 (2.2.1) wants for anything that is filled in, and shorter than a weekend away.
IDLE: Final = timedelta(hours=24)
ABSOLUTE: Final = timedelta(days=14)
#: The last use is written down again after this time only, so that reading pages does not write.
SEEN_AGAIN: Final = timedelta(minutes=10)

SIGNED_IN_AT: Final = "signed_in_at"
SEEN_AT: Final = "seen_at"
BROWSER: Final = "browser"
ADDRESS: Final = "address"


class SessionStore(DatabaseStore):
    """Writes what a session's data says about its person into columns, and the expiry that follows from it."""

    @classmethod
    def get_model_class(cls) -> type[BrowserSession]:
        """Return the table."""
        return BrowserSession

    def create_model_instance(self, data: dict[str, Any]) -> BrowserSession:
        """Return the row of the session's data."""
        if SESSION_KEY in data:
            now = int(timezone.now().timestamp())
            data.setdefault(SIGNED_IN_AT, now)
            data.setdefault(SEEN_AT, now)
        row = cast(BrowserSession, super().create_model_instance(data))
        if SESSION_KEY in data:
            row.user_id = int(data[SESSION_KEY])
            row.signed_in_at, row.seen_at = _moment(data[SIGNED_IN_AT]), _moment(data[SEEN_AT])
            row.browser, row.address = data.get(BROWSER, ""), data.get(ADDRESS, "")
            row.expire_date = min(row.seen_at + IDLE, row.signed_in_at + ABSOLUTE)
        return row


def note_use(request: HttpRequest) -> None:
    """Write down that a signed-in session is in use, if that was not done within the last minutes."""
    session = request.session
    if SESSION_KEY in session:
        now = int(timezone.now().timestamp())
        if now - session.get(SEEN_AT, 0) > SEEN_AGAIN.total_seconds():
            session[SEEN_AT] = now


def _moment(seconds: int) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)
