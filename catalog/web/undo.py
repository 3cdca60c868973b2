"""A deleted row can be brought back from the message that says so, while the session lasts."""

import secrets
from collections.abc import Callable, Iterable
from typing import Any, Final

from django.contrib import messages
from django.db import models
from django.http import HttpRequest
from django.urls import reverse

from catalog.records.undo import Pointer, rows_taken

#: Where the session has what can be brought back.
_KEY: Final = "undo"
#: How many deletes can be undone; older ones are forgotten.
_MOST: Final = 5


def undoable(
    request: HttpRequest,
    row: models.Model,
    delete: Callable[[], Any],
    *,
    pointers: Iterable[Pointer] = (),
    name: str = "",
) -> Callable[[str, str], None]:
    """Delete a row, and return how to say so with "Undo" beside it: words, and the address to go to after an undo.

    ``name`` is what its list calls the row, where that is not what the row calls itself.
    """
    taken = rows_taken(row, pointers)
    delete()

    def say(words: str, after: str) -> None:
        key = secrets.token_hex(8)
        held = {**request.session.get(_KEY, {}), key: {"taken": taken, "after": after, "name": name or str(row)}}
        request.session[_KEY] = dict(list(held.items())[-_MOST:])
        messages.success(request, words, extra_tags=reverse("undo-delete", args=[key]))

    return say


def to_undo(request: HttpRequest, key: str) -> dict[str, str] | None:
    """Take what can be brought back out of the session: what was taken, where to go to, and its name."""
    held = dict(request.session.get(_KEY, {}))
    found = held.pop(key, None)
    request.session[_KEY] = held
    return found if isinstance(found, dict) else None
