"""A sent quote's content without the customer's personal data."""

import json
from collections.abc import Mapping
from typing import Any

from orders.documents.canonical_text import canonical_json


def content_erased(text: str, places: Mapping[str, str | list[str] | bool]) -> str:
    """Return the text of a content with other values at some places it has, such as "customer.name"."""
    data: dict[str, Any] = json.loads(text)
    for place, value in places.items():
        *above, name = place.split(".")
        inner = data
        for key in above:
            inner = inner[key]
        if name in inner:
            inner[name] = value
    return canonical_json(data)
