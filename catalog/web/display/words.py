"""Lists and statuses in words."""

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext


def joined(words: Iterable[str]) -> str:
    """Write a list as a sentence does: milk, eggs and tree nuts."""
    names = list(words)
    if len(names) < 2:
        return "".join(names)
    return gettext("%(names)s and %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}


def either(words: Iterable[str]) -> str:
    """Write a choice as a sentence does: milk, eggs or tree nuts."""
    names = list(words)
    if len(names) < 2:
        return "".join(names)
    return gettext("%(names)s or %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}


def status(document: Any) -> str:
    """Return a document's status in a word."""
    return str(document.get_status_display())
