"""The one text of a document of JSON: sorted keys, no spaces, no floats; its hash stands for the document."""

import json
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any


def canonical_json(document: Any, *, default: Callable[[Any], str] | None = None) -> str:
    """Return the one text of a document of JSON, whose hash is stored; ``default`` writes what JSON has no form for."""
    return json.dumps(
        document, sort_keys=True, ensure_ascii=False, separators=(",", ":"), default=default, allow_nan=False
    )


def plain(value: Any) -> str:
    """Write a moment, a day or a decimal, for which JSON has no form.

    Raises TypeError for anything else.
    """
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return format(value, "f")
    raise TypeError(f"{type(value).__name__} has no canonical text")
