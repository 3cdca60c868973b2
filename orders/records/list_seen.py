"""A customer's message and the list of needs beside which somebody answered it, as one text of the history.

The text stands in the entry's note: what is erased with a person's data.
"""

import json
from collections.abc import Mapping
from typing import Any


def list_stored(message: str, needs: Mapping[str, int | None], note: str) -> str:
    """Return a message and a list: its needs with their numbers of guests, its note."""
    return json.dumps({"text": message, "needs": dict(needs), "note": note}, ensure_ascii=False)


def list_read(stored: str) -> dict[str, Any]:
    """Return what the history has of it; nothing where it has none, or it was erased."""
    try:
        found = json.loads(stored)
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
