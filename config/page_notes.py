"""What the next page says of what was done ("Saved.") waits for it in a cookie, or in the session where it is long."""

from typing import Final

from django.conf import settings
from django.contrib.messages.storage.cookie import CookieStorage
from django.contrib.messages.storage.fallback import FallbackStorage
from django.contrib.messages.storage.session import SessionStorage

COOKIE: Final = "__Host-notes" if settings.HTTPS else "notes"


class NotesInCookie(CookieStorage):
    """The cookie; only the service itself can have set one of its name."""

    cookie_name = COOKIE


class PageNotes(FallbackStorage):
    """The cookie first, what does not fit into it in the session."""

    storage_classes = (NotesInCookie, SessionStorage)
