"""What the content of an amendment says about the content it changes: both stand beside each other."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Amends:
    """What an amendment changes: the order's number, and the content in force when it was sent.

    ``revision`` is that content's, of the same number; ``total_minor`` its total and ``content_sha256`` its hash.
    """

    order: str
    revision: int
    total_minor: int
    content_sha256: str


def amends_read(data: Mapping[str, Any] | None) -> Amends | None:
    """Read it back from JSON; None in the content of a quote that changes no order."""
    return None if data is None else Amends(**data)
