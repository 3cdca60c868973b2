"""What is read of a price list: its rows as text, or why its file cannot be read."""

from dataclasses import dataclass
from typing import Any


class Unreadable(Exception):
    """The file is not a table with the three columns, or not one of a price list's size."""

    def __init__(self, code: str, **params: Any) -> None:
        self.code, self.params = code, params
        super().__init__(code)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row as text, with its number in the file (the head is row 1 or later)."""

    number: int
    item: str
    pack: str
    price: str
