"""Lists and statuses in words."""

from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext


def has_commas(names: Iterable[str]) -> bool:
    """Return whether a name of a list has a comma, so that commas between them would tell nothing."""
    return any(", " in name for name in names)


def listed(words: Iterable[str]) -> str:
    """Write names one after the other: with semicolons if a name has a comma."""
    names = list(words)
    return ("; " if has_commas(names) else ", ").join(names)


def joined(words: Iterable[str]) -> str:
    """Write a list as a sentence does: milk, eggs and tree nuts.

    With semicolons where a name before the last has a comma.
    """
    names = list(words)
    if len(names) < 2 or has_commas(names[:-1]):
        return "; ".join(names)
    return gettext("%(names)s and %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}


def either(words: Iterable[str]) -> str:
    """Write a choice as a sentence does: milk, eggs or tree nuts; with semicolons if a name has a comma."""
    names = list(words)
    if len(names) < 2:
        return "".join(names)
    if has_commas(names[:-1]):
        return gettext("%(names)s or %(last)s") % {"names": "; ".join(names[:-1]), "last": names[-1]}
    return gettext("%(names)s or %(last)s") % {"names": ", ".join(names[:-1]), "last": names[-1]}


def status(document: Any) -> str:
    """Return a document's status in a word."""
    return str(document.get_status_display())
