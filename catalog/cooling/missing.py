"""What cooling cannot be worked out without: why, and the page on which it is entered."""

from dataclasses import dataclass
from typing import Any, Literal

from catalog.records.reasons import Reason


@dataclass(frozen=True, slots=True)
class Place:
    """A page of the catalog: its kind, and the key of what it shows; a list has none."""

    page: Literal["product", "mold", "station", "ingredients"]
    key: int | None = None


@dataclass(frozen=True, slots=True)
class Missing:
    """What cooling asks for and does not find, and the page on which it is entered."""

    reason: Reason
    place: Place


class NotWorkedOut(Exception):
    """Something that cooling asks for is missing."""

    def __init__(self, code: str, place: Place, **params: Any) -> None:
        self.missing = Missing(Reason(code, params), place)
        # For logs; pages show the sentence of ``missing_presenters``.
        super().__init__(f"{code} {params}")
